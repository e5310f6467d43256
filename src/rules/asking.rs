//! What a question asks and how: commands, negatives, answers given away, marks that the
//! working cannot earn, the order from easy to hard.
//!
//! Takes a block of a checked unit, or all of them; says which rule is broken where.

use std::ops::Range;

use crate::diag::{Code, Diagnostic, Place};
use crate::question::{Answer, Fairness, Solution, spread};
use crate::reading::model::{Checked, Model, Source};
use crate::reading::parsed::{Item, Part, Question, Written};

use super::language::{Word, denied, phrases, sentences, words};
use super::texts::{Block, Passage, Role};

/// Versions looked at where a rule speaks of all.
const TRIED: usize = 3;

/// The question or example of a block, compiled.
pub(super) fn checked_of<'m>(model: &'m Model, block: &Block<'_>) -> Option<&'m Checked> {
    let span = block.question()?.span;
    let examples = model.examples.iter().map(|(_, checked)| checked);
    model.questions.iter().chain(examples).find(|checked| checked.question.span == span)
}

/// A few versions that can be, the same whatever is printed.
pub(super) fn samples(checked: &Checked) -> Vec<Solution<'_>> {
    some(checked, TRIED)
}

/// So many versions that can be, from all over what the values may be.
pub(super) fn some(checked: &Checked, wanted: usize) -> Vec<Solution<'_>> {
    let choices = spread(&checked.axes());
    let stride = (choices.len() / wanted).max(1);
    // Evenly first, then whatever else there is.
    let order = (0..stride).flat_map(|from| (from..choices.len()).step_by(stride));
    order.filter_map(|at| Solution::of(checked, &choices[at]).ok()).take(wanted).collect()
}

pub(super) fn check(model: &Model, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    let Some(question) = block.question() else { return };
    for passage in block.of(&[Role::Stem, Role::Part]) {
        negatives(model, passage, say);
    }
    // An example is worked for the reader: nothing is asked of anybody.
    if matches!(block.item, Item::Question(_)) {
        for part in &question.parts {
            command(model, question, part, say);
        }
    }
    if let Some(checked) = checked_of(model, block) {
        marks(model, checked, say);
    }
}

/// "(b)", or the question itself.
pub(super) fn part_words(part: &Part) -> String {
    part.label
        .as_ref()
        .map_or_else(|| "This question".to_owned(), |l| format!("Part ({})", l.value))
}

// Negatives.

const NEGATIVES: &[&str] =
    &["not", "except", "never", "least", "incorrect", "cannot", "false", "no"];
/// Words that deny within themselves.
const INNER: &[&str] = &[
    "insoluble",
    "impossible",
    "incorrect",
    "unlikely",
    "unnecessary",
    "undissolved",
    "untrue",
    "invalid",
    "immiscible",
    "impure",
    "unable",
    "without",
];

/// Whether a sentence asks to choose among things: there a negative turns the question.
fn chooses(words: &[Word]) -> bool {
    let opens = words.first().is_some_and(|w| {
        matches!(w.text.as_str(), "which" | "tick" | "choose" | "select" | "circle" | "underline")
    });
    opens
        || !phrases(words, &["which of", "which one", "all of the following", "all of these"])
            .is_empty()
}

