//! Slides, handouts, notes, cards and practical sheets: what must hold of every one,
//! over the demonstration units and a unit made to be awkward.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Face, Mark, Page, Segment};
use stillroom::composing::{Deck, Paper, Profile, UPS, cards, compose, slides as lay};
use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::document::context::{SlideItem, SlidesContext};
use stillroom::document::{
    Document, Drawings, ReadFault, Templates, lettered_id, read_with, sketch_id, slides, techniques,
};
use stillroom::figure::{Labelling, apparatus};
use stillroom::question::{Solution, respond};
use stillroom::reading::model::{self, Model};
use stillroom::reading::parse;
use stillroom::run::{self, Extras, PrintJob};

const MM: f64 = 72.0 / 25.4;

/// Long words, long steps, no bold anywhere, a list and a table that no slide holds.
const AWKWARD: &str = "---
id: awkward
title: A title that is a good deal longer than any title on a slide has any right to be, and goes on
objectives:
  masses: Calculate the masses that enter and leave a step, however long it takes to say so in words
---

Plain prose without anything in bold. It has a second sentence that no slide shows.

## A heading that is too long for one line of a slide even at the least size of type there is

One idea that goes on. It is **all in one sentence, which has so many words in it that seven lines \
of the largest type cannot hold them, and so it must go on to a further slide whatever is done, since \
a sentence is never cut short nor set in letters that the last row of a classroom could not read, and \
since what was said in bold was meant to be seen by everyone who is there, the last row included, and \
not only by those in front, who see everything anyway and would not mind if it were smaller**.

- first
- second, with aqueousammoniumchlorideaqueousammoniumchlorideaqueousammoniumchloride in it
- third
- fourth
- fifth
- sixth
- seventh
- eighth

| name | number | what is said of it |
|:-----|-------:|:-------------------|
| one | 1 | a good many words that need two lines in their cell |
| two | 20 | a good many words that need two lines in their cell |
| three | 300 | a good many words that need two lines in their cell |
| four | 4000 | a good many words that need two lines in their cell |
| five | 5 | a good many words that need two lines in their cell |

```technique
id: boiling
property: boiling point
steps:
  - Fill the basin no more than half full, and watch it from the side, never from above, all the while.
  - Heat gently, and stop when crystals show at the edge of the liquid, wherever that may be just then.
  - Let the rest of the water leave without the flame, and weigh the cold basin with all that is in it.
  - Write down every mass as soon as you have read it, with its unit, and ask when you are not certain.
cautions:
  - The basin stays hot long after the flame is out. Use tongs and the mat, and leave it where it is.
  - Hot brine spits when it is nearly dry. Lower the flame early and keep your eye protection on your face.
  - Never evaporate a flammable solvent over a flame, nor anything of which you do not know what it is.
  - Follow your school's risk assessment and local rules. Your teacher decides whether this is done at all.
```

```question
id: half
objective: masses
values:
  brine: 200 to 400 kg, step 50
find: brine / 2
name: half of it
---
Half of {{ brine }} of brine?
```
";

/// The drawings of all apparatus.
fn sketches() -> Drawings {
    let mut made = Drawings::new();
    for name in apparatus::names() {
        let drawn = |labelling| apparatus::sketch(name, labelling).unwrap();
        made.extend([
            (sketch_id(name), drawn(Labelling::Named)),
            (lettered_id(name), drawn(Labelling::Lettered)),
        ]);
    }
    made
}

