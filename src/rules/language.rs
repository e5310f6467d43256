//! Sentences, words, syllables and what is denied: the little of a language that the
//! rules need.
//!
//! Takes plain text; gives ranges in it and counts. Knows English only, and no rule.

use std::ops::Range;

/// A word in small letters and where it stands in its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    pub(super) text: String,
    pub(super) at: Range<usize>,
    /// Signs between this word and the one before: `,` `;` and the like.
    before: String,
}

impl Word {
    /// Whether a comma parts it from the word before.
    pub(super) fn follows_comma(&self) -> bool {
        self.before.contains([',', ';', ':'])
    }
}

/// The sentences of a text, as ranges without the blanks around them.
pub(super) fn sentences(text: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = 0;
    for (at, sign) in text.char_indices() {
        if !matches!(sign, '.' | '!' | '?') {
            continue;
        }
        let rest = text[at + 1..].trim_start_matches([')', '"', '\u{201d}', '\u{2019}', '\'']);
        let end = text.len() - rest.len();
        let ends = rest.trim_start().is_empty()
            || (rest.starts_with(char::is_whitespace)
                && !rest.trim_start().starts_with(|c: char| c.is_lowercase()));
        let short = text[start..at].rsplit(char::is_whitespace).next().unwrap_or_default();
        if !ends || matches!(short, "e.g" | "i.e" | "approx" | "Fig" | "No" | "conc") {
            continue;
        }
        push_trimmed(text, start..end, &mut found);
        start = end;
    }
    push_trimmed(text, start..text.len(), &mut found);
    found
}

fn push_trimmed(text: &str, range: Range<usize>, into: &mut Vec<Range<usize>>) {
    let piece = &text[range.clone()];
    let lead = piece.len() - piece.trim_start().len();
    let trimmed = piece.trim();
    if trimmed.chars().any(char::is_alphanumeric) {
        into.push(range.start + lead..range.start + lead + trimmed.len());
    }
}

/// The words of a text, hyphens and apostrophes within them.
pub(super) fn words(text: &str) -> Vec<Word> {
    let mut found: Vec<Word> = Vec::new();
    let mut start = None;
    let mut last = 0;
    let wordy = |c: char| c.is_alphanumeric() || matches!(c, '-' | '\'' | '\u{2019}');
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        match start {
            None if c.is_alphanumeric() => start = Some(at),
            Some(from) if !wordy(c) => {
                let word = text[from..at].trim_end_matches(['-', '\'', '\u{2019}']);
                found.push(Word {
                    text: word.to_lowercase().replace('\u{2019}', "'"),
                    at: from..from + word.len(),
                    before: text[last..from].to_owned(),
                });
                last = from + word.len();
                start = None;
            }
            _ => {}
        }
    }
    found
}

/// Where a phrase of one or more words stands: `*` at a word's end takes any ending,
/// `_` any single word.
pub(super) fn phrase_at(words: &[Word], from: usize, phrase: &str) -> Option<Range<usize>> {
    let mut at = from;
    for wanted in phrase.split(' ') {
        let word = &words.get(at)?.text;
        let same = match wanted.strip_suffix('*') {
            Some(stem) => word.starts_with(stem),
            None => wanted == "_" || word == wanted,
        };
        if !same {
            return None;
        }
        at += 1;
    }
    Some(from..at)
}

/// All places of any of these phrases, as ranges of words.
pub(super) fn phrases(words: &[Word], any: &[&str]) -> Vec<Range<usize>> {
    (0..words.len())
        .filter_map(|from| {
            any.iter().filter_map(|p| phrase_at(words, from, p)).max_by_key(|r| r.end)
        })
        .collect()
}

