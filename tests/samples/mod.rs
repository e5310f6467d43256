//! Sample sheets and a lesson, with every block and with unkind texts.

// Each test file uses what it needs of these.
#![allow(dead_code)]

use stillroom::document::context::*;

fn answer(name: &str, unit: &str, value: &str) -> AnswerContext {
    AnswerContext {
        name: name.into(),
        unit: unit.into(),
        value: value.into(),
        ..AnswerContext::default()
    }
}

fn step(number: u32, says: &str, chain: &[&str]) -> StepContext {
    let chain = chain.iter().map(|line| (*line).to_owned()).collect();
    let marks = if number == 1 { "M1 A1" } else { "A1" };
    StepContext { number: Some(number), says: says.into(), chain, marks: marks.into() }
}

fn mistake(value: &str, says: &str) -> MistakeContext {
    MistakeContext { value: value.into(), says: says.into() }
}

fn part(label: &str, text: &str, marks: u32, answers: Vec<AnswerContext>) -> PartContext {
    PartContext {
        label: (!label.is_empty()).then(|| label.to_owned()),
        text: text.into(),
        answers,
        marks,
        ..PartContext::default()
    }
}

fn pan(number: u32) -> QuestionContext {
    let mut a = part(
        "(a)",
        "Calculate the mass of salt in the brine.",
        1,
        vec![answer("mass of salt", "kg", "20")],
    );
    a.working = vec!["mass of salt = 0.050 × 400\u{202f}kg = 20.0\u{202f}kg".into()];
    a.solution = vec![step(
        1,
        "The brine is 5.0\u{202f}% salt.",
        &[
            "mass of salt = brine × salt share",
            "400\u{202f}kg × 0.050",
            "20.0\u{202f}kg",
            "20\u{202f}kg",
        ],
    )];
    let mut b = part(
        "(b)",
        "Calculate the mass of slurry left in the pan.",
        2,
        vec![answer("mass of slurry", "kg", "83")],
    );
    b.working = vec![
        "all the salt stays: 20.0\u{202f}kg = 0.24 × *m*".into(),
        "*m* = 20.0\u{202f}kg ÷ 0.24 = 83.33…\u{202f}kg = **83\u{202f}kg** (2 s.f.)".into(),
    ];
    b.mistakes = vec![
        mistake("324", "took away percentage points"),
        mistake("20", "boiled off all the water"),
    ];
    b.solution = vec![
        step(
            1,
            "Steam carries no salt, so all the salt is in the slurry.",
            &["slurry salt = clear brine salt", "20.0\u{202f}kg"],
        ),
        step(
            2,
            "The slurry is 24\u{202f}% salt.",
            &[
                "slurry = slurry salt ÷ slurry salt share",
                "20.0\u{202f}kg ÷ 0.24",
                "83.33…\u{202f}kg",
                "83\u{202f}kg",
            ],
        ),
    ];
    let mut c = part(
        "(c)",
        "Calculate the mass of water driven off.",
        1,
        vec![answer("mass of steam", "kg", "317")],
    );
    c.working = vec!["steam = 400\u{202f}kg − 83.33\u{202f}kg = 316.67\u{202f}kg".into()];
    c.solution = vec![step(
        1,
        "What enters the pan leaves it: a balance over the pan.",
        &[
            "steam = clear brine − slurry",
            "400\u{202f}kg − 83.33\u{202f}kg",
            "316.67\u{202f}kg",
            "317\u{202f}kg",
        ],
    )];
    QuestionContext {
        section: None,
        number,
        stem: "400\u{202f}kg of clear brine, 5.0\u{202f}% salt by mass, is boiled down in an open pan to a slurry \
               of 24\u{202f}% salt. Only water leaves as steam."
            .into(),
        parts: vec![a, b, c],
        total: 4,
        ..QuestionContext::default()
    }
}

fn gypsum(number: u32) -> QuestionContext {
    let mut only = part(
        "",
        "",
        3,
        vec![answer(
            "mass of water bound in the gypsum crystals of one settling pond",
            "kg",
            "5.2",
        )],
    );
    only.working =
        (1..9).map(|i| format!("line {i} of a working that is too long for its space")).collect();
    only.mistakes = vec![mistake("11", "forgot the water of the crystals")];
    only.solution = vec![step(
        1,
        "Each `CaSO4.2H2O` holds two waters; let *x* be the mass of water.",
        &["*x* ÷ 36 = 25.0 ÷ 172", "*x* = 25.0 × 36 ÷ 172", "5.232…\u{202f}kg", "5.2\u{202f}kg"],
    )];
    QuestionContext {
        section: None,
        number,
        stem: "In the second pond `CaSO4.2H2O` settles from sea water that also holds `Na^+`, `Mg^2+`, \
               `SO4^2-` and `Ca(OH)2` from the lime works. The deposit has a mass of 25.0 kg. What \
               mass of it is water? Take $M_r = 172$ and $V = x^2 + 3$."
            .into(),
        parts: vec![only],
        total: 3,
        ..QuestionContext::default()
    }
}

