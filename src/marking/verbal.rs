//! Answers that are no number on a line: letters, orders, pairs, words, sentences, held
//! against what a version asks.
//!
//! Takes a response form with its key and what a learner wrote; gives marks, the reason,
//! and whether a person should have a look. Words are compared without capitals, stops
//! and small words; a clause that says no where the point does not (or the other way
//! round) is no point.

use super::responses::Decimal;
use super::responses::number_in;
use crate::question::kinds::{Choice, Point, marks_of_order};
use crate::question::{Form, Response};

/// What an answer in words is worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Worth {
    pub(super) marks: u32,
    pub(super) reason: String,
    /// What choosing a wrong option shows.
    pub(super) mistake: Option<String>,
    /// Whether a person should decide; the marks are then those suggested.
    pub(super) doubtful: bool,
    /// The points that were looked for and not found, as they are printed.
    pub(super) missing: Vec<String>,
}

fn sure(marks: u32, reason: impl Into<String>) -> Worth {
    Worth { marks, reason: reason.into(), mistake: None, doubtful: false, missing: Vec::new() }
}

fn doubtful(marks: u32, reason: impl Into<String>) -> Worth {
    Worth { doubtful: true, ..sure(marks, reason) }
}

/// What the answer is worth, of so many marks.
pub(super) fn worth(response: &Response, most: u32, wrote: &str) -> Worth {
    match &response.form {
        Form::Options { options, several: None } => one_of(options, most, wrote),
        Form::Options { options, several: Some(asked) } => {
            several_of(response, options, *asked, most, wrote)
        }
        Form::Sequence { lines } => order(lines.iter().map(|(_, place)| *place), most, wrote),
        Form::Pairs { left, .. } => pairs(left, most, wrote),
        Form::Gaps { words, .. } => listed(words, most, wrote),
        Form::Judgement { answer, .. } => judgement(response, *answer, most, wrote),
        Form::Reading { .. } => reading(response, most, wrote),
        Form::Cells { gaps, .. } => {
            let words: Vec<String> = gaps.iter().map(|(_, _, value)| value.clone()).collect();
            listed(&words, most, wrote)
        }
        Form::Names => names(&response.points, most, wrote),
        Form::Odd { .. } => {
            // The value alone names the cell.
            let mut asked = response.points.clone();
            asked.iter_mut().take(1).for_each(|value| value.accept.push(response.key.clone()));
            points(&asked, most, wrote)
        }
        Form::Prose { .. } => points(&response.points, most, wrote),
    }
}

/// The letters or places that someone wrote in a row: "b d a", "BDA", "3, 1, 2", "312".
pub fn letters(wrote: &str) -> Vec<String> {
    let apart: Vec<String> = wrote
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_uppercase)
        .collect();
    // "BDA" is three letters; "B" and "D" stand apart already.
    match apart.as_slice() {
        [one] => one.chars().map(String::from).collect(),
        _ => apart,
    }
}

fn one_of(options: &[Choice], most: u32, wrote: &str) -> Worth {
    let chosen = letters(wrote);
    let [letter] = chosen.as_slice() else { return sure(0, "more than one option") };
    match options.iter().find(|option| option.letter == *letter) {
        Some(option) if option.right => sure(most, "right"),
        Some(option) => {
            let says = if option.why.is_empty() { &option.text } else { &option.why };
            Worth { mistake: Some(says.clone()), ..sure(0, says.clone()) }
        }
        None => sure(0, "no such option"),
    }
}

/// A right one earns a mark, each beyond the number asked for takes one away; or all of
/// them together earn what there is.
fn several_of(
    response: &Response,
    options: &[Choice],
    asked: usize,
    most: u32,
    wrote: &str,
) -> Worth {
    let mut chosen = letters(wrote);
    chosen.sort();
    chosen.dedup();
    let right = options.iter().filter(|o| o.right && chosen.contains(&o.letter)).count();
    let extra = chosen.len().saturating_sub(asked);
    if response.points.len() == 1 && asked > 1 {
        let all = right == asked && extra == 0;
        return sure(
            if all { most } else { 0 },
            format!("{right} of {asked} right, {extra} too many"),
        );
    }
    let marks = u32::try_from(right.saturating_sub(extra)).unwrap_or(0).min(most);
    sure(marks, format!("{right} of {asked} right, {extra} too many"))
}