fn read(markdown: &str) -> Result<Document, ReadFault> {
    read_with(markdown, &sketches())
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn model(name: &str, text: String) -> Model {
    let mut out = Diagnostics::new();
    let file: Arc<SourceFile> = SourceFile::new(name, text);
    let parsed = Arc::new(parse(&file, &mut out).unwrap());
    let model = model::check(&parsed, &mut out);
    assert!(!out.has_errors(), "{name}: {out:?}");
    model
}

fn models() -> Vec<(String, Model)> {
    let unit = |name: &str| {
        let text = std::fs::read_to_string(root().join("units").join(name)).unwrap();
        (name.to_owned(), model(name, text))
    };
    vec![
        unit("quarnholm-salt.md"),
        unit("ombrindale-potash.md"),
        ("awkward".to_owned(), model("awkward", AWKWARD.to_owned())),
    ]
}

/// A unit's slides with the first choice of every value.
fn context(model: &Model) -> SlidesContext {
    let solved = |checked| {
        let solution = Solution::of(checked, &vec![0; checked.axes().len()]).unwrap();
        let answers = solution.answers();
        (solution, answers)
    };
    let examples: Vec<_> = model
        .examples
        .iter()
        .map(|(index, checked)| {
            let (solution, answers) = solved(checked);
            (*index, solution, answers)
        })
        .collect();
    // A first choice that the engine refuses is no version; such questions stay out.
    let mut questions: Vec<_> = model
        .questions
        .iter()
        .filter(|checked| Solution::of(checked, &vec![0; checked.axes().len()]).is_ok())
        .map(solved)
        .collect();
    assert!(!questions.is_empty());
    respond(&mut questions, 7, &model.parsed.front.id.value, 0);
    slides(model, &examples, &questions, "A", 7, &sketches())
}

fn deck(model: &Model) -> Deck {
    let markdown = Templates::new(None).fill("slides.md", &context(model)).unwrap();
    lay(&read(&markdown).unwrap(), &Faces::embedded())
}

/// Left, top, right, bottom.
fn bounds(mark: &Mark) -> (f64, f64, f64, f64) {
    let around = |points: &[(f64, f64)]| {
        let first = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
        points
            .iter()
            .fold(first, |(a, b, c, d), (x, y)| (a.min(*x), b.min(*y), c.max(*x), d.max(*y)))
    };
    match mark {
        Mark::Text { size, x, baseline, glyphs, .. } => {
            let width: f64 = glyphs.iter().map(|glyph| glyph.advance).sum::<f64>() * size / 1000.0;
            (*x, baseline - 0.66 * size, x + width, *baseline)
        }
        Mark::Rule { from, to, .. } => around(&[*from, *to]),
        Mark::Box { x, y, width, height, .. } | Mark::Pixels { x, y, width, height, .. } => {
            (*x, *y, x + width, y + height)
        }
        Mark::Path { segments, .. } | Mark::Holed { segments, .. } => {
            let points: Vec<(f64, f64)> = segments
                .iter()
                .flat_map(|segment| match segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => vec![(*x, *y)],
                    Segment::Curve(a, b, c) => vec![*a, *b, *c],
                    Segment::Close => Vec::new(),
                })
                .collect();
            around(&points)
        }
        Mark::Said { marks, .. } => {
            let first = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
            marks
                .iter()
                .map(bounds)
                .fold(first, |(a, b, c, d), (e, f, g, h)| (a.min(e), b.min(f), c.max(g), d.max(h)))
        }
    }
}

fn text(mark: &Mark) -> String {
    match mark {
        Mark::Text { glyphs, .. } => glyphs.iter().map(|glyph| glyph.text.as_str()).collect(),
        Mark::Said { text, .. } => text.clone(),
        _ => String::new(),
    }
}

fn words(page: &Page) -> String {
    page.marks.iter().map(|mark| text(mark) + " ").collect()
}

/// No two texts stand over each other.
fn assert_apart(name: &str, page: &Page) {
    let texts: Vec<_> = page
        .marks
        .iter()
        .filter(|m| !text(m).trim().is_empty())
        .map(|m| (bounds(m), text(m)))
        .collect();
    for (i, (a, one)) in texts.iter().enumerate() {
        for (b, other) in &texts[i + 1..] {
            let over = a.0 < b.2 - 0.3 && b.0 < a.2 - 0.3 && a.1 < b.3 - 0.3 && b.1 < a.3 - 0.3;
            assert!(!over, "{name}: {one:?} over {other:?}");
        }
    }
}

/// Whether a sign is raised or lowered beside larger text.
fn beside_larger(mark: &Mark, page: &Page) -> bool {
    let Mark::Text { size, baseline, .. } = mark else { return false };
    page.marks.iter().any(|other| match other {
        Mark::Text { size: larger, baseline: line, .. } => {
            larger * 0.71 >= *size && (line - baseline).abs() < 12.0 && line != baseline
        }
        _ => false,
    })
}

