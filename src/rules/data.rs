//! What a question prints against what it uses: values, figures, rows, lines.
//!
//! Takes a block of a checked unit; says what is needed and not printed, printed and not
//! used, or shown with more figures than it has.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Place};
use crate::quantity::{EXACT, Formula};
use crate::reading::kinds::Kind;
use crate::reading::model::{Checked, Model, Source};
use crate::reading::parsed::{Data, Item, ProcessRef, Question, Text};

use super::asking::{checked_of, is_meant, part_words, samples, some};
use super::language::{phrases, sentences, words};
use super::texts::{Block, Role};

pub(super) fn check(model: &Model, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    match block.item {
        Item::Question(question) | Item::Example(question) => {
            if let Some(checked) = checked_of(model, block) {
                not_printed(model, block, checked, say);
                too_many_figures(model, checked, say);
                answer_space(model, checked, say);
            }
            not_used(model, question, say);
            figure(model, block, question, say);
        }
        Item::Data(data) => uneven(model, data, say),
        _ => {}
    }
}

/// Names of values that a formula reads.
fn read(formula: &Formula) -> impl Iterator<Item = String> + '_ {
    formula.names().map(|(path, _)| path.join("."))
}

fn not_printed(
    model: &Model,
    block: &Block<'_>,
    checked: &Checked,
    say: &mut dyn FnMut(Diagnostic),
) {
    let question = &checked.question;
    let texts = [&question.stem].into_iter().chain(question.parts.iter().map(|p| &p.text));
    let blanks: BTreeSet<String> = texts
        .flat_map(|t| t.blanks.iter().flat_map(|b| read(&b.formula).collect::<Vec<_>>()))
        .collect();
    let typed: String = block.passages.iter().map(|p| format!(" {} ", p.plain)).collect();
    let needed: BTreeSet<String> = checked
        .facts
        .iter()
        .flatten()
        .chain(checked.asked.iter().map(|asked| &asked.formula))
        .flat_map(|formula| read(formula).collect::<Vec<_>>())
        .collect();
    for value in &checked.values {
        if !needed.contains(&value.name) || printed(checked, &value.name, &blanks, &typed) {
            continue;
        }
        say(Diagnostic::new(
            Code::ValueNotPrinted,
            Place::new(&model.parsed.file, value.span),
            format!("The question needs `{}`, and its text does not print it.", value.name),
        )
        .found("no text that says it")
        .expected(format!("`{{{{ {} }}}}` in the text", value.name))
        .next("print the value in the question's text, or in the part that needs it"));
    }
}

/// Whether a reader is told a value, or what it is worked out from.
fn printed(checked: &Checked, name: &str, blanks: &BTreeSet<String>, typed: &str) -> bool {
    if blanks.contains(name) {
        return true;
    }
    let Some(value) = checked.values.iter().find(|value| value.name == name) else { return false };
    match &value.source {
        Source::Derived { formula, .. } => {
            read(formula).all(|inner| printed(checked, &inner, blanks, typed))
        }
        Source::Drawn(numbers) => match numbers.as_slice() {
            [only] => {
                typed_in(typed, &only.text) || typed_in(typed, &only.text.replace('-', "\u{2212}"))
            }
            _ => false,
        },
    }
}

/// Whether a number stands in a text as a number of its own.
fn typed_in(text: &str, number: &str) -> bool {
    text.match_indices(number).any(|(at, _)| {
        let (before, after) = (&text[..at], &text[at + number.len()..]);
        let inner = |c: char| c.is_ascii_digit();
        let point = after.starts_with('.') && after[1..].starts_with(inner);
        !before.ends_with(inner) && !before.ends_with('.') && !after.starts_with(inner) && !point
    })
}