fn negatives(model: &Model, passage: &Passage<'_>, say: &mut dyn FnMut(Diagnostic)) {
    for range in sentences(&passage.plain) {
        let words = words(&passage.plain[range.clone()]);
        if !chooses(&words) {
            continue;
        }
        let at_least = phrases(&words, &["at least", "not only", "no more than"]);
        let counted =
            |at: &Range<usize>| !at_least.iter().any(|r| r.start <= at.start && at.end <= r.end);
        let found: Vec<Range<usize>> =
            phrases(&words, NEGATIVES).into_iter().filter(counted).collect();
        let inner = phrases(&words, INNER);
        let Some(first) = found.first() else { continue };
        let at = |r: &Range<usize>| {
            range.start + words[r.start].at.start..range.start + words[r.end - 1].at.end
        };
        if let Some(second) = found.get(1).or(inner.first()) {
            let place = passage.place(&model.parsed, at(second));
            say(Diagnostic::new(
                Code::DoubleNegative,
                place,
                "What is asked here holds two negatives; a reader must turn it round twice.",
            )
            .found(format!("`{}` and `{}`", words[first.start].text, words[second.start].text))
            .expected("at most one negative in what is asked")
            .next("ask for what is so"));
        }
        let bold = {
            let own = at(first);
            let around =
                passage.slice(own.start.saturating_sub(2)..(own.end + 2).min(passage.plain.len()));
            around.starts_with("**")
                && around.ends_with("**")
                && passage.slice(own).chars().all(char::is_uppercase)
        };
        if !bold {
            let word = &words[first.start].text;
            say(Diagnostic::new(
                Code::NegativeStem,
                passage.place(&model.parsed, at(first)),
                "A negative turns what is asked here, and is easily read past.",
            )
            .found(format!("`{word}`"))
            .expected("a question without it, or the word in bold capitals")
            .next(format!("ask for what is so, or write `**{}**`", word.to_uppercase())));
        }
    }
}

// Commands.

/// Words that ask for a number.
const FOR_A_NUMBER: &[&str] = &[
    "calculate",
    "work out",
    "find",
    "determine",
    "estimate",
    "compute",
    "show that",
    "express",
    "convert",
    "read",
    "complete",
    "how much",
    "how many",
    "how long",
    "how far",
    "how large",
    "how big",
    "how great",
    "how heavy",
    "how strong",
    "how fast",
    "how hot",
    "how often",
    "what",
    "which",
    "measure",
    "predict",
    "by how",
    "to how",
    "at which",
    "use",
    "balance",
    "draw up",
    "check",
    "reckon",
    "solve",
    "deduce",
];
/// Words that ask for a bare answer.
const FOR_A_WORD: &[&str] = &["state", "name", "give", "write", "write down", "list", "identify"];
/// Words that ask for sentences.
const FOR_SENTENCES: &[&str] = &[
    "describe", "explain", "suggest", "justify", "discuss", "compare", "evaluate", "outline",
    "comment", "why",
];

fn command(model: &Model, question: &Question, part: &Part, say: &mut dyn FnMut(Diagnostic)) {
    if part.find.is_empty() {
        return;
    }
    let text = if part.text.text.trim().is_empty() { &question.stem } else { &part.text };
    let all = words(&text.text);
    let has = |any: &[&str]| phrases(&all, any).first().cloned();
    let place = |at: Range<usize>| {
        let at = all[at.start].at.start..all[at.end - 1].at.end;
        Place::new(&model.parsed.file, model.parsed.file.span_within(text.span, &text.text, at))
    };
    let said = part_words(part);
    let asks = text.text.contains('?') && has(FOR_SENTENCES).is_none();
    if has(FOR_A_NUMBER).is_some() || asks {
        return;
    }
    if let Some(at) = has(FOR_SENTENCES) {
        let word = all[at.start].text.clone();
        say(Diagnostic::new(
            Code::CommandWord,
            place(at),
            format!("{said} asks for a number, and its command asks for sentences."),
        )
        .found(format!("`{word}`"))
        .expected("a command for a number: calculate, find, determine, estimate")
        .next("write `Calculate ...`, or say what is to be calculated first"));
    } else if let Some(at) = has(FOR_A_WORD) {
        let marks = part.marks.as_ref().map_or(1, |m| m.value);
        let answers = u32::try_from(part.find.len()).unwrap_or(u32::MAX);
        if marks > answers {
            let word = all[at.start].text.clone();
            say(Diagnostic::new(
                Code::CommandWord,
                place(at),
                format!("{said} earns {marks} marks, and its command asks for a bare answer."),
            )
            .found(format!("`{word}`, which is worth one mark"))
            .expected("`calculate` where working earns marks")
            .next("write `Calculate ...`, or give the part one mark"));
        }
    } else {
        let end = all.len().min(4);
        let at = if end == 0 { Place::new(&model.parsed.file, part.span) } else { place(0..end) };
        say(Diagnostic::new(
            Code::CommandWord,
            at,
            format!("{said} does not say what the learner is to do."),
        )
        .found("no command and no question")
        .expected("a command such as calculate, find or estimate, or a question")
        .next("begin with what is to be done: `Calculate the mass of ...`"));
    }
}

