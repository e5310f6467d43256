//! Signs and spelling: units as the SI writes them, one spelling and one sign a unit,
//! terms in their own sense.
//!
//! Takes the texts of a unit; says where one departs from the rest. Numbers that
//! Stillroom prints itself are not looked at.

use std::ops::Range;

use crate::diag::{Code, Diagnostic};
use crate::reading::parsed::ParsedUnit;

use super::language::{Word, denied, phrase_at, phrases, sentences, words};
use super::texts::{Block, Passage};

pub(super) fn check(unit: &ParsedUnit, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    for passage in &block.passages {
        units(unit, passage, say);
        swapped(unit, passage, say);
    }
}

pub(super) fn check_unit(unit: &ParsedUnit, blocks: &[Block<'_>], say: &mut dyn FnMut(Diagnostic)) {
    let passages: Vec<&Passage<'_>> = blocks.iter().flat_map(|b| &b.passages).collect();
    spelling(unit, &passages, say);
    one_sign(unit, &passages, say);
}

// Units.

/// Signs of units that may follow a number.
const UNITS: &[&str] = &[
    "kg", "g", "mg", "t", "L", "l", "mL", "ml", "cm3", "dm3", "m3", "cm\u{b3}", "dm\u{b3}",
    "m\u{b3}", "cm", "mm", "min", "h", "K", "\u{b0}C", "Pa", "kPa", "bar", "mol", "kJ",
];
/// What is written for a unit and is no sign of one, and what is.
const WRONG: &[(&str, &str)] = &[
    ("kgs", "kg"),
    ("kilos", "kg"),
    ("gms", "g"),
    ("gm", "g"),
    ("grs", "g"),
    ("cc", "cm3"),
    ("ccs", "cm3"),
    ("hrs", "h"),
    ("hr", "h"),
    ("mins", "min"),
    ("secs", "s"),
    ("sec", "s"),
    ("Kg", "kg"),
    ("KG", "kg"),
    ("mls", "mL"),
    ("ltrs", "L"),
    ("ltr", "L"),
    ("lts", "L"),
];

/// Numbers of a text: where each ends, and what follows.
fn numbers(text: &str) -> impl Iterator<Item = (usize, usize)> + '_ {
    let mut from = 0;
    std::iter::from_fn(move || {
        while let Some(start) = text[from..].find(|c: char| c.is_ascii_digit()).map(|n| from + n) {
            let length = text[start..].find(|c: char| !c.is_ascii_digit() && c != '.');
            let mut end = length.map_or(text.len(), |n| start + n);
            while text[..end].ends_with('.') {
                end -= 1;
            }
            from = end.max(start + 1);
            let own = !text[..start]
                .ends_with(|c: char| c.is_alphanumeric() || matches!(c, '(' | '\u{b7}' | '^'));
            if own {
                return Some((start, end));
            }
        }
        None
    })
}

fn sign_at(text: &str, at: usize) -> &str {
    let rest = &text[at..];
    let signs = |c: char| c.is_alphanumeric() || matches!(c, '\u{b0}' | '\u{b3}');
    &rest[..rest.find(|c: char| !signs(c)).unwrap_or(rest.len())]
}

fn units(unit: &ParsedUnit, passage: &Passage<'_>, say: &mut dyn FnMut(Diagnostic)) {
    let text = &passage.plain;
    for (start, end) in numbers(text) {
        let close = sign_at(text, end);
        // Formulas and code stand in backticks.
        let coded = passage.slice(0..start).matches('`').count() % 2 == 1;
        if coded {
            continue;
        }
        if UNITS.contains(&close) {
            let at = start..end + close.len();
            let number = passage.slice(start..end).to_owned();
            say(Diagnostic::new(
                Code::UnitTypography,
                passage.place(unit, at.clone()),
                "A space stands between a number and its unit.",
            )
            .found(format!("`{}`", passage.slice(at)))
            .expected(format!("`{number} {close}`"))
            .next(format!("write `{number} {close}`")));
            continue;
        }
        let gap = text[end..].len() - text[end..].trim_start_matches([' ', '\u{a0}']).len();
        let sign = sign_at(text, end + gap);
        if let Some((_, right)) = WRONG.iter().find(|(wrong, _)| *wrong == sign) {
            let at = end + gap..end + gap + sign.len();
            say(Diagnostic::new(
                Code::UnitTypography,
                passage.place(unit, at),
                format!("`{sign}` is no sign of a unit."),
            )
            .found(format!("`{sign}`"))
            .expected(format!("`{right}`"))
            .next(format!("write `{right}`")));
        }
    }
}