fn not_used(model: &Model, question: &Question, say: &mut dyn FnMut(Diagnostic)) {
    let file = &model.parsed.file;
    // Every place of a name in the block, or in the process that it is about.
    let mut source = file.slice(question.span).to_owned();
    if let ProcessRef::Named(name) = &question.process
        && let Some(process) = model.process(&name.value)
    {
        source.push('\n');
        source.push_str(file.slice(process.span));
    }
    for line in &question.values {
        let name = &line.name.value;
        let wordy = |c: char| c.is_alphanumeric() || c == '_';
        let places = source.match_indices(name.as_str()).filter(|(at, _)| {
            !source[..*at].ends_with(wordy) && !source[at + name.len()..].starts_with(wordy)
        });
        if places.count() > 1 {
            continue;
        }
        say(Diagnostic::new(
            Code::ValueNotUsed,
            Place::new(file, line.name.span),
            format!("Nothing in this question uses the value `{name}`."),
        )
        .found("a value that no fact, formula or part reads")
        .expected("values that the question is solved from")
        .next("take it out, or say why it is there: `allow: {value-not-used: reason}`"));
    }
}

// Figures.

const SHOWN: &[&str] = &[
    "figure",
    "diagram",
    "drawing",
    "picture",
    "chart",
    "graph",
    "curve",
    "flow sheet",
    "flowsheet",
    "sketch",
    "shown",
    "label*",
    "map",
];
const SENDS: &[&str] = &[
    "the figure",
    "this figure",
    "figure below",
    "the diagram",
    "this diagram",
    "the flow diagram",
    "this flow diagram",
    "the drawing",
    "the picture",
    "the graph",
    "the chart below",
    "the sketch",
];

fn figure(model: &Model, block: &Block<'_>, question: &Question, say: &mut dyn FnMut(Diagnostic)) {
    let unit = &model.parsed;
    let roles = [Role::Stem, Role::Part];
    let texts = || block.of(&[Role::Stem, Role::Part]);
    let pictured = question.stem.text.contains("![")
        || question.parts.iter().any(|part| part.text.text.contains("![") || shows(&part.kind));
    match &question.figure {
        Some(figure) => {
            if !texts().any(|p| !phrases(&words(&p.plain), SHOWN).is_empty()) {
                say(Diagnostic::new(
                    Code::FigureNotMentioned,
                    Place::new(&unit.file, figure.span),
                    "This question shows a figure, and its text does not say what it is for.",
                )
                .found("no word on the figure")
                .expected("a sentence that sends the reader to it")
                .next("say what to do with it: `The flow diagram shows ...`"));
            }
            let blanks: Vec<&Text> = question.blank.iter().collect();
            caption_tells(model, figure, &blanks, say);
        }
        None if !pictured => {
            for passage in texts() {
                for range in sentences(&passage.plain) {
                    let words = words(&passage.plain[range.clone()]);
                    if !is_meant(&words, SENDS) {
                        continue;
                    }
                    let at = phrases(&words, SENDS).remove(0);
                    let at = range.start + words[at.start].at.start
                        ..range.start + words[at.end - 1].at.end;
                    let found = format!("`{}`", passage.slice(at.clone()));
                    say(Diagnostic::new(
                        Code::FigureMissing,
                        passage.place(unit, at),
                        "This text sends to a figure, and the question shows none.",
                    )
                    .found(found)
                    .expected("`figure:` with the id of a figure block")
                    .next("show the figure, or say it in words"));
                }
            }
        }
        None => {}
    }
    for part in &question.parts {
        if let Kind::Label(label) = &part.kind {
            caption_tells(model, &label.figure, &label.names.iter().collect::<Vec<_>>(), say);
        }
    }
    // The words of a picture are read aloud where it cannot be seen.
    for passage in block.passages.iter().filter(|p| roles.contains(&p.role)) {
        let text = passage.slice(0..passage.plain.len());
        for (at, _) in text.match_indices("![") {
            let Some(end) = text[at..].find(']').map(|n| at + n) else { continue };
            let alt = text[at + 2..end].to_lowercase();
            for name in question.blank.iter().map(|b| b.value.replace('_', " ")) {
                if alt.contains(&name) {
                    say(gives_answer(passage.place(unit, at..end), &name));
                }
            }
        }
    }
}

/// A caption that says a name which is to be written on its figure.
fn caption_tells(model: &Model, figure: &Text, names: &[&Text], say: &mut dyn FnMut(Diagnostic)) {
    let caption = model.figure(&figure.value).and_then(|(f, _)| f.caption.as_ref());
    let Some(caption) = caption else { return };
    let low = caption.value.to_lowercase();
    let names = names.iter().map(|name| name.value.replace('_', " "));
    for name in names.filter(|name| low.contains(&name.to_lowercase())) {
        say(gives_answer(Place::new(&model.parsed.file, caption.span), &name));
    }
}

