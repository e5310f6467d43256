//! Every rule: its code, what it checks, and where it comes from.
//!
//! `stillroom words` prints this table; a test holds a bad and a good twin of each rule
//! in `tests/rules/`. Severities stand with the codes, in `diag`.
//!
//! The works named are quoted from memory, not from the shelf: T. M. Haladyna, S. M.
//! Downing and M. C. Rodriguez, Applied Measurement in Education 15 (2002) 309; T. M.
//! Haladyna and M. C. Rodriguez, Developing and Validating Test Items (2013); R. L. Ebel
//! and D. A. Frisbie, Essentials of Educational Measurement (5th ed., 1991); Standards
//! for Educational and Psychological Testing (AERA, APA, NCME, 2014); L. W. Anderson and
//! D. R. Krathwohl (2001); Ofqual, Designing and developing accessible assessments
//! (2022); the BIPM's SI Brochure and NIST SP 811.

use crate::diag::Code;

/// One rule.
#[derive(Debug)]
pub struct Rule {
    pub code: Code,
    /// What it checks, in a few words.
    pub checks: &'static str,
    pub source: &'static str,
    /// Whether an author may break it and say why.
    pub waivable: bool,
}

const fn may(code: Code, checks: &'static str, source: &'static str) -> Rule {
    Rule { code, checks, source, waivable: true }
}

const fn must(code: Code, checks: &'static str, source: &'static str) -> Rule {
    Rule { code, checks, source, waivable: false }
}

const PRACTICE: &str = "common practice, no source";
const LABORATORY: &str =
    "common practice in school laboratories, no source; GHS classes from memory";

