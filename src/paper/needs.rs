//! Access arrangements: what a learner's copy, time or room must be like.
//!
//! Takes the words of a roster's cell; gives what they mean, and those that mean nothing
//! here. An arrangement changes how a learner gets at a paper, never what it asks.

use crate::diag::nearest;

/// Extra time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extra {
    Percent(u32),
    Minutes(u32),
}

/// Extra time where no number is given, in percent (common practice, no source).
const USUAL: u32 = 25;
/// More than this, in percent or minutes, is a slip.
const MOST: u32 = 200;

#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Needs {
    pub large_print: bool,
    pub high_contrast: bool,
    pub extra: Option<Extra>,
    /// The colour of the paper: `coloured` where none is named.
    pub paper: Option<String>,
    pub own_room: bool,
    /// What changes nothing on paper and is to be seen to in the room.
    pub others: Vec<&'static str>,
}

/// Words that are no arrangement, and one that may be meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unknown {
    pub typed: String,
    pub near: Option<&'static str>,
}

/// What may be written, each with the name that it goes by.
const KNOWN: &[(&str, &str)] = &[
    ("large print", "large print"),
    ("large type", "large print"),
    ("18 pt", "large print"),
    ("high contrast", "high contrast"),
    ("extra time", "extra time"),
    ("coloured paper", "coloured paper"),
    ("colored paper", "coloured paper"),
    ("reader", "reader"),
    ("scribe", "scribe"),
    ("prompter", "prompter"),
    ("rest breaks", "rest breaks"),
    ("word processor", "word processor"),
    ("laptop", "word processor"),
    ("bilingual dictionary", "bilingual dictionary"),
    ("own room", "own room"),
    ("separate room", "own room"),
    ("small room", "own room"),
    ("cream paper", "cream paper"),
    ("yellow paper", "yellow paper"),
    ("blue paper", "blue paper"),
    ("green paper", "green paper"),
];
const COLOURS: [&str; 13] = [
    "cream", "ivory", "buff", "yellow", "blue", "green", "pink", "peach", "orange", "grey", "gray",
    "lilac", "purple",
];
const NOTHING: [&str; 5] = ["none", "no", "-", "–", "n/a"];

/// Reads a cell: arrangements parted by semicolons or commas.
pub(super) fn read(cell: &str) -> (Needs, Vec<Unknown>) {
    let mut needs = Needs::default();
    let mut unknown = Vec::new();
    for typed in cell.split([';', ',', '\n']).map(str::trim) {
        let words = typed.to_lowercase().replace(['-', '_', ':'], " ");
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        if words.is_empty() || NOTHING.contains(&typed.to_lowercase().as_str()) {
            continue;
        }
        if !needs.take(&words) {
            let near = nearest(&words, KNOWN.iter().map(|(word, _)| *word));
            let near = near.and_then(|near| KNOWN.iter().find(|(word, _)| *word == near));
            let near = near.map(|(_, name)| *name);
            unknown.push(Unknown { typed: typed.to_owned(), near });
        }
    }
    (needs, unknown)
}

impl Needs {
    fn take(&mut self, words: &str) -> bool {
        if let Some(extra) = extra(words) {
            self.extra = Some(extra);
            return true;
        }
        if let Some(colour) = colour(words) {
            self.paper = Some(colour);
            return true;
        }
        let Some((_, name)) = KNOWN.iter().find(|(word, _)| *word == words) else { return false };
        match *name {
            "large print" => self.large_print = true,
            "high contrast" => self.high_contrast = true,
            "own room" => self.own_room = true,
            other if !self.others.contains(&other) => self.others.push(other),
            _ => {}
        }
        true
    }

    /// What is arranged, one by one, in a steady order.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        names.extend(self.large_print.then(|| "large print".to_owned()));
        names.extend(self.high_contrast.then(|| "high contrast".to_owned()));
        names.extend(self.extra.map(|extra| match extra {
            Extra::Percent(percent) => format!("{percent} % extra time"),
            Extra::Minutes(minutes) => format!("{minutes} minutes extra"),
        }));
        names.extend(self.paper.as_ref().map(|colour| format!("{colour} paper")));
        names.extend(self.others.iter().map(|other| (*other).to_owned()));
        names.extend(self.own_room.then(|| "own room".to_owned()));
        names
    }
}

impl Extra {
    /// The time that a learner has of so many minutes, begun minutes counted whole.
    pub fn of(self, minutes: u32) -> u32 {
        match self {
            Extra::Percent(percent) => {
                minutes.saturating_add(minutes.saturating_mul(percent).div_ceil(100))
            }
            Extra::Minutes(more) => minutes.saturating_add(more),
        }
    }
}

/// "extra time", "25 % extra time", "extra time: 15 minutes".
fn extra(words: &str) -> Option<Extra> {
    let (before, after) = words.split_once("extra")?;
    let rest = format!("{before} {after}").replace("time", " ").replace('+', " ");
    let rest = rest.trim();
    if rest.is_empty() {
        return words.contains("time").then_some(Extra::Percent(USUAL));
    }
    let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let number: u32 = rest[..digits].parse().ok().filter(|n| (1..=MOST).contains(n))?;
    match rest[digits..].trim() {
        "" | "%" | "percent" | "per cent" => Some(Extra::Percent(number)),
        "min" | "mins" | "minute" | "minutes" => Some(Extra::Minutes(number)),
        _ => None,
    }
}

/// "coloured paper", "yellow paper", "coloured paper pale blue".
fn colour(words: &str) -> Option<String> {
    let words = words.replace("colored", "coloured");
    let rest = match words.strip_prefix("coloured paper") {
        Some(rest) => rest.trim(),
        None => words.strip_suffix(" paper")?.trim(),
    };
    if matches!(rest, "" | "coloured") {
        return Some("coloured".to_owned());
    }
    let last = rest.rsplit(' ').next()?;
    let light = rest.strip_suffix(last)?.trim();
    let known = COLOURS.contains(&last) && matches!(light, "" | "pale" | "light" | "pastel");
    known.then(|| rest.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_write_is_understood() {
        let cases: [(&str, &[&str]); 8] = [
            ("", &[]),
            ("none", &[]),
            ("Large print; extra time", &["large print", "25 % extra time"]),
            ("extra time 50 %", &["50 % extra time"]),
            ("25% extra time, reader", &["25 % extra time", "reader"]),
            ("extra-time: 15 minutes", &["15 minutes extra"]),
            ("Yellow paper", &["yellow paper"]),
            ("coloured paper: pale blue; separate room", &["pale blue paper", "own room"]),
        ];
        for (typed, means) in cases {
            let (needs, unknown) = read(typed);
            assert_eq!(needs.names(), means, "{typed}");
            assert!(unknown.is_empty(), "{typed}: {unknown:?}");
        }
    }

    #[test]
    fn a_slip_is_told_and_what_may_be_meant() {
        let (needs, unknown) = read("large pirnt; sunshine; extra time 900 %");
        assert!(needs.names().is_empty());
        let near: Vec<Option<&str>> = unknown.iter().map(|u| u.near).collect();
        assert_eq!(near, [Some("large print"), None, None]);
    }

    #[test]
    fn a_begun_minute_counts() {
        assert_eq!(Extra::Percent(25).of(75), 94);
        assert_eq!(Extra::Percent(50).of(60), 90);
        assert_eq!(Extra::Minutes(10).of(60), 70);
    }
}