/// Two signs for one unit.
const ALIKE: &[(&[&str], &[&str])] = &[
    (&["L", "l"], &["dm3", "dm\u{b3}"]),
    (&["mL", "ml"], &["cm3", "cm\u{b3}"]),
    (&["L"], &["l"]),
    (&["mL"], &["ml"]),
];

fn one_sign(unit: &ParsedUnit, passages: &[&Passage<'_>], say: &mut dyn FnMut(Diagnostic)) {
    let uses = |signs: &[&str]| -> Vec<(&Passage<'_>, Range<usize>)> {
        let mut found = Vec::new();
        for passage in passages {
            for (_, end) in numbers(&passage.plain) {
                let gap = passage.plain[end..].len()
                    - passage.plain[end..].trim_start_matches([' ', '\u{a0}']).len();
                let sign = sign_at(&passage.plain, end + gap);
                if signs.contains(&sign) {
                    found.push((*passage, end + gap..end + gap + sign.len()));
                }
            }
        }
        found
    };
    for (one, other) in ALIKE {
        let (first, second) = (uses(one), uses(other));
        let fewer = if first.len() < second.len() { &first } else { &second };
        let (Some((passage, at)), true) = (fewer.first(), !first.is_empty() && !second.is_empty())
        else {
            continue;
        };
        let related = if std::ptr::eq(fewer, &first) { &second } else { &first };
        let (theirs, there) = &related[0];
        say(Diagnostic::new(
            Code::MixedUnits,
            passage.place(unit, at.clone()),
            "This unit writes one measure with two signs.",
        )
        .found(format!("`{}` and `{}`", passage.slice(at.clone()), theirs.slice(there.clone())))
        .expected("one of the two throughout")
        .next(format!("write `{}` here too", theirs.slice(there.clone())))
        .related(theirs.place(unit, there.clone()), "the other sign stands here"));
    }
}

// Spelling.

/// Beginnings of words that are British, and the same American.
const SPELLINGS: &[(&str, &str)] = &[
    ("colour", "color"),
    ("vapour", "vapor"),
    ("odour", "odor"),
    ("flavour", "flavor"),
    ("favour", "favor"),
    ("behaviour", "behavior"),
    ("labour", "labor"),
    ("litre", "liter"),
    ("fibre", "fiber"),
    ("centre", "center"),
    ("grey", "gray"),
    ("aluminium", "aluminum"),
    ("sulphate", "sulfate"),
    ("sulphur", "sulfur"),
    ("crystallis", "crystalliz"),
    ("neutralis", "neutraliz"),
    ("recognis", "recogniz"),
    ("oxidis", "oxidiz"),
    ("ionis", "ioniz"),
    ("labelled", "labeled"),
    ("travelled", "traveled"),
    ("mould", "mold"),
    ("plough", "plow"),
    ("analyse", "analyze"),
    ("programme", "program"),
];

fn spelling(unit: &ParsedUnit, passages: &[&Passage<'_>], say: &mut dyn FnMut(Diagnostic)) {
    let all: Vec<(&Passage<'_>, Word)> = passages
        .iter()
        .flat_map(|passage| words(&passage.plain).into_iter().map(|word| (*passage, word)))
        .collect();
    // What begins like an American word may be a longer one of another root.
    let starts = |word: &Word, stem: &str, other: &str| {
        word.text.starts_with(stem)
            && !word.text.starts_with(other)
            && !matches!(
                word.text.as_str(),
                "colorimeter"
                    | "colorimetry"
                    | "vaporise"
                    | "vaporised"
                    | "vaporisation"
                    | "laboratory"
                    | "laboratories"
                    | "programming"
                    | "programmed"
            )
    };
    // Within one pair, or between pairs of the same unit.
    let british: Vec<_> = all
        .iter()
        .filter(|(_, w)| {
            SPELLINGS.iter().any(|(uk, us)| starts(w, uk, us) && !TWO_WAYS.contains(uk))
        })
        .collect();
    let american: Vec<_> = all
        .iter()
        .filter(|(_, w)| {
            SPELLINGS.iter().any(|(uk, us)| starts(w, us, uk) && !TWO_WAYS.contains(uk))
        })
        .collect();
    mixed(unit, &british, &american, say);
    for (uk, us) in SPELLINGS.iter().filter(|(uk, _)| TWO_WAYS.contains(uk)) {
        let one: Vec<_> = all.iter().filter(|(_, w)| starts(w, uk, us)).collect();
        let other: Vec<_> = all.iter().filter(|(_, w)| starts(w, us, uk)).collect();
        mixed(unit, &one, &other, say);
    }
}

/// Written both ways within one country's spelling: only against itself.
const TWO_WAYS: &[&str] =
    &["sulphate", "sulphur", "crystallis", "neutralis", "recognis", "oxidis", "ionis", "programme"];

type Found<'p, 'a> = &'p (&'p Passage<'a>, Word);

fn mixed(
    unit: &ParsedUnit,
    one: &[Found<'_, '_>],
    other: &[Found<'_, '_>],
    say: &mut dyn FnMut(Diagnostic),
) {
    let (fewer, more) = if one.len() < other.len() { (one, other) } else { (other, one) };
    let (Some((passage, word)), Some((theirs, usual))) = (fewer.first(), more.first()) else {
        return;
    };
    say(Diagnostic::new(
        Code::MixedSpelling,
        passage.place(unit, word.at.clone()),
        "This unit spells in two ways.",
    )
    .found(format!("`{}` beside `{}`", word.text, usual.text))
    .expected("British or American spelling throughout, and one of `-ise` and `-ize`")
    .next("spell it as the rest of the unit does")
    .related(theirs.place(unit, usual.at.clone()), "the other spelling stands here"));
}

// Terms.

/// A term, and what is true of its opposite only.
const OPPOSITES: &[(&[&str], &[&str], &str)] = &[
    (
        &["residue", "filter cake"],
        &[
            "runs through",
            "passes through",
            "drips through",
            "goes through the paper",
            "collects in the flask",
            "drips into",
            "runs into the flask",
            "in the conical flask",
        ],
        "the filtrate",
    ),
    (
        &["filtrate"],
        &[
            "stays in the",
            "stays on the",
            "is left in the paper",
            "is left on the paper",
            "remains in the paper",
            "remains on the paper",
            "is held back",
            "left in the filter",
            "left in the funnel",
        ],
        "the residue",
    ),
    (
        &["distillate"],
        &[
            "stays in the flask",
            "is left in the flask",
            "remains in the flask",
            "stays behind",
            "left behind",
        ],
        "the residue",
    ),
    (&["overflow"], &["sinks", "settles", "leaves at the bottom"], "the underflow"),
    (&["underflow"], &["runs over", "over the rim", "leaves at the top"], "the overflow"),
    (&["solute"], &["dissolves the solvent", "dissolves the salt"], "the solvent"),
    (&["solvent"], &["dissolves in the solute", "is dissolved in the solute"], "the solute"),
    (&["oversize"], &["falls through", "passes the mesh", "passes through"], "the undersize"),
    (&["undersize"], &["is held back", "stays on the sieve", "stays on the mesh"], "the oversize"),
];
/// How many words lie between a term and what is said of it.
const NEAR: usize = 4;

fn swapped(unit: &ParsedUnit, passage: &Passage<'_>, say: &mut dyn FnMut(Diagnostic)) {
    for range in sentences(&passage.plain) {
        let all = words(&passage.plain[range.clone()]);
        for (terms, said, opposite) in OPPOSITES {
            for term in phrases(&all, terms) {
                let last = all.len().min(term.end + NEAR);
                let another = |w: &Word| {
                    [
                        "what", "that", "while", "and", "but", "whereas", "which", "when", "as",
                        "from", "through",
                    ]
                    .contains(&w.text.as_str())
                        || w.follows_comma()
                };
                let end = (term.end..last).find(|at| another(&all[*at])).unwrap_or(last);
                let found = (term.end..end)
                    .find_map(|at| said.iter().find_map(|phrase| phrase_at(&all, at, phrase)))
                    .filter(|at| !denied(&all, at));
                let Some(found) = found else { continue };
                let at =
                    range.start + all[term.start].at.start..range.start + all[found.end - 1].at.end;
                say(Diagnostic::new(
                    Code::TermSwapped,
                    passage.place(unit, at.clone()),
                    format!(
                        "This is said of the {}, and is true of {opposite}.",
                        all[term.start].text
                    ),
                )
                .found(format!("`{}`", passage.slice(at)))
                .expected(format!(
                    "`{}` here, or another verb",
                    opposite.trim_start_matches("the ")
                ))
                .next("write the other term"));
            }
        }
    }
}