// Marks.

fn marks(model: &Model, checked: &Checked, say: &mut dyn FnMut(Diagnostic)) {
    if checked.question.parts.iter().all(|part| part.marks.is_none()) {
        return;
    }
    let Some(solution) = samples(checked).into_iter().next() else { return };
    let answers = solution.answers();
    let working = solution.marked_working(&answers);
    for (number, part) in checked.question.parts.iter().enumerate() {
        let Some(marks) = &part.marks else { continue };
        let own = working.iter().filter(|marked| marked.step.part == number);
        let all: Vec<u32> = own.flat_map(|marked| marked.marks.iter().map(|m| m.count)).collect();
        // One line of algebra may be several turns of thought: one for each quantity in it.
        let turns: usize =
            part.find.iter().map(|f| f.value.names().count().saturating_sub(1)).sum();
        let all_of_it = all.len() + turns;
        let given = usize::try_from(marks.value).unwrap_or(usize::MAX);
        if all.is_empty() || given <= all_of_it {
            continue;
        }
        say(Diagnostic::new(
            Code::MarksOverSteps,
            Place::new(&model.parsed.file, marks.span),
            format!(
                "{} earns {} marks, and its working has {} things to earn them with.",
                part_words(part),
                marks.value,
                all_of_it
            ),
        )
        .found(format!("{} marks", marks.value))
        .expected(format!("at most {all_of_it}"))
        .next("give fewer marks, or ask for more of the working"));
    }
}

// Answers given away, and the order of a unit.

/// Versions of one question, each with its answers.
type Versions<'a> = Vec<(Solution<'a>, Vec<Answer>)>;

type Say<'s> = &'s mut dyn FnMut(usize, Diagnostic);

