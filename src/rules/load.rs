//! How much there is to read, and how long it all takes.
//!
//! Takes blocks of a checked unit; says which sentences and stems are long, which
//! questions read harder than their class, and which take longer than they are given.
//! Terms that the unit teaches (glossary, techniques, names of a process) weigh nothing.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Place};
use crate::question::{Fairness, Profile, respond, spread};
use crate::reading::model::{Checked, Model};
use crate::reading::parsed::{Item, ParsedUnit, ProcessRef, Question};

use super::asking::{checked_of, samples};
use super::language::{sentences, syllables, words};
use super::readability::Counts;
use super::texts::{Block, Role, blocks};

/// Most words of a sentence in a question.
const LONG_SENTENCE: usize = 25;
/// Most words of a stem, and for each part that uses it after the first.
const LONG_STEM: usize = 60;
const FOR_A_PART: usize = 25;
/// Syllables of a word that a learner may stumble over.
const LONG_WORD: u32 = 5;
/// Words of a text that teaches.
const A_LESSON: usize = 200;
/// Letters that two words of one root share.
const ROOT: usize = 6;
/// A grade counts years in the United States, one fewer than in England; and what is
/// counted over a few sentences wavers by a year or two.
const SLACK: f64 = 2.0;

pub(super) fn check(model: &Model, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    let Item::Question(question) = block.item else { return };
    let unit = &model.parsed;
    let mut stem = 0;
    for passage in block.of(&[Role::Stem, Role::Part]) {
        for range in sentences(&passage.plain) {
            let count = words(&passage.plain[range.clone()]).len();
            stem += if passage.role == Role::Stem { count } else { 0 };
            if count > LONG_SENTENCE {
                say(Diagnostic::new(
                    Code::LongSentence,
                    passage.place(unit, range),
                    format!("This sentence of a question has {count} words."),
                )
                .found(format!("{count} words"))
                .expected(format!("at most {LONG_SENTENCE}"))
                .next("make two sentences of it"));
            }
        }
    }
    let asked: usize = question.parts.iter().map(|part| part.find.len().max(1)).sum();
    let most = LONG_STEM + FOR_A_PART * asked.saturating_sub(1);
    if stem > most {
        say(Diagnostic::new(
            Code::LongStem,
            Place::new(&unit.file, question.stem.span),
            format!("What stands before the first part has {stem} words."),
        )
        .found(format!("{stem} words"))
        .expected(format!("at most {most} for {asked} answers"))
        .next("say in the part what only that part needs"));
    }
    let terms = Terms::of(unit, Some(question));
    if let (Some(year), Some(grade)) = (year(unit), counts(block, &terms).grade())
        && grade > year + SLACK
    {
        say(Diagnostic::new(
            Code::HardToRead,
            Place::new(&unit.file, question.id.span),
            format!(
                "This question reads like school year {:.0}, and is for year {year:.0}.",
                grade + 1.0
            ),
        )
        .found(format!("a Flesch-Kincaid grade of {grade:.1}, taught terms apart"))
        .expected(format!("at most {:.1}", year + SLACK))
        .next("write shorter sentences and plainer words"));
    }
    untaught(unit, block, &terms, say);
    if let Some(checked) = checked_of(model, block) {
        unequal(unit, checked, say);
    }
    if let (Some(minutes), Some(checked)) = (&question.minutes, checked_of(model, block)) {
        let needed = time_of(checked).map_or(0.0, |(_, minutes)| minutes);
        if needed > f64::from(minutes.value) {
            say(Diagnostic::new(
                Code::TooLittleTime,
                Place::new(&unit.file, minutes.span),
                format!("This question takes about {:.0} minutes.", needed.ceil()),
            )
            .found(format!("{} minutes", minutes.value))
            .expected(format!("{:.0} or more, reading included", needed.ceil()))
            .next("give it more time, or fewer parts"));
        }
    }
}