/// Places written before lines that rightly have these.
fn order(right: impl Iterator<Item = usize>, most: u32, wrote: &str) -> Worth {
    let right: Vec<usize> = right.collect();
    let apart: Vec<&str> =
        wrote.split(|c: char| !c.is_ascii_digit()).filter(|w| !w.is_empty()).collect();
    let given: Vec<usize> = match apart.as_slice() {
        [one] if right.len() < 10 => {
            one.chars().filter_map(|c| c.to_digit(10)).map(|digit| digit as usize).collect()
        }
        _ => apart.iter().filter_map(|word| word.parse().ok()).collect(),
    };
    if given.len() != right.len() {
        return sure(0, format!("{} places for {} lines", given.len(), right.len()));
    }
    let mut places = vec![0; right.len()];
    for (place, given) in right.iter().zip(&given) {
        if let Some(own) = places.get_mut(place.wrapping_sub(1)) {
            *own = *given;
        }
    }
    let marks = marks_of_order(&places, most);
    sure(marks, if marks == most { "right" } else { "lines that do not follow each other" })
}

fn pairs(left: &[(String, String)], most: u32, wrote: &str) -> Worth {
    let given = letters(wrote);
    let right = left.iter().zip(&given).filter(|((_, letter), given)| letter == *given).count();
    let marks = u32::try_from(right).unwrap_or(0).min(most);
    sure(marks, format!("{right} of {} right", left.len()))
}

/// What someone wrote in a row, parted by semicolons (or commas).
pub fn in_a_row(wrote: &str) -> Vec<String> {
    let sign = if wrote.contains(';') { ';' } else { ',' };
    wrote.split(sign).map(|word| word.trim().to_owned()).collect()
}

/// What was written at the place of each of these names: in their order, if there is
/// something for each; of fewer or more, what is one of the names at its own place and the
/// rest at those that are left.
pub fn at_their_places(names: &[String], wrote: &str) -> Vec<String> {
    let given = in_a_row(wrote);
    if given.len() == names.len() {
        return given;
    }
    let mut places: Vec<Option<String>> = vec![None; names.len()];
    let mut others = Vec::new();
    for word in given.into_iter().filter(|word| !word.is_empty()) {
        let own = names.iter().position(|name| plain_words(name) == plain_words(&word));
        match own.and_then(|place| places.get_mut(place)).filter(|place| place.is_none()) {
            Some(place) => *place = Some(word),
            None => others.push(word),
        }
    }
    let mut others = others.into_iter();
    let taken = |place: Option<String>| place.or_else(|| others.next()).unwrap_or_default();
    places.into_iter().map(taken).collect()
}

/// Names, each at the place where it is asked for.
fn names(points: &[Point], most: u32, wrote: &str) -> Worth {
    let names: Vec<String> = points.iter().map(|point| point.text.replace("**", "")).collect();
    let given = at_their_places(&names, wrote);
    let (mut marks, mut found, mut near) = (0, 0, false);
    for ((point, name), given) in points.iter().zip(&names).zip(&given) {
        let given = clause(given);
        if says(&given, name) {
            marks += point.marks;
            found += 1;
        } else {
            near |= touches(&given, name);
        }
    }
    let marks = marks.min(most);
    let reason = format!("{found} of {} names right", names.len());
    if marks == most || !near { sure(marks, reason) } else { doubtful(marks, reason) }
}

/// Words in a row.
fn listed(words: &[String], most: u32, wrote: &str) -> Worth {
    let given: Vec<Vec<String>> = in_a_row(wrote).iter().map(|word| plain_words(word)).collect();
    let right =
        words.iter().zip(&given).filter(|(word, given)| plain_words(word) == **given).count();
    let marks = u32::try_from(right).unwrap_or(0).min(most);
    let says = format!("{right} of {} right", words.len());
    // What is not as the key spells it may still be meant.
    if right == words.len() { sure(marks, says) } else { doubtful(marks, says) }
}