/// The measures are those of the page design: 720 by 405 pt, text of 24 pt or more
/// between 88 and 364 pt and 40 pt from the sides, at most 7 lines; smaller type only
/// for the foot (11 pt) and on the black tab (16 pt), subscripts at 0.7.
#[test]
fn slides_are_read_from_the_last_row() {
    for (unit, model) in models() {
        for slide in &deck(&model).slides {
            let at = format!("{unit}, slide {}: {}", slide.number, slide.title);
            assert_eq!((slide.page.width, slide.page.height), (720.0, 405.0));
            let mut lines = Vec::new();
            for mark in &slide.page.marks {
                let (left, top, right, bottom) = bounds(mark);
                assert!(
                    left >= 39.0 && right <= 681.5,
                    "{at}: {:?} at {left} to {right}",
                    text(mark)
                );
                assert!(
                    top >= 23.5 && bottom <= 395.0,
                    "{at}: {:?} at {top} to {bottom}",
                    text(mark)
                );
                let Mark::Text { size, baseline, .. } = mark else { continue };
                let (in_foot, in_title) = (*baseline > 380.0, *baseline < 84.0);
                let least = match (in_foot, in_title) {
                    (true, _) => 11.0,
                    (_, true) => 16.0,
                    // The second face is drawn at 0.88 of the size; signs beside the line
                    // stand by larger ones.
                    _ if beside_larger(mark, &slide.page) => 24.0 * 0.7 * 0.88,
                    _ => 24.0 * 0.88,
                };
                assert!(*size >= least - 1e-9, "{at}: {:?} of {size} pt", text(mark));
                if !in_foot && !in_title {
                    assert!(bottom <= 364.5, "{at}: {:?} ends at {bottom}", text(mark));
                    lines.push(*baseline);
                }
            }
            lines.sort_by(f64::total_cmp);
            // Raised and lowered signs belong to their line.
            lines.dedup_by(|a, b| (*a - *b).abs() < 12.0);
            // A table is read across, row by row; its rows are counted.
            let level = slide.page.marks.iter().filter(|mark| {
                matches!(mark, Mark::Rule { from, to, .. } if from.1 == to.1 && from.1 < 370.0)
            });
            let table = level.count() > 4;
            // Options stand close, in lines of their own, each with its letter or box.
            let letter = |mark: &&Mark| match mark {
                Mark::Text { face: Face::Bold, .. } => text(mark).len() == 1,
                Mark::Box { .. } => true,
                _ => false,
            };
            let options = slide.page.marks.iter().filter(letter).count() > 4;
            let most = if options { 8 } else { 7 };
            assert!(table || lines.len() <= most, "{at}: {} lines", lines.len());
            assert_apart(&at, &slide.page);
        }
    }
}

#[test]
fn a_heading_starts_a_slide_and_the_objectives_frame_the_set() {
    for (unit, model) in models() {
        let context = context(&model);
        let deck = deck(&model);
        let titles: Vec<&str> = deck.slides.iter().map(|slide| slide.title.as_str()).collect();
        assert_eq!(titles[0], model.parsed.front.title.value);
        assert_eq!(
            (titles[1], *titles.last().unwrap()),
            ("You will learn to", "You can now"),
            "{unit}"
        );
        for heading in model.parsed.file.text().lines().filter_map(|line| line.strip_prefix("## "))
        {
            assert!(titles.contains(&heading), "{unit}: no slide for {heading:?}");
        }
        for technique in &context.techniques {
            assert!(titles.contains(&technique.title.as_str()), "{unit}: {}", technique.title);
            for kind in ["steps", "cautions"] {
                let title = format!("{}: {kind}", technique.title);
                assert!(titles.contains(&title.as_str()), "{unit}: {title}");
            }
        }
        let numbers: Vec<usize> = deck.slides.iter().map(|slide| slide.number).collect();
        assert_eq!(numbers, (1..=numbers.len()).collect::<Vec<_>>());
    }
}

/// What the author set in bold is shown, every word of the prose is in the notes.
#[test]
fn what_is_stressed_is_shown_and_all_is_said() {
    let text = "## The pan\n\nBrine is boiled. Water leaves as **steam**, all of it. The salt \
                stays behind in the pan, whatever is done, and in the end it is raked out by two \
                people with long rakes. They work from both sides.\n\nThen the pan is filled again \
                with clear brine from the tank. It takes an hour. The fire is kept low all the \
                while, because an empty pan would warp. Nobody leaves it alone.\n";
    let unit = AWKWARD.replace("Plain prose without anything in bold.", text);
    let context = context(&model("stressed", unit));
    let shown = context.items.iter().find_map(|item| match item {
        SlideItem::Prose { title, body, notes, .. } if title == "The pan" => Some((body, notes)),
        _ => None,
    });
    let (body, notes) = shown.unwrap();
    assert_eq!(body.trim(), "- Water leaves as **steam**, all of it.");
    for words in ["Brine is boiled.", "They work from both sides.", "Nobody leaves it alone."] {
        assert!(notes.contains(words), "{words}");
    }
}