fn table(number: u32) -> QuestionContext {
    let mut a = part(
        "(a)",
        "Work out the share of salt that the crystals carry off.",
        2,
        vec![answer("share of salt", "%", "75.0")],
    );
    a.solution = vec![step(
        1,
        "Compare the crystals with the feed.",
        &["share = crystals ÷ feed", "204\u{202f}kg ÷ 272\u{202f}kg", "0.75", "75.0\u{202f}%"],
    )];
    let mut b = part(
        "(b)",
        "The bittern is sold. Work out the mass of salt in it, and the mass of water.",
        3,
        vec![answer("mass of salt", "kg", "68"), answer("mass of water", "kg", "301")],
    );
    b.solution = vec![step(1, "", &["salt = 272\u{202f}kg − 204\u{202f}kg", "**68\u{202f}kg**"])];
    QuestionContext {
        section: None,
        number,
        stem: "The table shows what the crystallising pond takes in and gives out in a week.\n\n\
               | stream | mass / kg | salt / kg | note |\n|:--|--:|--:|:--|\n\
               | strong brine | 1279.2 | 272 | enters |\n| raked crystals | 228.3 | 204 | moist |\n\
               | bittern | 430 | 68 | leaves last |\n| vapour | 621.05 | none | to the air |\n"
            .into(),
        parts: vec![a, b],
        total: 5,
        ..QuestionContext::default()
    }
}

/// A sheet of `count` questions.
pub(crate) fn sheet(key: bool, count: u32) -> SheetContext {
    let questions = (1..=count)
        .map(|number| match number % 3 {
            1 => pan(number),
            2 => gypsum(number),
            _ => table(number),
        })
        .collect::<Vec<_>>();
    SheetContext {
        front: None,
        data: Vec::new(),
        title: "What leaves the pan?".into(),
        objective_line: Some("Calculate the masses that enter and leave a separation step.".into()),
        head_left: "Year 9 science · Salt from the sea".into(),
        head_right: "Quarnholm Salt Works".into(),
        letters: LettersContext {
            method: "M".into(),
            accuracy: "A".into(),
            independent: "B".into(),
        },
        code: "C-7K2".into(),
        version: "C".into(),
        seed: "7".into(),
        key,
        score: questions.iter().map(|question| question.total).sum(),
        language: "en-GB".into(),
        questions,
        cautions: Vec::new(),
        seat: String::new(),
        named: false,
        marked: None,
        timed: false,
    }
}

/// A sheet whose texts are as unkind as an author's can be.
pub(crate) fn unkind() -> SheetContext {
    let mut context = sheet(true, 12);
    let long = "unbrokenwordwithoutanyspace".repeat(12);
    let table = DataContext {
        title: long.clone(),
        columns: (0..9).map(|i| ColumnContext { head: "head".into(), numbers: i > 0 }).collect(),
        rows: vec![vec!["cell".into(); 9]; 60],
        source: long.clone(),
    };
    context.data = vec![table.clone(), table];
    context.questions[0].data = context.data[..1].to_vec();
    let rooms = ["none", "blank", "lines", "drawing", "graph"];
    let parts = context.questions.iter_mut().flat_map(|question| &mut question.parts);
    for (part, kind) in parts.zip(rooms.iter().cycle()) {
        let (width, height) = (Some(900.0), Some(900.0));
        let lines = Some(90);
        part.room = Some(RoomContext { kind: (*kind).to_owned(), width, height, lines });
    }
    context.title = format!("A title {}", "that goes on and on ".repeat(12));
    context.head_left = "a very long course name indeed ".repeat(6);
    context.head_right = long.clone();
    context.objective_line = Some(long.clone());
    context.questions[0].stem = format!(
        "{long} and {}\n\n- a\n- {long}\n\n1. b\n\n> **Note.** {long}",
        "words ".repeat(400)
    );
    context.questions[1].parts[0].answers[0].name = long.clone();
    context.questions[1].parts[0].answers[0].value =
        "123\u{202f}456\u{202f}789.123\u{202f}456\u{202f}789 or so".into();
    context.questions[2].parts[0].marks = 90;
    context.questions[2].parts[1].answers[0].unit =
        "kg of dissolved salts per 100 g of dry air".into();
    context.questions[3].parts[0].text = String::new();
    context.questions[3].parts[1].text =
        "| a | b |\n|:--|--:|\n".to_owned() + &"| cell with some words in it | 12.5 |\n".repeat(60);
    context.questions[4].stem =
        format!("|{}\n|{}\n|{}\n", "head words|".repeat(14), ":--|".repeat(14), "cell|".repeat(14));
    context.questions[5].parts[0].solution[0].chain =
        vec![format!("{long} = {long}"), long.clone(), "= 3".into()];
    context.questions[6].parts[1].mistakes = (0..9)
        .map(|i| MistakeContext { value: i.to_string(), says: "something ".repeat(9) })
        .collect();
    context.questions[7].stem = ">".repeat(9) + " deep\n\n" + &"- ".repeat(30) + "deeper";
    context.questions[8].stem = String::new();
    context.questions[8].parts.clear();
    context.cautions = vec!["Hot liquid spits. ".repeat(60), long];
    context
}