/// What speaks of a unit's questions together; each finding with the number of its block.
pub(super) fn check_unit(model: &Model, blocks: &[Block<'_>], say: Say<'_>) {
    let asked: Vec<(usize, &Checked)> = blocks
        .iter()
        .enumerate()
        .filter(|(_, block)| matches!(block.item, Item::Question(_)))
        .filter_map(|(index, block)| Some((index, checked_of(model, block)?)))
        .collect();
    given_away(model, blocks, &asked, say);
    order(model, &asked, say);
}

fn given_away(model: &Model, blocks: &[Block<'_>], asked: &[(usize, &Checked)], say: Say<'_>) {
    let solved: Vec<(usize, Versions<'_>)> = asked
        .iter()
        .map(|(index, checked)| {
            let all = samples(checked)
                .into_iter()
                .map(|solution| {
                    let answers = solution.answers();
                    (solution, answers)
                })
                .collect();
            (*index, all)
        })
        .collect();
    let texts = |question: &Question| -> Vec<Written> {
        let parts = question.parts.iter().map(|part| part.text.clone());
        [question.stem.clone()].into_iter().chain(parts).collect()
    };
    for (index, versions) in &solved {
        let Some((first, answers)) = versions.first() else { continue };
        for (number, answer) in answers.iter().enumerate() {
            if figures(&answer.printed) < 3 || is_given(first.checked, &answer.printed) {
                continue;
            }
            // In the texts of each question, its own too, in every version tried.
            let place = solved.iter().find_map(|(other, theirs)| {
                let pieces = theirs.first().map_or(0, |(s, _)| texts(&s.checked.question).len());
                (0..pieces).find_map(|piece| {
                    let says = |version: usize| {
                        let (solution, _) = &theirs[version.min(theirs.len() - 1)];
                        let answer = &versions[version].1[number];
                        let written = &texts(&solution.checked.question)[piece];
                        // Of its own values one may well come out unchanged: that is for
                        // the learner to see.
                        let text = match other == index {
                            true => without_blanks(written),
                            false => solution.filled(written),
                        };
                        prints(&text, &answer.printed, answer.unit.print())
                    };
                    let all = (0..versions.len()).all(says);
                    all.then(|| theirs[0].0.checked.question.clone()).map(|q| (*other, piece, q))
                })
            });
            let prose = blocks.iter().find_map(|block| {
                block.of(&[Role::Prose, Role::Numbered, Role::Table]).find(|p| {
                    versions.iter().all(|(_, answers)| {
                        prints(&p.plain, &answers[number].printed, answers[number].unit.print())
                    })
                })
            });
            let part = &first.checked.question.parts[answer.part];
            let at = match (&place, prose) {
                (Some((_, piece, question)), _) => {
                    let written = texts(question).swap_remove(*piece);
                    Place::new(&model.parsed.file, written.span)
                }
                (None, Some(passage)) => passage.place(&model.parsed, 0..passage.plain.len()),
                (None, None) => continue,
            };
            let of = &first.checked.question.id.value;
            say(
                *index,
                Diagnostic::new(
                    Code::AnswerGivenAway,
                    at,
                    format!("This text prints the {} that `{of}` asks for.", answer.name),
                )
                .found(format!(
                    "{} {}, in every version tried",
                    answer.printed,
                    answer.unit.print()
                ))
                .expected("a text that leaves the answer to be found")
                .next("take the number out of the text, or ask for something else")
                .related(Place::new(&model.parsed.file, part.span), "it is asked for here"),
            );
        }
    }
}

/// Whether a number is one of the data: it must stand in the text.
fn is_given(checked: &Checked, printed: &str) -> bool {
    let same = |text: &str| text == printed;
    let facts = checked.facts.iter().flatten();
    facts.flat_map(|f| f.numbers()).any(|(typed, _)| same(&typed.number.text))
        || checked.values.iter().any(|value| match &value.source {
            Source::Drawn(numbers) => matches!(numbers.as_slice(), [only] if same(&only.text)),
            Source::Derived { .. } => false,
        })
}

/// A text as typed, its blanks left out.
fn without_blanks(written: &Written) -> String {
    let mut text = String::new();
    let mut done = 0;
    for blank in &written.blanks {
        text.push_str(&written.text[done..blank.at.start]);
        text.push_str(" ... ");
        done = blank.at.end;
    }
    text + &written.text[done..]
}

/// Significant digits of a printed number.
fn figures(printed: &str) -> usize {
    let digits: String = printed.chars().filter(char::is_ascii_digit).collect();
    digits.trim_start_matches('0').len()
}

/// Whether a text prints this number with this unit.
fn prints(text: &str, number: &str, unit: &str) -> bool {
    let plain = text.replace(['\u{a0}', '\u{202f}'], " ");
    let number = number.replace(['\u{a0}', '\u{202f}'], " ");
    let inside = |c: char| c.is_ascii_digit() || c == '.';
    plain.match_indices(&number).any(|(at, _)| {
        let rest = &plain[at + number.len()..];
        let digit = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
        let goes_on = digit(rest) || rest.strip_prefix('.').is_some_and(digit);
        let unit_follows = unit.is_empty() || rest.trim_start().starts_with(unit);
        !plain[..at].ends_with(inside) && !goes_on && unit_follows
    })
}

/// How far against the order chance may go.
const MOST_AGAINST: f64 = -0.1;
/// Least number of questions whose order says anything.
const ENOUGH: usize = 5;

fn order(model: &Model, asked: &[(usize, &Checked)], say: Say<'_>) {
    // The index counts steps of working: of questions in words it says nothing.
    let asked: Vec<(usize, &Checked)> =
        asked.iter().copied().filter(|(_, checked)| !checked.asked.is_empty()).collect();
    let indices: Vec<f64> = asked.iter().map(|(_, checked)| index_of(checked)).collect();
    if asked.len() < ENOUGH {
        return;
    }
    let correlation = rank_correlation(&indices);
    if correlation >= MOST_AGAINST {
        return;
    }
    let hardest = (0..indices.len()).max_by(|a, b| indices[*a].total_cmp(&indices[*b]));
    let Some(hardest) = hardest else { return };
    let (index, checked) = asked[hardest];
    say(
        index,
        Diagnostic::new(
            Code::HardFirst,
            Place::new(&model.parsed.file, checked.question.id.span),
            "The questions of this unit stand from hard to easy rather than from easy to hard.",
        )
        .found(format!("a rank correlation of place and difficulty of {correlation:.2}"))
        .expected("0 or more: the easiest questions first")
        .next(format!(
            "move harder questions such as `{}` further down",
            checked.question.id.value
        )),
    );
}

/// The difficulty of a question in a usual version.
fn index_of(checked: &Checked) -> f64 {
    let solved = |choice: &[usize]| checked.engine.solve(&checked.values_for(choice)).ok();
    let fair = Fairness::of(checked, &mut |choice| solved(choice));
    let sample = spread(&checked.axes()).into_iter().find_map(|c| Some((solved(&c)?, c)));
    sample.map_or(0.0, |(slots, choice)| fair.profile(&choice, &slots).index())
}

/// Spearman's rank correlation of values with their places; ties share a rank.
fn rank_correlation(values: &[f64]) -> f64 {
    let rank = |value: f64| {
        let below = values.iter().filter(|v| **v < value).count() as f64;
        let same = values.iter().filter(|v| **v == value).count() as f64;
        below + (same - 1.0) / 2.0
    };
    let mean = (values.len() as f64 - 1.0) / 2.0;
    let (mut product, mut places, mut ranks) = (0.0, 0.0, 0.0);
    for (at, value) in values.iter().enumerate() {
        let (a, b) = (at as f64 - mean, rank(*value) - mean);
        product += a * b;
        places += a * a;
        ranks += b * b;
    }
    if ranks == 0.0 { 0.0 } else { product / (places * ranks).sqrt() }
}

/// Kept here for what else asks whether a phrase is meant.
pub(super) fn is_meant(words: &[Word], any: &[&str]) -> bool {
    phrases(words, any).iter().any(|at| !denied(words, at))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_counts_only_whole_and_with_its_unit() {
        assert!(prints("There are 125\u{a0}kg of it", "125", "kg"));
        assert!(!prints("There are 1125 kg of it", "125", "kg"));
        assert!(!prints("There are 125.5 kg of it", "125", "kg"));
        assert!(!prints("There are 125 g of it", "125", "kg"));
        assert!(prints("It is 125.", "125", ""));
    }

    /// By hand: places 1 to 5; 1 - 6 * sum(d^2) / (n (n^2 - 1)).
    #[test]
    fn rank_correlation_as_by_hand() {
        let of = |values: &[f64]| (rank_correlation(values) * 1e6).round() / 1e6;
        assert_eq!(of(&[1.0, 2.0, 3.0, 4.0, 5.0]), 1.0);
        assert_eq!(of(&[5.0, 4.0, 3.0, 2.0, 1.0]), -1.0);
        assert_eq!(of(&[2.0, 1.0, 4.0, 3.0, 5.0]), 0.8);
        assert_eq!(of(&[1.0, 1.0]), 0.0);
    }
}
