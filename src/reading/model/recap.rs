//! Questions made from what techniques and processes say of themselves.
//!
//! Takes a unit's blocks; gives questions of one kind, a choice among words, as an
//! author would have written them. What a sibling shares with the right answer, or may
//! share, is never a wrong option: two techniques that part the same things are both
//! right. Where too few are left nothing is asked.

use crate::reading::kinds::{Choose, Kind};
use crate::reading::parsed::{
    Item, Operation, ParsedUnit, Part, Process, ProcessRef, Question, Technique, Text, Written,
};

use super::capital;
use crate::diag::Span;

/// Wrong options at most, and at least for a question to be asked.
const MOST_WRONG: usize = 3;
const LEAST_WRONG: usize = 2;
/// Two techniques whose objects share so many telling words may part the same.
const SHARED: usize = 2;
/// Words that begin so name one property (common practice, no source).
const ROOTS: &[(&[&str], &str)] = &[
    (&["boil", "volatil", "vapour", "evaporat"], "boiling"),
    (&["solub", "dissol", "insolub"], "solubility"),
    (&["magnet"], "magnetism"),
    (&["dens", "heav", "weigh"], "density"),
];
/// Words that say nothing of what is parted.
const IDLE: &[&str] = &[
    "a", "an", "and", "by", "for", "from", "in", "into", "is", "it", "its", "no", "not", "of",
    "on", "or", "so", "that", "the", "their", "them", "this", "to", "when", "where", "which",
    "with", "one", "two", "ones", "other", "others",
];

/// The questions about these blocks, at most so many: of each sort in turn.
pub(super) fn questions(parsed: &ParsedUnit, about: &[&str], most: usize) -> Vec<Question> {
    let wanted = |id: &str| about.is_empty() || about.contains(&id);
    let techniques: Vec<&Technique> = parsed
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Technique(technique) => Some(technique),
            _ => None,
        })
        .collect();
    let processes: Vec<&Process> = parsed
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Process(process) => Some(process),
            _ => None,
        })
        .filter(|process| process.id.as_ref().is_some_and(|id| wanted(&id.value)))
        .collect();
    let chosen: Vec<&Technique> =
        techniques.iter().copied().filter(|t| wanted(&t.id.value)).collect();
    // Not twice in a row about one technique.
    let turned = |by: usize| {
        let by = by.min(chosen.len());
        chosen[by..].iter().chain(&chosen[..by]).copied()
    };
    let sorts: Vec<Vec<Question>> = vec![
        turned(0).filter_map(|one| separates(one, &techniques)).collect(),
        processes.iter().flat_map(|process| by_products(process)).collect(),
        turned(1).filter_map(|one| property(one, &techniques)).collect(),
        processes.iter().flat_map(|process| next_steps(process)).collect(),
        turned(2).flat_map(following_steps).collect(),
    ];
    let longest = sorts.iter().map(Vec::len).max().unwrap_or(0);
    let mut questions: Vec<Question> = Vec::new();
    for turn in 0..longest {
        for sort in &sorts {
            questions.extend(sort.get(turn).cloned());
        }
    }
    questions.truncate(most);
    questions
}

/// "Which technique separates ...?"
fn separates(one: &Technique, all: &[&Technique]) -> Option<Question> {
    let object = one.separates.as_ref()?;
    let wrong = after(one, all).filter(|other| {
        let theirs = other.separates.as_ref();
        shared(&one.property.value, &other.property.value) == 0
            && theirs.is_some_and(|theirs| part_others(&object.value, &theirs.value))
    });
    let text = format!("Which technique separates {}?", without_stop(&object.value));
    let wrong = wrong.map(name).collect();
    made(&format!("separates-{}", one.id.value), one.span, text, name(one), wrong)
}

/// "Which property does ... use?"
fn property(one: &Technique, all: &[&Technique]) -> Option<Question> {
    let mut wrong: Vec<String> = Vec::new();
    for other in after(one, all) {
        let theirs = &other.property.value;
        // Words in common may mean the same property by another name.
        let clear = |known: &str| shared(known, theirs) == 0;
        if clear(&one.property.value) && wrong.iter().all(|known| clear(known)) {
            wrong.push(theirs.clone());
        }
    }
    let text = format!("Which property does {} use?", lower(&name(one)));
    made(&format!("property-{}", one.id.value), one.span, text, one.property.value.clone(), wrong)
}