fn judgement(response: &Response, answer: bool, most: u32, wrote: &str) -> Worth {
    let (first, reason) = wrote.split_once(|c: char| !c.is_alphanumeric()).unwrap_or((wrote, ""));
    let said = match first.to_lowercase().as_str() {
        "true" | "t" | "yes" | "right" => true,
        "false" | "f" | "no" | "wrong" => false,
        _ => return doubtful(0, "neither true nor false"),
    };
    if said != answer {
        return sure(0, if answer { "it is true" } else { "it is false" });
    }
    let for_it = response.points.first().map_or(most, |point| point.marks).min(most);
    match response.points.get(1..) {
        Some(reasons) if !reasons.is_empty() && most > for_it => {
            let reason = points(reasons, most - for_it, reason);
            Worth { marks: for_it + reason.marks, ..reason }
        }
        _ => sure(for_it, "right"),
    }
}

fn reading(response: &Response, most: u32, wrote: &str) -> Worth {
    let (Some(value), Some(read)) =
        (response.values.first(), number_in(wrote, Some(Decimal::Point)))
    else {
        return sure(0, "no number can be read");
    };
    let fits = (value.lowest - 1e-9..=value.highest + 1e-9).contains(&read);
    sure(if fits { most } else { 0 }, if fits { "right" } else { "outside what can be read" })
}

/// Marking points found in a text.
fn points(points: &[Point], most: u32, wrote: &str) -> Worth {
    let clauses = clauses(wrote);
    let (mut marks, mut found, mut near) = (0, 0, false);
    let mut missing = Vec::new();
    for point in points {
        let ways = || std::iter::once(&point.text).chain(&point.or).chain(&point.accept);
        let is_found = ways().any(|way| clauses.iter().any(|clause| says(clause, way)));
        let rejected =
            point.reject.iter().any(|way| clauses.iter().any(|clause| says(clause, way)));
        if is_found && !rejected {
            marks += point.marks;
            found += 1;
        } else {
            near |= rejected || ways().any(|way| clauses.iter().any(|clause| touches(clause, way)));
            missing.push(as_printed(point));
        }
    }
    let marks = marks.min(most);
    let reason = format!("{found} of {} points found", points.len());
    if marks == most {
        sure(marks, reason)
    } else if found == 0 && !near {
        Worth { missing, ..sure(marks, reason) }
    } else {
        Worth { missing, ..doubtful(marks, reason) }
    }
}

/// A point without the signs that make its words bold or a formula.
pub(super) fn as_printed(point: &Point) -> String {
    point.text.replace("**", "").replace('`', "")
}

/// A stretch of an answer that says one thing: its words, and whether it says no.
struct Clause {
    words: Vec<String>,
    denies: bool,
}

fn clauses(text: &str) -> Vec<Clause> {
    let text = text
        .to_lowercase()
        .replace(" but ", ". ")
        .replace(" because ", ". ")
        .replace("n't", " not");
    let mut apart = vec![String::new()];
    let mut before = ' ';
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        // A point within a number parts nothing.
        let in_number = before.is_ascii_digit() && chars.peek().is_some_and(char::is_ascii_digit);
        let parts = matches!(c, ';' | ',' | '!' | '?') || (c == '.' && !in_number);
        match apart.last_mut() {
            Some(last) if !parts => last.push(c),
            _ => apart.push(String::new()),
        }
        before = c;
    }
    apart.iter().map(|text| clause(text)).filter(|c| !c.words.is_empty()).collect()
}

fn clause(text: &str) -> Clause {
    const NO: [&str; 6] = ["not", "no", "never", "without", "cannot", "neither"];
    let words = plain_words(text);
    let denies = text
        .to_lowercase()
        .replace("n't", " not")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| NO.contains(word))
        .count()
        % 2
        == 1;
    Clause { words, denies }
}