#[test]
fn an_answer_stands_under_its_question_at_the_same_place() {
    for (unit, model) in models() {
        let deck = deck(&model);
        let mut pairs = 0;
        for (number, pair) in deck.slides.windows(2).enumerate() {
            let [asked, answered] = pair else { continue };
            if !words(&answered.page).contains("ANSWER")
                || asked.title != answered.title
                || !asked.learners
                || words(&asked.page).contains("(continued)")
            {
                continue;
            }
            pairs += 1;
            let own = |page: &Page| -> Vec<Mark> {
                let within = |mark: &&Mark| (84.0..370.0).contains(&bounds(mark).3);
                page.marks.iter().filter(within).cloned().collect()
            };
            let (asked, answered) = (own(&asked.page), own(&answered.page));
            let at = format!("{unit}, {}", pair[0].title);
            // An answer that finds no room below a long question goes on.
            let goes_on = deck.slides.get(number + 2).is_some_and(|next| {
                let words = words(&next.page);
                words.contains("(continued)") && words.contains("ANSWER")
            });
            // What fills a box stands with its box, so the order may differ; a right option
            // stands in its place in another face.
            let stands = |asked: &Mark| match asked {
                Mark::Text { baseline, .. } => answered.iter().any(|mark| {
                    matches!(mark, Mark::Text { baseline: own, .. } if own == baseline)
                        && text(mark) == text(asked)
                }),
                Mark::Box { .. } => true,
                _ => answered.contains(asked),
            };
            let below = (answered.len() > asked.len() || goes_on) && asked.iter().all(stands);
            let begun = goes_on && answered.iter().all(|mark| asked.contains(mark));
            assert!(!asked.is_empty() && (below || begun), "{at}");
        }
        assert!(pairs > 0, "{unit} asks nothing");
    }
}

/// The number under each slide of a handout.
fn numbers(composed: &Composed) -> Vec<usize> {
    let marks = composed.pages.iter().flat_map(|page| &page.marks);
    marks
        .filter(|mark| matches!(mark, Mark::Text { size, .. } if *size == 8.0))
        .filter_map(|mark| text(mark).strip_prefix("Slide ").and_then(|n| n.parse().ok()))
        .collect()
}

/// Sheets as the page design says: A4 and Letter, the slides in order inside the
/// block (22 mm from the binding edge, 174 mm wide), clear of header and footer.
#[test]
fn handouts_leave_answers_out_and_keep_the_numbers() {
    let faces = Faces::embedded();
    for (unit, model) in models() {
        let deck = deck(&model);
        let learners: Vec<usize> =
            deck.slides.iter().filter(|slide| slide.learners).map(|slide| slide.number).collect();
        assert!(learners.len() < deck.slides.len(), "{unit}: nothing is left out");
        for paper in [Paper::A4, Paper::Letter] {
            let profile = Profile { paper, ..Profile::default() };
            for up in UPS {
                let handout = deck.handout(up, &profile, &faces).unwrap();
                assert_eq!(
                    handout.pages.len(),
                    learners.len().div_ceil(up as usize),
                    "{unit}, {up}"
                );
                assert_eq!(numbers(&handout), learners, "{unit}, {up}");
                for page in &handout.pages {
                    assert!(!words(page).contains("ANSWER"), "{unit}, {up}");
                    let of_slide = |mark: &&Mark| bounds(mark).1 > 18.0 * MM;
                    for mark in page.marks.iter().filter(of_slide) {
                        let (left, top, right, bottom) = bounds(mark);
                        let at = format!("{unit}, {up} up, {paper:?}: {:?}", text(mark));
                        assert!(left >= 21.9 * MM && right <= 196.1 * MM, "{at}");
                        assert!(top >= 23.9 * MM && bottom <= page.height - 13.5 * MM, "{at}");
                    }
                    assert_apart(&format!("{unit}, {up}"), page);
                }
            }
        }
        assert!(deck.handout(5, &Profile::default(), &faces).is_none());
    }
}