/// "What is the by-product of ...?", where a step has one.
fn by_products(process: &Process) -> Vec<Question> {
    let mut questions = Vec::new();
    for operation in &process.operations {
        let streams = || operation.ports.iter().flat_map(|(_, streams)| streams);
        let leaving: Vec<&Text> = outlets(operation).collect();
        let is_by_product =
            |name: &str| process.by_products.iter().any(|(stream, _)| stream.value == name);
        let own: Vec<&&Text> = leaving.iter().filter(|s| is_by_product(&s.value)).collect();
        let [stream] = own.as_slice() else { continue };
        // What else enters or leaves this step, then what leaves the others.
        let others = process.operations.iter().flat_map(outlets);
        let mut wrong: Vec<String> = Vec::new();
        for other in streams().chain(others) {
            let words = words(&other.value);
            if !is_by_product(&other.value) && !wrong.contains(&words) {
                wrong.push(words);
            }
        }
        let step = words(&operation.name.value);
        let text = format!(
            "What is the by-product of the step \u{201c}{step}\u{201d}{}?",
            title(process).map_or_else(String::new, |title| format!(" ({title})"))
        );
        let id = format!("by-product-{}", hyphens(&operation.name.value));
        let right = words(&stream.value);
        questions.extend(made(&id, process.span, text, right, wrong));
    }
    questions
}

/// "Which step comes directly after ...?", where exactly one does.
fn next_steps(process: &Process) -> Vec<Question> {
    let mut questions = Vec::new();
    for (place, operation) in process.operations.iter().enumerate() {
        let leaves: Vec<&str> = outlets(operation).map(|s| s.value.as_str()).collect();
        let takes =
            |other: &Operation| inlets(other).any(|stream| leaves.contains(&stream.value.as_str()));
        let after: Vec<&Operation> =
            process.operations.iter().filter(|other| takes(other)).collect();
        let [next] = after.as_slice() else { continue };
        let others = process.operations.iter().enumerate();
        let wrong = others
            .filter(|(n, other)| *n != place && other.name.value != next.name.value)
            .map(|(_, other)| words(&other.name.value))
            .collect();
        let step = words(&operation.name.value);
        let text = format!(
            "Which step comes directly after \u{201c}{step}\u{201d}{}?",
            title(process).map_or_else(String::new, |title| format!(" ({title})"))
        );
        let id = format!("after-{}", hyphens(&operation.name.value));
        questions.extend(made(&id, process.span, text, words(&next.name.value), wrong));
    }
    questions
}

/// What is done next, in the steps of a technique.
fn following_steps(one: &Technique) -> Option<Question> {
    let count = one.steps.len();
    if count < LEAST_WRONG + 2 {
        return None;
    }
    // Somewhere in the middle: the first and the last step can be guessed.
    let place = (count - 1) / 2;
    let (step, right) = (&one.steps[place], &one.steps[place + 1]);
    let others = one.steps.iter().enumerate().filter(|(n, _)| *n != place && *n != place + 1);
    let wrong = others.map(|(_, step)| step.value.clone()).collect();
    let text = format!("{}: \u{201c}{}\u{201d} What is done next?", name(one), step.value.trim());
    made(&format!("next-{}", one.id.value), one.span, text, right.value.clone(), wrong)
}