/// The words that carry a meaning, one spelling each.
fn plain_words(text: &str) -> Vec<String> {
    const SMALL: [&str; 22] = [
        "the", "a", "an", "of", "is", "are", "it", "its", "to", "in", "at", "by", "and", "that",
        "not", "no", "does", "do", "so", "as", "be", "with",
    ];
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty() && !SMALL.contains(word))
        .map(|word| match word.strip_suffix('s') {
            Some(stem) if stem.len() > 3 && !stem.ends_with('s') => stem.to_owned(),
            _ => word.to_owned(),
        })
        .collect()
}

fn says(given: &Clause, way: &str) -> bool {
    let way = clause(way);
    !way.words.is_empty()
        && way.denies == given.denies
        && way.words.iter().all(|word| given.words.contains(word))
}

/// Whether half of the words are there: near enough for a person to look.
fn touches(given: &Clause, way: &str) -> bool {
    let way = clause(way);
    let shared = way.words.iter().filter(|word| given.words.contains(word)).count();
    shared > 0 && 2 * shared >= way.words.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(text: &str, accept: &[&str], reject: &[&str]) -> Point {
        let all = |list: &[&str]| list.iter().map(|text| (*text).to_owned()).collect();
        Point {
            text: text.to_owned(),
            marks: 1,
            accept: all(accept),
            reject: all(reject),
            ..Point::default()
        }
    }

    #[test]
    fn a_point_or_one_that_stands_for_it_earns_its_mark_once() {
        let own = point("steam costs fuel", &[], &[]);
        let or = vec!["fresh flowers could be put in".to_owned()];
        let either = [Point { or, ..own }];
        for (wrote, marks) in [
            ("Steam costs fuel.", 1),
            ("fresh flowers could be put in", 1),
            ("Steam costs fuel. Fresh flowers could be put in.", 1),
            ("it takes long", 0),
        ] {
            assert_eq!(points(&either, 2, wrote).marks, marks, "{wrote}");
        }
    }

    #[test]
    fn a_point_is_found_in_other_words_and_denied_it_is_none() {
        let lower = [point(
            "lower pressure lowers the boiling point",
            &["boils at a lower temperature"],
            &["less heat"],
        )];
        for (wrote, marks, is_doubtful) in [
            ("It boils at a lower temperature.", 1, false),
            ("the brine boils at lower temperatures, which saves fuel", 1, false),
            ("does not boil at a lower temperature", 0, true),
            ("it doesn't boil lower", 0, true),
            ("because it is cheaper", 0, false),
            ("It boils at a lower temperature, so less heat", 0, true),
        ] {
            let worth = points(&lower, 1, wrote);
            assert_eq!((worth.marks, worth.doubtful), (marks, is_doubtful), "{wrote}");
        }
    }

    #[test]
    fn a_number_with_a_decimal_point_is_found_and_ends_no_sentence() {
        let odd = [point("**2.6** (oil collected at 40)", &["2.6"], &[])];
        for (wrote, marks) in
            [("2.6; it breaks the trend", 1), ("It is 2.6.", 1), ("2; 6", 0), ("3.6", 0)]
        {
            assert_eq!(points(&odd, 1, wrote).marks, marks, "{wrote}");
        }
    }

    #[test]
    fn orders_and_letters_are_read_as_people_write_them() {
        for wrote in ["3 1 2", "312", "3,1,2", " 3; 1; 2 ", "3-1-2"] {
            assert_eq!(order([3, 1, 2].into_iter(), 2, wrote).marks, 2, "{wrote}");
        }
        assert_eq!(order([3, 1, 2].into_iter(), 2, "1 2 3").marks, 1);
        assert_eq!(order([3, 1, 2].into_iter(), 2, "3 1").marks, 0);
        for wrote in ["b d a", "BDA", "B, D, A", "b/d/a"] {
            assert_eq!(letters(wrote), ["B", "D", "A"], "{wrote}");
        }
        let words = ["residue".to_owned(), "filtrate".to_owned()];
        assert_eq!(listed(&words, 2, "Residue; the filtrate"), sure(2, "2 of 2 right"));
        assert!(listed(&words, 2, "residue, filtration").doubtful);
    }
}