/// Whether a part prints a figure or table of its own.
fn shows(kind: &Kind) -> bool {
    matches!(kind, Kind::Label(_) | Kind::Read(_) | Kind::Complete(_) | Kind::Anomaly(_))
}

fn gives_answer(place: Place, name: &str) -> Diagnostic {
    Diagnostic::new(
        Code::FigureGivesAnswer,
        place,
        format!("These words say `{name}`, which the learner is to write."),
    )
    .found(format!("`{name}`"))
    .expected("words that describe the figure and leave the answer out")
    .next("describe it without the name")
}

// Numbers.

/// Versions looked at where a single one may have an unlucky number.
const MANY: usize = 16;

fn too_many_figures(model: &Model, checked: &Checked, say: &mut dyn FnMut(Diagnostic)) {
    let parts = &checked.question.parts;
    if parts.iter().all(|part| part.sig_figs.is_none() && part.places.is_none()) {
        return;
    }
    let all = some(checked, MANY);
    for (number, asked) in checked.asked.iter().enumerate() {
        let part = &parts[asked.part];
        let Some(span) = part.sig_figs.as_ref().or(part.places.as_ref()).map(|p| p.span) else {
            continue;
        };
        // One figure more than the data bear is a guard against rounding; two are made up.
        let over = all.iter().all(|solution| {
            let answer = &solution.answers()[number];
            let borne = solution.borne(number);
            borne != EXACT && answer.rounded.figures() > borne.saturating_add(1)
        });
        if !over || all.is_empty() {
            continue;
        }
        let (borne, figures) = (all[0].borne(number), all[0].answers()[number].rounded.figures());
        say(Diagnostic::new(
            Code::TooManyFigures,
            Place::new(&model.parsed.file, span),
            format!("{} demands {figures} figures of data that bear {borne}.", part_words(part)),
        )
        .found(format!("{figures} significant figures"))
        .expected(format!("at most {}", borne + 1))
        .next("demand fewer figures, or give the data with more"));
    }
}

fn uneven(model: &Model, data: &Data, say: &mut dyn FnMut(Diagnostic)) {
    for (name, cells) in &data.rows {
        let same = |of: &dyn Fn(&crate::quantity::Number) -> u32| {
            let mut values = cells.iter().map(|(_, v)| v).filter(|v| v.value != 0.0).map(of);
            let first = values.next();
            values.all(|v| Some(v) == first)
        };
        if same(&|n| n.places) || same(&|n| n.figures) {
            continue;
        }
        say(Diagnostic::new(
            Code::UnevenFigures,
            Place::new(&model.parsed.file, name.span),
            format!("The values of `{}` are given to different precision.", name.value),
        )
        .found("neither the same decimals nor the same figures along the row")
        .expected("one of the two the same, as one instrument gives them")
        .next("write zeros where a value ends early: 34.0 beside 28.3"));
    }
}

fn answer_space(model: &Model, checked: &Checked, say: &mut dyn FnMut(Diagnostic)) {
    if checked.question.parts.iter().all(|part| part.lines.is_none()) {
        return;
    }
    let Some(solution) = samples(checked).into_iter().next() else { return };
    let working = solution.marked_working(&solution.answers());
    for (number, part) in checked.question.parts.iter().enumerate() {
        let Some(lines) = &part.lines else { continue };
        let own = working.iter().filter(|marked| marked.step.part == number);
        let marks: u32 = own.flat_map(|marked| marked.marks.iter().map(|m| m.count)).sum();
        let most = 4 * marks + 4;
        if lines.value == 0 || (marks..=most).contains(&lines.value) {
            continue;
        }
        let plural = if marks == 1 { "" } else { "s" };
        say(Diagnostic::new(
            Code::AnswerSpace,
            Place::new(&model.parsed.file, lines.span),
            format!("{} leaves {} lines for {marks} mark{plural}.", part_words(part), lines.value),
        )
        .found(format!("{} lines", lines.value))
        .expected(format!("{marks} to {most} lines"))
        .next("leave the key out, and the space follows the working"));
    }
}