/// Words that deny all that follows in their clause.
const DENIES_CLAUSE: &[&str] = &[
    "never",
    "not",
    "cannot",
    "don't",
    "doesn't",
    "can't",
    "mustn't",
    "isn't",
    "avoid",
    "avoids",
    "avoiding",
    "nor",
    "neither",
    "forbid",
    "forbids",
    "extinguish",
    "put out",
    "turn off",
    "turned off",
    "switch off",
    "instead of",
    "in place of",
    "rather than",
    "away from",
    "far from",
    "clear of",
    "out of reach of",
    "refuse to",
    "must stop",
    "prevent",
    "prevents",
    "free of",
    "danger",
    "dangers",
    "dangerous",
    "hazard",
    "hazards",
    "hazardous",
    "unsafe",
    "risk of",
    "accident",
    "mistake",
    "wrong to",
    "if _ were",
    "if _ _ were",
];
/// Words that deny the few words after them.
const DENIES_NEXT: &[&str] = &["no", "without", "none of", "not a", "not the"];
/// How many words those reach.
const REACH: usize = 5;
/// What behind a thing denies it: "a flame must never be used", "flames are forbidden".
const DENIES_BEFORE: &[&str] = &[
    "never",
    "not",
    "forbidden",
    "prohibited",
    "banned",
    "extinguished",
    "cannot",
    "dangerous",
    "unsafe",
    "hazard",
];
/// After a comma or `and`, one of these begins an instruction of its own.
const INSTRUCTS: &[&str] = &[
    "add",
    "boil",
    "collect",
    "cool",
    "distil",
    "drain",
    "evaporate",
    "fill",
    "filter",
    "heat",
    "hold",
    "leave",
    "light",
    "pass",
    "place",
    "pour",
    "put",
    "rinse",
    "run",
    "set",
    "shake",
    "spin",
    "stir",
    "use",
    "warm",
    "wash",
    "weigh",
];

/// Whether what stands at `at` (a range of words of one sentence) is denied there:
/// "never use a flame" has no flame in it.
pub(super) fn denied(words: &[Word], at: &Range<usize>) -> bool {
    let opens = clause_start(words, at.start);
    let before = &words[opens..at.start];
    let clause = (0..before.len()).any(|from| {
        let counts = |phrase: &str| phrase_at(before, from, phrase).is_some();
        let only = phrase_at(before, from, "not only").is_some();
        DENIES_CLAUSE.iter().any(|p| counts(p)) && !only
    });
    let near = before.len().saturating_sub(REACH);
    let next = (near..before.len()).any(|from| {
        let compares = ["no more", "no less", "no longer", "no further"];
        DENIES_NEXT.iter().any(|p| phrase_at(before, from, p).is_some())
            && !compares.iter().any(|p| phrase_at(before, from, p).is_some())
    });
    // The word itself may say it: flame-free.
    let own = words[at.clone()].iter().any(|w| w.text.ends_with("-free"));
    let behind = words[at.end..]
        .iter()
        .take_while(|w| !w.before.contains([',', ';', ':', '.', '(']))
        .take_while(|w| !matches!(w.text.as_str(), "and" | "or" | "then" | "but" | "while"))
        .take(REACH)
        .enumerate()
        .any(|(away, w)| {
            DENIES_BEFORE.contains(&w.text.as_str())
                || (away < 2 && matches!(w.text.as_str(), "out" | "off" | "free"))
        });
    clause || next || own || behind
}

fn clause_start(words: &[Word], at: usize) -> usize {
    (1..=at)
        .rev()
        .find(|index| {
            let word = &words[*index];
            let joined = index.checked_sub(1).map(|i| words[i].text.as_str());
            word.before.contains([';', ':', '.', '!', '?'])
                || matches!(word.text.as_str(), "but" | "then" | "however" | "instead")
                    && words.get(index + 1).is_none_or(|w| w.text != "of")
                || (INSTRUCTS.contains(&word.text.as_str())
                    && (word.before.contains(',') || matches!(joined, Some("and" | "then"))))
        })
        .unwrap_or(0)
}

/// The first phrase of `any` that is meant, not denied, in a text.
#[cfg(test)]
pub(super) fn meant(text: &str, any: &[&str]) -> Option<Range<usize>> {
    sentences(text).into_iter().find_map(|sentence| {
        let words = words(&text[sentence.clone()]);
        let found = phrases(&words, any).into_iter().find(|at| !denied(&words, at))?;
        let span = words[found.start].at.start..words[found.end - 1].at.end;
        Some(sentence.start + span.start..sentence.start + span.end)
    })
}