fn made(id: &str, span: Span, text: String, right: String, wrong: Vec<String>) -> Option<Question> {
    let mut kept: Vec<String> = Vec::new();
    for option in wrong {
        let fresh = !alike(&option, &right) && !kept.iter().any(|known| alike(known, &option));
        if fresh && kept.len() < MOST_WRONG {
            kept.push(option);
        }
    }
    if kept.len() < LEAST_WRONG {
        return None;
    }
    let placed = |text: String| Text::new(text, span);
    let choose = Choose {
        answer: vec![placed(right)],
        several: false,
        wrong: kept.into_iter().map(|text| (placed(text), None)).collect(),
        options: Vec::new(),
    };
    Some(Question {
        data: Vec::new(),
        allow: Vec::new(),
        span,
        id: placed(format!("recap-{id}")),
        title: None,
        objective: None,
        level: None,
        minutes: None,
        process: ProcessRef::None,
        basis: None,
        values: Vec::new(),
        require: Vec::new(),
        given: Vec::new(),
        relations: Vec::new(),
        route: Vec::new(),
        avoid: Vec::new(),
        parts: vec![Part { span, kind: Kind::Choose(choose), ..Part::default() }],
        stem: Written { text, span, blanks: Vec::new() },
        figure: None,
        blank: Vec::new(),
    })
}

/// The other techniques, those behind this one first.
fn after<'t>(
    one: &'t Technique,
    all: &'t [&'t Technique],
) -> impl Iterator<Item = &'t Technique> + 't {
    let place = all.iter().position(|t| t.id.value == one.id.value).unwrap_or(0);
    let behind = all.iter().skip(place + 1);
    behind.chain(&all[..place.min(all.len())]).copied()
}

fn name(technique: &Technique) -> String {
    technique
        .title
        .as_ref()
        .map_or_else(|| capital(&words(&technique.id.value)), |title| title.value.clone())
}

fn title(process: &Process) -> Option<&str> {
    process.title.as_ref().map(|title| title.value.as_str())
}

pub(super) fn outlets(operation: &Operation) -> impl Iterator<Item = &Text> {
    let kind = operation.kind.value;
    let is_inlet = |key: &str| kind.inlets.iter().any(|port| port.key == key);
    operation
        .ports
        .iter()
        .filter(move |(port, _)| !is_inlet(port.value.key))
        .flat_map(|(_, streams)| streams)
}

pub(super) fn inlets(operation: &Operation) -> impl Iterator<Item = &Text> {
    let kind = operation.kind.value;
    let is_inlet = |key: &str| kind.inlets.iter().any(|port| port.key == key);
    operation
        .ports
        .iter()
        .filter(move |(port, _)| is_inlet(port.value.key))
        .flat_map(|(_, streams)| streams)
}

fn words(name: &str) -> String {
    name.replace(['_', '-'], " ")
}

fn hyphens(name: &str) -> String {
    name.to_lowercase().replace('_', "-")
}

fn without_stop(text: &str) -> &str {
    text.trim().trim_end_matches(['.', '?'])
}

fn lower(text: &str) -> String {
    let mut characters = text.chars();
    let first: String = characters.next().into_iter().flat_map(char::to_lowercase).collect();
    format!("{first}{}", characters.as_str())
}

fn alike(one: &str, other: &str) -> bool {
    telling(one) == telling(other)
}

/// How many properties, by the roots of their words, two texts share.
fn shared(one: &str, other: &str) -> usize {
    let other = roots(other);
    roots(one).iter().filter(|word| other.contains(word)).count()
}

/// Whether nobody could take what one technique parts for what another does.
fn part_others(one: &str, other: &str) -> bool {
    let (one, other) = (telling(one), telling(other));
    // So few words that each of them tells much.
    let most = if one.len().min(other.len()) < 3 { 1 } else { SHARED };
    one.iter().filter(|word| other.contains(word)).count() < most
}

/// The telling words of a property, each by its root.
fn roots(text: &str) -> Vec<String> {
    let root = |word: String| {
        let known = ROOTS.iter().find(|(forms, _)| forms.iter().any(|form| word.starts_with(form)));
        known.map_or(word, |(_, root)| (*root).to_owned())
    };
    telling(text).into_iter().map(root).collect()
}

/// The words of a text that say something, without their plural.
fn telling(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for word in text.split(|c: char| !c.is_alphanumeric()) {
        let word = word.to_lowercase();
        let word = match word.strip_suffix('s') {
            Some(one) if one.len() > 3 && !one.ends_with('s') => one.to_owned(),
            _ => word,
        };
        if !word.is_empty() && !IDLE.contains(&word.as_str()) && !found.contains(&word) {
            found.push(word);
        }
    }
    found
}