pub(super) fn check_unit(model: &Model, _: &[Block<'_>], say: &mut dyn FnMut(Diagnostic)) {
    let Some(minutes) = &model.parsed.front.minutes else { return };
    let needed: f64 =
        model.questions.iter().filter_map(|c| time_of(c).map(|(_, minutes)| minutes)).sum();
    if needed <= f64::from(minutes.value) {
        return;
    }
    say(Diagnostic::new(
        Code::TooLittleTime,
        Place::new(&model.parsed.file, minutes.span),
        format!(
            "The questions of this unit take about {:.0} minutes by themselves.",
            needed.ceil()
        ),
    )
    .found(format!("{} minutes", minutes.value))
    .expected(format!("{:.0} or more", needed.ceil()))
    .next("give the unit more time, or keep fewer questions"));
}

/// Says where more than half of what could be drawn is refused as unlike the rest.
fn unequal(unit: &ParsedUnit, checked: &Checked, say: &mut dyn FnMut(Diagnostic)) {
    let solved = |choice: &[usize]| checked.engine.solve(&checked.values_for(choice)).ok();
    let fair = Fairness::of(checked, &mut |choice| solved(choice));
    let all = spread(&checked.axes());
    let possible: Vec<_> = all.iter().filter_map(|c| Some((c, solved(c)?))).collect();
    let unlike: Vec<_> = possible.iter().filter(|(c, slots)| !fair.likes(c, slots)).collect();
    if 2 * unlike.len() <= possible.len() {
        return;
    }
    let profiles: Vec<Profile> = possible.iter().map(|(c, s)| fair.profile(c, s)).collect();
    let differ = |of: &dyn Fn(&Profile) -> u32| {
        let (low, high) = (profiles.iter().map(of).min(), profiles.iter().map(of).max());
        (low.unwrap_or(0), high.unwrap_or(0))
    };
    let (digits, between) = (differ(&|p| p.digits), differ(&|p| p.between));
    let why = if between.0 != between.1 {
        format!("{} to {} readings between the points of a table", between.0, between.1)
    } else {
        format!("numbers of {} to {} figures", digits.0, digits.1)
    };
    say(Diagnostic::new(
        Code::UnequalVersions,
        Place::new(&unit.file, checked.question.id.span),
        "More than half of the versions of this question are not like the others, and are drawn again.",
    )
    .found(format!("{} of {} tried are unlike the usual one: {why}", unlike.len(), possible.len()))
    .expected("versions of the same steps and readings, with figures within one")
    .next("write values with equally many figures, or temperatures of one kind"));
}

/// The profile of a usual version and the minutes it takes.
pub fn time_of(checked: &Checked) -> Option<(Profile, f64)> {
    let solved = |choice: &[usize]| checked.engine.solve(&checked.values_for(choice)).ok();
    let choice = spread(&checked.axes()).into_iter().find(|c| solved(c).is_some())?;
    let profile = Fairness::of(checked, &mut |c| solved(c)).profile(&choice, &solved(&choice)?);
    let solution = samples(checked).into_iter().next()?;
    let answers = solution.answers();
    let working = solution.marked_working(&answers);
    let mut solved = [(solution, answers)];
    respond(&mut solved, 0, "", 0);
    let [(solution, _)] = &solved;
    let of_part = |part: usize| match solution.response(part) {
        Some(response) => response.marks,
        None => {
            let own = working.iter().filter(|marked| marked.step.part == part);
            own.flat_map(|marked| marked.marks.iter().map(|m| m.count)).sum()
        }
    };
    let marks = (0..checked.question.parts.len()).map(of_part).sum();
    Some((profile, profile.minutes(marks)))
}

/// The reading figures of one question: its counts, taught terms apart.
pub fn words_of_question(model: &Model, checked: &Checked) -> Counts {
    let all = blocks(&model.parsed);
    let own = all.iter().find(|b| b.question().is_some_and(|q| q.span == checked.question.span));
    let terms = Terms::of(&model.parsed, Some(&checked.question));
    own.map_or_else(Counts::default, |block| counts(block, &terms))
}

fn counts(block: &Block<'_>, terms: &Terms) -> Counts {
    let known = |word: &str| terms.taught.contains(word);
    block
        .of(&[Role::Stem, Role::Part])
        .map(|passage| Counts::of(&passage.plain, &known))
        .fold(Counts::default(), Counts::and)
}

/// The year in "Year 9 science".
fn year(unit: &ParsedUnit) -> Option<f64> {
    let class = &unit.front.class.as_ref()?.value;
    let all = words(class);
    let at = all.iter().position(|w| matches!(w.text.as_str(), "year" | "grade" | "class"))?;
    let number: f64 = all.get(at + 1)?.text.parse().ok()?;
    (1.0..=13.0).contains(&number).then_some(number)
}

/// Words that a unit teaches, in small letters.
struct Terms {
    taught: BTreeSet<String>,
}

impl Terms {
    fn of(unit: &ParsedUnit, question: Option<&Question>) -> Terms {
        let mut taught = BTreeSet::new();
        let mut teach = |text: &str| {
            for word in words(&text.replace(['_', '-', '.'], " ")) {
                if !word.text.ends_with('s') {
                    taught.insert(format!("{}s", word.text));
                }
                taught.insert(word.text);
            }
        };
        let process = |process: &crate::reading::parsed::Process, teach: &mut dyn FnMut(&str)| {
            process.components.iter().for_each(|c| teach(&c.name.value));
            for operation in &process.operations {
                teach(&operation.name.value);
                teach(operation.kind.value.name);
                operation.ports.iter().flat_map(|(_, s)| s).for_each(|s| teach(&s.value));
            }
        };
        for item in &unit.items {
            match item {
                Item::Glossary(terms) => terms.iter().for_each(|t| teach(&t.term.value)),
                Item::Technique(technique) => {
                    teach(&technique.id.value);
                    teach(&technique.property.value);
                    technique.title.iter().for_each(|t| teach(&t.value));
                    technique.outlets.iter().for_each(|(role, _)| teach(&role.value));
                }
                Item::Process(found) => process(found, &mut teach),
                Item::Data(data) => data.rows.iter().for_each(|(name, _)| teach(&name.value)),
                Item::Question(_)
                | Item::Example(_)
                | Item::Prose(_)
                | Item::Figure(_)
                | Item::Review(_) => {}
            }
        }
        if let Some(Question { process: ProcessRef::Inline(found), .. }) = question {
            process(found, &mut teach);
        }
        Terms { taught }
    }
}

fn untaught(unit: &ParsedUnit, block: &Block<'_>, terms: &Terms, say: &mut dyn FnMut(Diagnostic)) {
    let all: Vec<String> = blocks(unit)
        .iter()
        .filter(|b| b.question().is_none())
        .flat_map(|b| b.passages.iter().flat_map(|p| words(&p.plain)).collect::<Vec<_>>())
        .map(|w| w.text)
        .collect();
    // A unit of questions alone teaches no words to compare with.
    if all.len() < A_LESSON {
        return;
    }
    let lesson: BTreeSet<String> = all.into_iter().collect();
    let mut seen = BTreeSet::new();
    for passage in block.of(&[Role::Stem, Role::Part]) {
        for word in words(&passage.plain) {
            // The same root will do: evaporated beside evaporation.
            let root: String = word.text.chars().take(ROOT).collect();
            let known = terms.taught.contains(&word.text)
                || lesson.range(root.clone()..).next().is_some_and(|w| w.starts_with(&root));
            let common = COMMON.contains(&word.text.as_str());
            if known
                || common
                || syllables(&word.text) < LONG_WORD
                || !seen.insert(word.text.clone())
            {
                continue;
            }
            say(Diagnostic::new(
                Code::UntaughtWord,
                passage.place(unit, word.at.clone()),
                format!("The lesson does not use the word `{}`.", word.text),
            )
            .found(format!("a word of {} syllables", syllables(&word.text)))
            .expected("words that the class has met")
            .next("use a plainer word, or put it into the glossary"));
        }
    }
}

/// Long words of every science lesson.
const COMMON: &[&str] =
    &["approximately", "electricity", "investigation", "laboratory", "solubility", "university"];