/// Whether any of the phrases stands in a text, denied or not.
pub(super) fn says(text: &str, any: &[&str]) -> bool {
    !phrases(&words(text), any).is_empty()
}

/// The syllables of an English word, by its spelling: groups of vowels, less those that
/// are silent, plus those that are spoken apart. No dictionary: now and then one off.
pub(super) fn syllables(word: &str) -> u32 {
    let letters: Vec<char> =
        word.to_lowercase().chars().filter(|c| c.is_alphabetic() || *c == '-').collect();
    let parts = letters.split(|c| *c == '-').filter(|part| !part.is_empty());
    parts.map(of_part).sum::<u32>().max(1)
}

fn of_part(letters: &[char]) -> u32 {
    let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u' | 'y');
    let text: String = letters.iter().collect();
    let mut count: u32 = 0;
    let mut within = false;
    for (at, c) in letters.iter().enumerate() {
        let is = vowel(*c) && !(*c == 'y' && at == 0);
        count += u32::from(is && !within);
        within = is;
    }
    let before = |ending: &str| text.strip_suffix(ending).and_then(|t| t.chars().last());
    let consonant = |c: char| !vowel(c);
    if text.ends_with('e') && before("e").is_some_and(consonant) {
        let syllabic = before("le").is_some_and(consonant);
        count -= u32::from(!syllabic && count > 1);
    } else if text.ends_with("es") && before("es").is_some_and(consonant) {
        let spoken = before("es").is_some_and(|c| "sxzcg".contains(c))
            || text.ends_with("ches")
            || text.ends_with("shes")
            || before("les").is_some_and(consonant);
        count -= u32::from(!spoken && count > 1);
    } else if text.ends_with("ed")
        && before("ed").is_some_and(|c| consonant(c) && !"td".contains(c))
    {
        count -= u32::from(count > 1);
    }
    // Vowels that are spoken apart.
    let apart = |pair: &str, but: &[&str]| {
        text.match_indices(pair)
            .filter(|(at, _)| !but.iter().any(|b| text[..at + pair.len()].ends_with(b)))
            .count()
    };
    let more = apart("ia", &["cia", "tia"])
        + apart("io", &["tio", "sio", "cio", "gio", "xio"])
        + apart("iu", &[])
        + apart("eo", &["peo", "geo"])
        + apart("ua", &["qua", "gua", "sua"])
        + usize::from(text.contains("scien"))
        + usize::from(text.ends_with("sm"));
    count + u32::try_from(more).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_denied_is_not_meant() {
        let flame = ["flame*", "burner*"];
        for denied in [
            "Never use a flame.",
            "Heat the flask without a naked flame.",
            "No naked flames.",
            "Keep the ethanol away from every flame.",
            "A flame must never be used here.",
            "Naked flames are forbidden.",
            "Use a water bath, not a burner.",
            "Do not warm it with a burner, a candle or a flame.",
            "Wait until the flame is out.",
            "Let the rest of the water leave without the flame.",
            "Use a heating mantle instead of a burner.",
            "Turn off the burner.",
            "Why is it dangerous to use a flame?",
        ] {
            assert_eq!(meant(denied, &flame), None, "{denied}");
        }
        for said in [
            "Heat it over a flame.",
            "Do not shake it; heat it over a flame.",
            "Fill it no more than half full and heat it with a burner.",
            "If it does not boil, heat it over a flame.",
            "Without shaking the bench or spilling anything at all, heat it over a flame.",
        ] {
            assert!(meant(said, &flame).is_some(), "{said}");
        }
    }

    #[test]
    fn sentences_end_where_a_reader_would_say() {
        let text = "Add 3.5 g, e.g. of salt. (Stir it.) Does it dissolve? Yes";
        let found: Vec<&str> = sentences(text).into_iter().map(|r| &text[r]).collect();
        assert_eq!(found, ["Add 3.5 g, e.g. of salt.", "(Stir it.)", "Does it dissolve?", "Yes"]);
    }
}