/// The rules, in the order in which `stillroom words` lists them.
pub static TABLE: &[Rule] = &[
    // Work that can hurt. A word list may take a text amiss, so most can be waived; what
    // nobody should instruct cannot.
    may(
        Code::FlammableAndFlame,
        "a flammable liquid and a naked flame in one piece of work",
        LABORATORY,
    ),
    may(Code::AcidAndBleach, "an acid and a chlorine bleach in one piece of work", LABORATORY),
    must(Code::WaterIntoAcid, "water put into an acid that is not said to be dilute", LABORATORY),
    may(Code::Tasting, "something tasted, eaten or drunk in practical work", LABORATORY),
    must(
        Code::NoDeferral,
        "a technique with steps that defers to no risk assessment, local rule or teacher",
        LABORATORY,
    ),
    may(Code::VacuumUnguarded, "vacuum without inspected glass or a shield, in steps", LABORATORY),
    may(Code::FunnelNotVented, "a separating funnel shaken and not vented, in steps", LABORATORY),
    may(
        Code::NoAntiBumping,
        "distilling by heat without anti-bumping granules, in steps",
        LABORATORY,
    ),
    may(Code::CentrifugeUnbalanced, "a centrifuge without balanced tubes, in steps", LABORATORY),
    may(Code::ToDryness, "a hydrate or an organic substance heated to dryness", LABORATORY),
    may(
        Code::NoDisposal,
        "a solvent or heavy-metal salt without a word on waste, in steps",
        LABORATORY,
    ),
    // What a question asks, and how.
    may(
        Code::NegativeStem,
        "a question turned by `not`, `except` or `least` that is not in bold capitals",
        "Haladyna, Downing and Rodriguez 2002, guideline 17",
    ),
    must(
        Code::DoubleNegative,
        "two negatives in what is asked",
        "Haladyna, Downing and Rodriguez 2002, guideline 17",
    ),
    may(
        Code::AnswerGivenAway,
        "an answer of three figures or more printed in a text, in every version tried",
        "Haladyna, Downing and Rodriguez 2002, guideline 4; Ebel and Frisbie 1991",
    ),
    may(
        Code::AnswerInWords,
        "a word that is asked for, said in another question beside the words that ask for it",
        "Haladyna, Downing and Rodriguez 2002, guideline 4; Ebel and Frisbie 1991",
    ),
    may(
        Code::CommandWord,
        "a part without a command, or with one that does not fit a number or its marks",
        "Anderson and Krathwohl 2001; Haladyna and Rodriguez 2013; bands of marks common practice",
    ),
    may(
        Code::MarksOverSteps,
        "more marks than the working has steps, values and methods to earn them",
        "Standards 2014, 4.18 and 4.20",
    ),
    may(
        Code::TooLittleTime,
        "more minutes of work and reading than the question or unit gives",
        "Ebel and Frisbie 1991; the numbers common practice",
    ),
    may(
        Code::UnequalVersions,
        "more than half of the drawn versions refused because they are not like the others; waived, none is",
        "Standards 2014, 5.12 and 5.13; the numbers common practice",
    ),
    may(
        Code::HardFirst,
        "questions from hard to easy within a unit",
        "Ofqual 2022; Ebel and Frisbie 1991",
    ),
    may(
        Code::AnswerSpace,
        "fewer lines than marks, or more than four a mark and four",
        "Crisp, Sweiry, Ahmed and Pollitt 2008; the lines common practice",
    ),
    // Options, statements, pairs.
    may(
        Code::StemIncomplete,
        "options below words that ask nothing by themselves",
        "Haladyna, Downing and Rodriguez 2002, guideline 15",
    ),
    may(
        Code::OptionCount,
        "fewer than three or more than five options",
        "Rodriguez 2005; Haladyna, Downing and Rodriguez 2002, guideline 18",
    ),
    must(
        Code::AllOfTheAbove,
        "an option that stands for all others",
        "Haladyna, Downing and Rodriguez 2002, guideline 26",
    ),
    may(
        Code::NoneOfTheAbove,
        "an option that denies all others",
        "Haladyna, Downing and Rodriguez 2002, guideline 25",
    ),
    may(
        Code::ComplexKey,
        "an option made of others: i and iii only",
        "Haladyna, Downing and Rodriguez 2002, guideline 9",
    ),
    must(
        Code::OptionsOverlap,
        "ranges of options that share a value",
        "Haladyna, Downing and Rodriguez 2002, guideline 22",
    ),
    may(
        Code::KeyStuck,
        "a choice of numbers whose key has the same place by size in every version",
        "Bar-Hillel and Attali 2002 (from memory); Haladyna, Downing and Rodriguez 2002, guideline 20",
    ),
    may(
        Code::MixedOptions,
        "numbers beside words, sentences beside phrases",
        "Haladyna, Downing and Rodriguez 2002, guideline 23",
    ),
    may(
        Code::GrammarCue,
        "a or an before options that it does not all fit",
        "Haladyna, Downing and Rodriguez 2002, guideline 28",
    ),
    may(
        Code::RepeatedWords,
        "three words or more that all options begin or end with",
        "Haladyna, Downing and Rodriguez 2002, guideline 15",
    ),
    may(
        Code::LengthCue,
        "a right option more than 1.4 times as long as the others, or under 0.7",
        "Haladyna, Downing and Rodriguez 2002, guideline 24",
    ),
    may(
        Code::EchoCue,
        "a word of the question that the right option alone repeats",
        "Haladyna, Downing and Rodriguez 2002, guideline 28",
    ),
    may(
        Code::AbsoluteWords,
        "always, never, only and the like in wrong options alone",
        "Haladyna, Downing and Rodriguez 2002, guideline 28",
    ),
    may(
        Code::UnorderedNumbers,
        "numbers as options in no order",
        "Haladyna, Downing and Rodriguez 2002, guideline 21",
    ),
    may(Code::NegativeStatement, "a statement to judge with `not`", "Ebel and Frisbie 1991"),
    may(Code::NoReason, "a statement to judge without a reason", "Ebel and Frisbie 1991"),
    may(
        Code::OneSidedStatements,
        "of five statements or more, fewer than 40 % or more than 60 % true",
        "Ebel and Frisbie 1991",
    ),
    may(
        Code::EqualLists,
        "lists to match that are equally long",
        "Ebel and Frisbie 1991; Haladyna and Rodriguez 2013",
    ),
    may(
        Code::ListLength,
        "fewer than three or more than eight pairs to match",
        "Haladyna and Rodriguez 2013; the numbers common practice",
    ),
    // What is printed and what is used.
    may(
        Code::ValueNotPrinted,
        "a value that is needed and not in the question's text",
        "Haladyna, Downing and Rodriguez 2002, guideline 7",
    ),
    may(
        Code::ValueNotUsed,
        "a value that nothing in the question uses",
        "Haladyna, Downing and Rodriguez 2002, guideline 16",
    ),
    may(
        Code::FigureNotMentioned,
        "a figure that the question's text does not mention",
        "Crisp and Sweiry 2006",
    ),
    may(
        Code::FigureMissing,
        "a text that sends to a figure where none is shown",
        "Crisp and Sweiry 2006",
    ),
    may(
        Code::FigureGivesAnswer,
        "a caption or picture text that says a name the learner is to write",
        "Ofqual 2022; Standards 2014, 3.9",
    ),
    may(
        Code::TooManyFigures,
        "more significant figures demanded than the data have",
        "SI Brochure and NIST SP 811",
    ),
    may(
        Code::UnevenFigures,
        "values of a row with neither equal decimals nor equal figures",
        "SI Brochure and NIST SP 811",
    ),
    // Words.
    may(
        Code::LongSentence,
        "a sentence of more than 25 words in a question",
        "Ofqual 2022; the number common practice",
    ),
    may(
        Code::LongStem,
        "a stem of more than 60 words, and 25 for each further part that uses it",
        "Ofqual 2022; the numbers common practice",
    ),
    may(
        Code::HardToRead,
        "a question whose reading grade, taught terms apart, is above the class",
        "Haladyna, Downing and Rodriguez 2002, guidelines 8 and 13; formulas of Flesch and Kincaid",
    ),
    may(
        Code::UntaughtWord,
        "a word of five syllables or more that the lesson does not use",
        "Haladyna, Downing and Rodriguez 2002, guideline 8; Ofqual 2022",
    ),
    may(Code::TermSwapped, "a term used for its opposite: a residue that runs through", PRACTICE),
    may(Code::MixedSpelling, "British and American spelling in one unit", PRACTICE),
    may(
        Code::UnitTypography,
        "no space before a unit, or a sign that is no unit's",
        "SI Brochure and NIST SP 811",
    ),
    may(Code::MixedUnits, "two signs for one unit: L and dm3", "SI Brochure and NIST SP 811"),
];