/// A lesson with every kind of block.
pub(crate) fn lesson() -> LessonContext {
    let texts = |all: &[&str]| all.iter().map(|text| (*text).to_owned()).collect::<Vec<String>>();
    let outlet =
        |role: &str, stream: &str| OutletContext { role: role.into(), stream: stream.into() };
    let technique = |title: &str| TechniqueContext {
        id: "evaporation".into(),
        title: title.into(),
        property: "boiling point".into(),
        separates: "a dissolved solid from its solvent".into(),
        outlets: vec![outlet("vapour", "steam, to the air"), outlet("concentrate", "strong brine")],
        apparatus: texts(&[
            "evaporating basin",
            "tripod",
            "gauze",
            "burner",
            "stirring rod",
            "eye protection for everybody near the bench",
        ]),
        steps: texts(&[
            "Half fill the basin.",
            "Heat gently until crystals show at the edge, and stir all the while so that no crust forms on the liquid and bursts.",
            "Leave it to cool.",
        ]),
        cautions: texts(&[
            "Stop at the crystallisation point; the basin stays hot.",
            "Hot liquid spits when it is nearly dry: wear eye protection, keep hair and sleeves back, and stand up to work.",
        ]),
        industry: texts(&["a wide open pan over a fire"]),
        ..TechniqueContext::default()
    };
    let operation = |step: &str, operation: &str, inlets: &[&str], outlets: Vec<OutletContext>| {
        OperationContext {
            step: step.into(),
            operation: operation.into(),
            inlets: texts(inlets),
            outlets,
        }
    };
    let example = ExampleContext { number: 1, stem: pan(1).stem, parts: pan(1).parts };
    LessonContext {
        hyphenation: true,
        title: "Salt from the sea".into(),
        head_left: "Year 9 science · Salt from the sea".into(),
        head_right: "Quarnholm Salt Works".into(),
        class_line: "Year 9 science".into(),
        minutes: Some(150),
        objectives: vec![
            ObjectiveContext { id: "property".into(), words: "Name the property that each separation technique uses".into() },
            ObjectiveContext { id: "chain".into(), words: "Say what enters and leaves each step of a process, by-products included".into() },
        ],
        language: "en-GB".into(),
        items: vec![
            LessonItem::Prose { markdown: "Sea water holds about 3.5 % of dissolved salts by mass. At Quarnholm the sun and the wind do most of the work, and a fire does the rest. This handout follows 10 t of sea water from the sluice to the sack.\n\n## The evaporation pan\n\nBrine is boiled in a wide pan. Water leaves as **steam**; the salt stays behind. The *whole* mass that enters is the mass that leaves.\n\n> **Note.** The word brine is used here for any strong solution of salt in water, `NaCl` above all, whatever else is dissolved in it.\n\n> **Caution.** Hot liquid spits when nearly dry.\n\nThree things are worth watching:\n\n- the colour of the liquid\n- the crust at the edge, which is the first sign that the brine has become saturated and that any more water driven off must leave crystals behind\n- the smell\n\n1. First.\n2. Second.\n\n### A closer look\n\nSome text under a smaller heading.".into() },
            LessonItem::Technique(Box::new(technique("Evaporation"))),
            LessonItem::Technique(Box::new(technique("Boiling down in a vacuum"))),
            LessonItem::Process(ProcessContext {
                title: "From sea water to dry salt".into(),
                operations: vec![
                    operation("pond", "sedimentation", &["sea water"], vec![outlet("overflow", "clear brine"), outlet("underflow", "mud bed")]),
                    operation("pan", "evaporation", &["clear brine", "returned liquor"], vec![outlet("vapour", "steam"), outlet("concentrate", "slurry")]),
                    operation("spinner", "centrifugation", &["slurry"], vec![outlet("crystals", "wet salt"), outlet("liquor", "bittern")]),
                    operation("drier", "drying", &["wet salt"], vec![outlet("vapour", "moisture"), outlet("product", "dry salt")]),
                ],
                by_products: vec![
                    ByProductContext { stream: "mud bed".into(), purpose: "spread on the fields".into() },
                    ByProductContext { stream: "bittern".into(), purpose: "bath salts and dust binder".into() },
                ],
            }),
            LessonItem::Example(example),
            LessonItem::Data(DataContext {
                title: "Solubility in water, in g per 100 g of water".into(),
                columns: [("salt", false), ("0 °C", true), ("20 °C", true), ("40 °C", true)].map(|(head, numbers)| ColumnContext { head: head.into(), numbers }).to_vec(),
                rows: vec![texts(&["potassium chloride", "28.0", "34.2", "40.1"]), texts(&["common salt", "35.7", "36", "−36.45"])],
                source: "common school table, from memory".into(),
            }),
            LessonItem::Glossary { terms: vec![
                TermContext { term: "residue".into(), meaning: "the solid left in the filter".into(), example: String::new(), not: "filtrate".into() },
                TermContext { term: "mother liquor".into(), meaning: "the solution from which crystals have formed, and which is still saturated with what they are made of".into(), example: "bittern".into(), not: String::new() },
            ] },
        ],
        closing: Some("Read the cautions and your own school's rules before any practical work; they come first.".into()),
    }
}