#[test]
fn three_up_leaves_eight_lines_beside_each_slide() {
    let faces = Faces::embedded();
    let (_, model) = &models()[0];
    let deck = deck(model);
    let lines = |up| {
        let handout = deck.handout(up, &Profile::default(), &faces).unwrap();
        let at = |mark: &Mark| match mark {
            Mark::Rule { from, to, weight, .. } => (*weight == 0.5
                && (from.0 - 112.0 * MM).abs() < 0.1
                && (to.0 - 196.0 * MM).abs() < 0.1)
                .then_some(from.1),
            _ => None,
        };
        handout.pages[0].marks.iter().filter_map(at).collect::<Vec<f64>>()
    };
    let found = lines(3);
    assert_eq!(found.len(), 24);
    // The pitch of ruled lines is 6 units of 4 pt.
    assert!(found[..8].windows(2).all(|pair| (pair[1] - pair[0] - 24.0).abs() < 1e-9));
    assert!(lines(4).is_empty());
}

#[test]
fn notes_say_all_prose_once_and_show_every_slide() {
    let faces = Faces::embedded();
    for (unit, model) in models() {
        let deck = deck(&model);
        for profile in [Profile::default(), Profile { large_print: true, ..Profile::default() }] {
            let notes = deck.notes(&profile, &faces);
            let all: Vec<usize> = (1..=deck.slides.len()).collect();
            assert_eq!(numbers(&notes), all, "{unit}");
            for (index, page) in notes.pages.iter().enumerate() {
                assert_apart(&format!("{unit}, notes {}", index + 1), page);
                for mark in &page.marks {
                    let (left, _, right, bottom) = bounds(mark);
                    assert!(left >= 19.9 * MM && right <= 196.5 * MM, "{unit}: {:?}", text(mark));
                    assert!(bottom <= page.height - 13.5 * MM, "{unit}: {:?}", text(mark));
                }
            }
            let said: String = notes.pages.iter().map(words).collect();
            assert!(said.contains("All notes together take"), "{unit}");
        }
    }
}