/// What needs no rule here, and what sees to it.
pub static ELSEWHERE: &[(&str, &str)] = &[
    (
        "exactly one right option, options that differ, wrong ones from named mistakes, 3 % apart, numbers by size",
        "the model and the drawing refuse others; tests/mistakes/",
    ),
    ("positions of keys varied", "drawn at random within guards; src/question/kinds/positions.rs"),
    (
        "a paper's marks cell by cell as its blueprint has them",
        "the choice of questions meets them or is refused (`paper-unfillable`); tests/paper_picking.rs",
    ),
    (
        "questions of one paper that answer each other",
        "not chosen together, by their numbers in every version; src/paper/clues.rs",
    ),
    (
        "facility, discrimination, idle options, versions unlike in use",
        "only answers can tell: `mark` reports them after use; tests/item_statistics.rs",
    ),
    ("every value possible", "refused when a version is solved (`impossible`)"),
    (
        "marks of parts, sections and scheme add up",
        "counted from one working; tests/marks.rs, tests/scheme.rs",
    ),
    (
        "every part has a scheme, a method before each value, following through",
        "made from the working; tests/scheme.rs",
    ),
    ("a unit on the answer line", "printed with every answer; tests/print.rs"),
    (
        "versions alike in difficulty",
        "an outlier is drawn again; `check --profile` says what that costs",
    ),
    ("print size, contrast, no meaning by colour alone", "the profile of a page; tests/pages.rs"),
    ("stem, figure and answers together", "page breaks by cost; tests/pages.rs"),
];

/// The rule of this code.
pub fn rule(code: Code) -> Option<&'static Rule> {
    TABLE.iter().find(|rule| rule.code == code)
}

/// The rule that an author names.
pub fn named(code: &str) -> Option<&'static Rule> {
    TABLE.iter().find(|rule| rule.code.text() == code)
}
