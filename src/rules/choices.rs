//! Options, pairs and statements: what gives a key away or makes a learner guess.
//!
//! Takes a question's block; says which rule is broken where. That exactly one option is
//! right, that options differ and that numbers stand in order is the model's business;
//! where a key stands among the options, that of the drawing.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Place, Span};
use crate::reading::kinds::{Choose, Kind, Match, TrueFalse};
use crate::reading::model::Model;
use crate::reading::parsed::{Part, Text, Written};

use super::language::{Word, phrases, words};
use super::texts::Block;

pub(super) fn check(model: &Model, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    let Some(question) = block.question() else { return };
    for part in &question.parts {
        let text = if part.text.text.trim().is_empty() { &question.stem } else { &part.text };
        let mut asked = Asked { model, part, text, say };
        match &part.kind {
            Kind::Choose(choose) => asked.choose(choose),
            Kind::ChooseNumber { .. } => asked.stem(),
            Kind::TrueFalse(judged) => asked.judge(judged),
            Kind::Match(matched) => asked.pairs(matched),
            _ => {}
        }
    }
}

/// Statements of a unit, true and false; a class sees if nearly all are one.
pub(super) fn check_unit(model: &Model, blocks: &[Block<'_>], say: &mut dyn FnMut(Diagnostic)) {
    let mut all: Vec<(Span, bool)> = Vec::new();
    for question in blocks.iter().filter_map(Block::question) {
        for part in &question.parts {
            if let Kind::TrueFalse(judged) = &part.kind {
                all.push((judged.answer.span, judged.answer.value));
            }
        }
    }
    let right = all.iter().filter(|(_, answer)| *answer).count();
    let Some((last, _)) = all.last().filter(|_| all.len() >= STATEMENTS) else { return };
    if (0.4..=0.6).contains(&(right as f64 / all.len() as f64)) {
        return;
    }
    say(Diagnostic::new(
        Code::OneSidedStatements,
        Place::new(&model.parsed.file, *last),
        "Of the statements to judge in this unit, too many have the same answer.",
    )
    .found(format!("{right} true of {}", all.len()))
    .expected("40 to 60 % of them true")
    .next("turn some statements round"));
}

/// Fewest statements of which a share says anything.
const STATEMENTS: usize = 5;
/// Phrases that stand for other options.
const ALL: &[&str] =
    &["all of the above", "all of these", "all the above", "all of them", "both of these"];
const NONE: &[&str] = &["none of the above", "none of these", "none the above", "none of them"];
const ABSOLUTE: &[&str] =
    &["always", "never", "only", "all", "none", "every", "completely", "impossible"];
const NEGATIVE: &[&str] = &["not", "never", "except", "cannot", "least", "incorrect"];
/// A key this much longer or shorter than the others catches the eye.
const LONGER: f64 = 1.4;
const SHORTER: f64 = 0.7;
/// Letters by which that must differ to be seen.
const SEEN: f64 = 8.0;
/// Letters by which a word of the stem is known again in an option.
const ROOT: usize = 5;

struct Asked<'a, 's> {
    model: &'a Model,
    part: &'a Part,
    text: &'a Written,
    say: &'s mut dyn FnMut(Diagnostic),
}

impl Asked<'_, '_> {
    fn finding(&self, code: Code, span: Span, message: &str) -> Diagnostic {
        Diagnostic::new(code, Place::new(&self.model.parsed.file, span), message)
    }

    fn say(&mut self, finding: Diagnostic) {
        (self.say)(finding);
    }

    fn choose(&mut self, choose: &Choose) {
        let key: Vec<&Text> = choose.answer.iter().collect();
        let is_key = |text: &Text| key.iter().any(|k| k.value.trim() == text.value.trim());
        let wrong: Vec<&Text> = if choose.options.is_empty() {
            choose.wrong.iter().map(|(text, _)| text).collect()
        } else {
            choose.options.iter().filter(|text| !is_key(text)).collect()
        };
        let all: Vec<&Text> = key.iter().chain(&wrong).copied().collect();
        self.stem();
        self.number(&all);
        self.phrases(&all);
        self.ranges(&all);
        self.alike(&all);
        self.article(&all);
        self.repeated(&all);
        if let ([key], false) = (key.as_slice(), choose.several) {
            self.length(key, &wrong);
            self.clang(key, &wrong);
            self.absolute(key, &wrong);
        }
        self.order(&choose.options);
    }

    /// A stem that asks something by itself.
    fn stem(&mut self) {
        let all = words(&self.text.text);
        let asks = self.text.text.contains(['?', '_'])
            || !phrases(
                &all,
                &[
                    "choose",
                    "tick",
                    "select",
                    "name",
                    "complete",
                    "pick",
                    "find",
                    "identify",
                    "calculate",
                    "circle",
                ],
            )
            .is_empty();
        if asks && all.len() >= 4 {
            return;
        }
        let finding = self
            .finding(
                Code::StemIncomplete,
                self.text.span,
                "What stands before the options does not ask anything by itself.",
            )
            .found(format!("{} words without a question", all.len()))
            .expected("a whole question that could be answered with the options hidden")
            .next("write it as a question");
        self.say(finding);
    }

    fn number(&mut self, all: &[&Text]) {
        if (3..=5).contains(&all.len()) {
            return;
        }
        let finding = self
            .finding(Code::OptionCount, self.part.span, "Three to five options serve best.")
            .found(format!("{} options", all.len()))
            .expected("3 to 5")
            .next("add a mistake that learners make, or drop the options that nobody takes");
        self.say(finding);
    }

    fn phrases(&mut self, all: &[&Text]) {
        let negative_stem = !phrases(&words(&self.text.text), NEGATIVE).is_empty();
        for option in all {
            let own = words(&option.value);
            let found = format!("`{}`", option.value);
            if !phrases(&own, ALL).is_empty() {
                let finding = self
                    .finding(
                        Code::AllOfTheAbove,
                        option.span,
                        "This option stands for all the others.",
                    )
                    .found(&found)
                    .expected("options that each say something of their own")
                    .next("ask for several right options: `answer: [..., ...]`");
                self.say(finding);
            }
            if !phrases(&own, NONE).is_empty() {
                let finding = self
                    .finding(
                        Code::NoneOfTheAbove,
                        option.span,
                        "This option denies all the others.",
                    )
                    .found(&found)
                    .expected("options that each say something of their own")
                    .next("write a mistake that learners make in its place");
                self.say(finding);
            }
            let roman = |w: &Word| {
                matches!(w.text.as_str(), "i" | "ii" | "iii" | "iv" | "1" | "2" | "3" | "4")
            };
            let joins =
                own.iter().any(|w| w.text == "and") && own.iter().filter(|w| roman(w)).count() >= 2;
            if joins
                && own
                    .iter()
                    .all(|w| roman(w) || matches!(w.text.as_str(), "and" | "only" | "both"))
            {
                let finding = self
                    .finding(Code::ComplexKey, option.span, "This option is made of other options.")
                    .found(&found)
                    .expected("one statement an option")
                    .next("ask for several right options: `answer: [..., ...]`");
                self.say(finding);
            }
            if negative_stem && !phrases(&own, NEGATIVE).is_empty() {
                let finding = self
                    .finding(
                        Code::DoubleNegative,
                        option.span,
                        "Question and option are both negative; a reader must turn it round twice.",
                    )
                    .found(&found)
                    .expected("at most one negative in question and option together")
                    .next("ask for what is so");
                self.say(finding);
            }
        }
    }

    /// `20-30 %` beside `30-40 %`: 30 would be both.
    fn ranges(&mut self, all: &[&Text]) {
        let read: Vec<(&Text, f64, f64)> =
            all.iter().filter_map(|text| range(&text.value).map(|(a, b)| (*text, a, b))).collect();
        for (at, (one, low, high)) in read.iter().enumerate() {
            let meets = read[..at].iter().find(|(_, from, to)| low <= to && from <= high);
            let Some((other, ..)) = meets else { continue };
            let finding = self
                .finding(Code::OptionsOverlap, one.span, "These two options share a value.")
                .found(format!("`{}` and `{}`", one.value, other.value))
                .expected("ranges that have no value in common")
                .next("end one range before the other begins");
            self.say(finding);
            return;
        }
    }

    /// Numbers with numbers, sentences with sentences.
    fn alike(&mut self, all: &[&Text]) {
        let number = |t: &&Text| t.value.trim_start().starts_with(|c: char| c.is_ascii_digit());
        let sentence = |t: &&Text| t.value.trim_end().ends_with('.');
        let odd = |is: &dyn Fn(&&Text) -> bool| {
            let (yes, no): (Vec<&Text>, Vec<&Text>) = all.iter().copied().partition(|t| is(t));
            let fewer = if yes.len() < no.len() { yes } else { no };
            fewer.first().copied().filter(|_| fewer.len() < all.len())
        };
        let Some(one) = odd(&number).or_else(|| odd(&sentence)) else { return };
        let finding = self
            .finding(Code::MixedOptions, one.span, "This option is of another kind than the rest.")
            .found(format!("`{}`", one.value))
            .expected("all options numbers, all words, or all sentences")
            .next("write it as the others are written");
        self.say(finding);
    }

    /// "This is an": half of the options drop out by their first letter.
    fn article(&mut self, all: &[&Text]) {
        let text = self.text.text.trim_end_matches(|c: char| !c.is_alphanumeric());
        let Some(last) = words(text).pop().filter(|w| matches!(w.text.as_str(), "a" | "an")) else {
            return;
        };
        let vowel =
            |t: &&Text| t.value.trim_start().to_lowercase().starts_with(['a', 'e', 'i', 'o', 'u']);
        let fits = all.iter().filter(|t| vowel(t) == (last.text == "an")).count();
        if fits == all.len() {
            return;
        }
        let finding = self
            .finding(
                Code::GrammarCue,
                self.text.span,
                "The last word before the options fits only some of them.",
            )
            .found(format!("`{}`, and {fits} of {} options follow it", last.text, all.len()))
            .expected("a question that every option answers")
            .next("write `a or an`, or put the article into the options");
        self.say(finding);
    }

    fn repeated(&mut self, all: &[&Text]) {
        let each: Vec<Vec<String>> =
            all.iter().map(|t| words(&t.value).into_iter().map(|w| w.text).collect()).collect();
        let Some(first) = each.first().filter(|_| each.len() > 1) else { return };
        let shared = |backwards: bool| {
            let at = |list: &Vec<String>, n: usize| {
                if backwards { list.iter().rev().nth(n).cloned() } else { list.get(n).cloned() }
            };
            (0..first.len()).take_while(|n| each.iter().all(|l| at(l, *n) == at(first, *n))).count()
        };
        let most = shared(false).max(shared(true));
        if most < 3 {
            return;
        }
        let finding = self
            .finding(
                Code::RepeatedWords,
                all[0].span,
                "All options share these words; they belong into the question.",
            )
            .found(format!("{most} words the same in every option"))
            .expected("each option only what is its own")
            .next("write the shared words once, in the question");
        self.say(finding);
    }

    fn length(&mut self, key: &Text, wrong: &[&Text]) {
        let of = |t: &Text| t.value.trim().chars().count() as f64;
        if wrong.is_empty() {
            return;
        }
        let mean = wrong.iter().map(|t| of(t)).sum::<f64>() / wrong.len() as f64;
        let own = of(key);
        let longest = wrong.iter().all(|t| own > of(t));
        let shortest = wrong.iter().all(|t| own < of(t));
        let seen = (own - mean).abs() >= SEEN;
        let told = (longest && own > LONGER * mean) || (shortest && own < SHORTER * mean);
        if !(told && seen) {
            return;
        }
        let how = if longest { "longest" } else { "shortest" };
        let finding = self
            .finding(
                Code::LengthCue,
                key.span,
                &format!("The right option is by far the {how}, and shows it."),
            )
            .found(format!("{own:.0} letters; the others have {mean:.0}"))
            .expected("a right option about as long as the others")
            .next("make the options alike in length");
        self.say(finding);
    }

    /// A word of the question that only the right option repeats.
    fn clang(&mut self, key: &Text, wrong: &[&Text]) {
        let roots = |text: &str| -> BTreeSet<String> {
            words(text)
                .into_iter()
                .filter(|w| w.text.chars().count() >= ROOT && !COMMON.contains(&w.text.as_str()))
                .map(|w| w.text.chars().take(ROOT).collect())
                .collect()
        };
        let asked = roots(&self.text.text);
        let elsewhere: BTreeSet<String> = wrong.iter().flat_map(|t| roots(&t.value)).collect();
        let own = roots(&key.value);
        let Some(shared) = own.iter().find(|r| asked.contains(*r) && !elsewhere.contains(*r))
        else {
            return;
        };
        let finding = self
            .finding(
                Code::EchoCue,
                key.span,
                "The right option alone repeats a word of the question.",
            )
            .found(format!("`{shared}...` in both"))
            .expected("a word that no option repeats, or some wrong ones too")
            .next("say it with another word in the question or the option");
        self.say(finding);
    }

    fn absolute(&mut self, key: &Text, wrong: &[&Text]) {
        let has = |t: &Text| phrases(&words(&t.value), ABSOLUTE).first().cloned();
        let stands_for_others = |t: &Text| {
            let own = words(&t.value);
            !phrases(&own, ALL).is_empty() || !phrases(&own, NONE).is_empty()
        };
        let with: Vec<&&Text> =
            wrong.iter().filter(|t| has(t).is_some() && !stands_for_others(t)).collect();
        let (Some(first), false) = (with.first(), has(key).is_some()) else { return };
        let at = has(first).map_or(0, |r| r.start);
        let word = words(&first.value).get(at).map(|w| w.text.clone()).unwrap_or_default();
        let finding = self
            .finding(
                Code::AbsoluteWords,
                first.span,
                "A word without exceptions gives a wrong option away.",
            )
            .found(format!("`{word}`"))
            .expected("wrong options as careful as the right one")
            .next("take the word out");
        self.say(finding);
    }

    /// Numbers in an order that the author fixed.
    fn order(&mut self, options: &[Text]) {
        let numbers: Vec<f64> = options.iter().filter_map(|t| leading(&t.value)).collect();
        if options.is_empty() || numbers.len() < options.len() {
            return;
        }
        let rises = numbers.windows(2).all(|w| w[0] < w[1]);
        let falls = numbers.windows(2).all(|w| w[0] > w[1]);
        if rises || falls {
            return;
        }
        let finding = self
            .finding(Code::UnorderedNumbers, options[0].span, "These numbers stand in no order.")
            .found("options that neither rise nor fall")
            .expected("numbers by size")
            .next("write them from small to large");
        self.say(finding);
    }

    fn judge(&mut self, judged: &TrueFalse) {
        let all = words(&self.text.text);
        if let Some(at) = phrases(&all, &["not", "never", "cannot"]).first() {
            let file = &self.model.parsed.file;
            let span = file.span_within(self.text.span, &self.text.text, all[at.start].at.clone());
            let finding = self
                .finding(
                    Code::NegativeStatement,
                    span,
                    "A statement to judge is negative; `false` then denies a denial.",
                )
                .found(format!("`{}`", all[at.start].text))
                .expected("a statement that says what is so, rightly or wrongly")
                .next("turn it round, and the answer with it");
            self.say(finding);
        }
        if judged.reasons.is_empty() {
            let finding = self
                .finding(
                    Code::NoReason,
                    judged.answer.span,
                    "Half of all guesses are right where no reason is asked for.",
                )
                .found("no `reason`")
                .expected("`reason:` with what a learner should say")
                .next("add the reason, and ask for it");
            self.say(finding);
        }
    }

    fn pairs(&mut self, matched: &Match) {
        if matched.spare.is_empty() {
            let finding = self
                .finding(
                    Code::EqualLists,
                    self.part.span,
                    "Both lists are equally long, so the last pair finds itself.",
                )
                .found(format!("{} on either side", matched.pairs.len()))
                .expected("more on the right than on the left")
                .next("add `spare: [...]` with one or two that have no partner");
            self.say(finding);
        }
        if !(3..=8).contains(&matched.pairs.len()) {
            let finding = self
                .finding(
                    Code::ListLength,
                    self.part.span,
                    "Three to eight pairs can be matched at one sitting.",
                )
                .found(format!("{} pairs", matched.pairs.len()))
                .expected("3 to 8")
                .next("part the list, or add to it");
            self.say(finding);
        }
    }
}

/// Long words that say nothing of an answer.
const COMMON: &[&str] = &[
    "which",
    "there",
    "these",
    "those",
    "their",
    "where",
    "while",
    "about",
    "would",
    "could",
    "should",
    "other",
    "liquid",
    "solid",
    "water",
    "mixture",
    "substance",
];

/// The number that a text begins with.
fn leading(text: &str) -> Option<f64> {
    let text = text.trim().trim_start_matches(['\u{2212}', '-']);
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    text[..end].trim_end_matches('.').parse().ok()
}

/// The ends of a range: `20-30 %`, `20 to 30 %`.
fn range(text: &str) -> Option<(f64, f64)> {
    let low = leading(text)?;
    let (_, rest) = text.split_once(" to ").or_else(|| text.split_once(['-', '\u{2013}']))?;
    let high = leading(rest)?;
    (low < high).then_some((low, high))
}