/// Cards: half a sheet each, text within 12 mm of the edges and the fold, every step and
/// caution there; 9 pt is the least type of their text, 8 pt of their foot.
#[test]
fn cards_hold_every_step_and_caution_within_their_half() {
    let faces = Faces::embedded();
    for (unit, model) in models() {
        let context = techniques(&model, &sketches());
        let document = read(&Templates::new(None).fill("cards.md", &context).unwrap()).unwrap();
        for paper in [Paper::A4, Paper::Letter] {
            let made = cards(&document, &Profile { paper, ..Profile::default() }, &faces);
            let mut all = String::new();
            for page in &made.pages {
                let half = page.height / 2.0;
                assert_apart(&unit, page);
                for mark in page.marks.iter().filter(|mark| !text(mark).is_empty()) {
                    let (left, top, right, bottom) = bounds(mark);
                    let (top, bottom) =
                        if top > half { (top - half, bottom - half) } else { (top, bottom) };
                    let at =
                        format!("{unit}, {paper:?}: {:?} at {top:.0} to {bottom:.0}", text(mark));
                    assert!(left >= 14.5 * MM && right <= page.width - 11.5 * MM, "{at}");
                    assert!(top >= 11.0 * MM && bottom <= half - 7.5 * MM, "{at}");
                    let Mark::Text { size, .. } = mark else { continue };
                    assert!(*size >= 8.0 * 0.7, "{at}");
                    all.push_str(&text(mark));
                    all.push(' ');
                }
                // Two cut marks at the fold.
                let cuts = page.marks.iter().filter(|mark| {
                    matches!(mark, Mark::Rule { from, weight, .. } if from.1 == half && *weight == 0.35)
                });
                assert_eq!(cuts.count(), 2, "{unit}");
            }
            let bare = |text: &str| text.split_whitespace().collect::<String>();
            let all = bare(&all);
            for technique in &context.techniques {
                for words in technique.steps.iter().chain(&technique.cautions) {
                    // Lines of neighbouring columns come between: word by word.
                    for word in words.split_whitespace().filter(|word| word.len() > 3) {
                        assert!(
                            all.contains(word),
                            "{unit}: {word:?} of {words:?} is not on a card"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn a_practical_sheet_defers_to_local_rules_and_has_room_to_write() {
    let faces = Faces::embedded();
    for (unit, model) in models() {
        let context = techniques(&model, &sketches());
        let document = read(&Templates::new(None).fill("practical.md", &context).unwrap()).unwrap();
        for profile in [Profile::default(), Profile { large_print: true, ..Profile::default() }] {
            let made = compose(&document, &profile, &faces);
            let all: String = made.pages.iter().map(words).collect();
            let all = all.split_whitespace().collect::<Vec<_>>().join(" ");
            let count = context.techniques.len();
            for part in
                ["Aim", "Caution", "What to do", "Results", "Looking back", "risk assessment, your"]
            {
                assert!(all.matches(part).count() >= count, "{unit}: {part}");
            }
            for page in &made.pages {
                assert_apart(&unit, page);
            }
            // Six ruled lines a technique, 8.5 mm apart (12.7 in large print).
            let ruled = made.pages.iter().flat_map(|page| &page.marks).filter(|mark| {
                matches!(mark, Mark::Rule { from, to, weight, .. }
                    if from.1 == to.1 && *weight == if profile.large_print { 1.0 } else { 0.5 })
            });
            assert!(ruled.count() >= 6 * count, "{unit}");
        }
    }
}

/// What does not fit is told once, with its place and how much it is.
#[test]
fn what_is_too_long_for_its_slide_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("awkward.md");
    std::fs::write(&path, AWKWARD).unwrap();
    let checked = run::check(&[path]);
    assert!(!checked.failed);
    let found: Vec<(usize, &str)> = checked
        .findings
        .iter()
        .filter(|finding| finding.code.text() == "slide-too-long")
        .map(|finding| (finding.place.line_column().0, finding.message.as_str()))
        .collect();
    let heading = AWKWARD.lines().position(|line| line.starts_with("## ")).unwrap() + 1;
    assert!(found.iter().any(|(line, _)| *line == heading), "{found:?}");
    let says = |message: &str| message.contains("too many") && message.contains("line");
    assert!(found.iter().all(|(_, message)| says(message)), "{found:?}");
}

fn printed(extras: Extras, out: &Path) -> BTreeMap<String, Vec<u8>> {
    let job = PrintJob {
        unit: root().join("units/quarnholm-salt.md"),
        versions: 1,
        only: None,
        seed: 7,
        out: PathBuf::from(out),
        one_file: false,
        html: false,
        roster: None,
        profile: Profile::default(),
        extras,
    };
    let made = run::print(&job, &mut |_| {}).unwrap();
    let entries = std::fs::read_dir(made.folder.unwrap()).unwrap();
    entries
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect()
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_old_slides_do_not_stay() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let all = || Extras {
        slides: true,
        handouts: vec![2, 3],
        cards: true,
        practical: true,
        ..Extras::default()
    };
    let first = printed(all(), one.path());
    assert!(first == printed(all(), two.path()), "two runs differ");
    for name in ["slides", "notes", "handout-2", "handout-3", "cards", "practical"] {
        let bytes = &first[&format!("{name}.pdf")];
        assert!(lopdf::Document::load_mem(bytes).unwrap().get_pages().len() > 1, "{name}");
    }
    // The lesson and the sheets are the same whatever is printed beside them.
    let plain = printed(Extras::default(), one.path());
    for name in ["lesson.pdf", "worksheet-A.pdf", "answer-key-A.pdf"] {
        assert!(first[name] == plain[name], "{name}");
    }
    let gone = ["slides.pdf", "notes.pdf", "handout-2.pdf", "handout-3.pdf"];
    assert!(gone.iter().all(|name| !plain.contains_key(*name)), "{:?}", plain.keys());
    assert!(plain.contains_key("cards.pdf"), "cards have no numbers to be mixed up");
}

#[test]
fn a_template_that_fails_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("awkward.md"), AWKWARD).unwrap();
    std::fs::create_dir(folder.path().join("templates")).unwrap();
    std::fs::write(folder.path().join("templates/slides.md"), "{{ nobody }}").unwrap();
    let job = PrintJob {
        unit: folder.path().join("awkward.md"),
        versions: 1,
        only: None,
        seed: 7,
        out: folder.path().join("out"),
        one_file: false,
        html: false,
        profile: Profile::default(),
        extras: Extras { slides: true, ..Extras::default() },
        roster: None,
    };
    let made = run::print(&job, &mut |_| {}).unwrap();
    assert!(made.folder.is_none());
    let faults = made.findings.iter().filter(|finding| finding.code.text() == "template-fault");
    assert_eq!(faults.count(), 1, "{:?}", made.findings);
    assert!(!folder.path().join("out").exists(), "something was written");
}
