//! Matching, ordering, gaps and explanations checked.

use crate::diag::{Code, Diagnostic};
use crate::reading::kinds::{Fill, Match, Order, Point};
use crate::reading::parsed::{Part, Text};

use super::choose::same;
use super::{Check, Task, marks_of};

/// What stands for a gap in the text of a part.
pub(super) const GAP: &str = "___";

impl Check<'_, '_> {
    pub(super) fn matching(&mut self, part: &Part, told: &Match) -> Option<Task> {
        if told.pairs.len() < 2 {
            self.too_short(part, "pairs to match", "at least two, better four to eight");
            return None;
        }
        let mut right: Vec<String> = Vec::new();
        let mut left = Vec::new();
        for (name, partner) in &told.pairs {
            let known = right.iter().position(|text| same(text, &partner.value));
            let place = known.unwrap_or_else(|| {
                right.push(partner.value.clone());
                right.len() - 1
            });
            left.push((name.value.clone(), place));
        }
        for spare in &told.spare {
            if let Some((name, partner)) =
                told.pairs.iter().find(|(_, partner)| same(&partner.value, &spare.value))
            {
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::TwoRightOptions,
                        self.unit.place(spare.span),
                        format!(
                            "`{}` is spare here, and is the partner of `{}`.",
                            spare.value, name.value
                        ),
                    )
                    .found(format!("`{}`", spare.value))
                    .expected("spare texts that belong to nothing at the left")
                    .next("change it, or take it out")
                    .related(self.unit.place(partner.span), "its partner"),
                );
                return None;
            }
            right.push(spare.value.clone());
        }
        Some(Task::Match { left, right })
    }

    pub(super) fn order(&mut self, part: &Part, told: &Order) -> Option<Task> {
        let lines: Vec<String> = match told {
            Order::Lines(lines) => lines.iter().map(|line| line.value.clone()).collect(),
            Order::Steps(name) => {
                let technique = self.technique(name)?;
                technique.steps.iter().map(|step| step.value.clone()).collect()
            }
            Order::Operations(name) => {
                let Some(process) = self.unit.processes.get(name.value.as_str()) else {
                    if !self.unit.may_be_a_block(&name.value) {
                        let known = self.unit.processes.keys().copied();
                        let code = Code::UnknownProcess;
                        let found = self.unit.unknown(code, name, "process", "this unit", known);
                        self.diagnostics.push(found);
                    }
                    return None;
                };
                process.operations.iter().map(|o| o.name.value.replace('_', " ")).collect()
            }
        };
        if lines.len() < 3 {
            self.too_short(part, "lines to put in order", "at least three");
            return None;
        }
        for (n, line) in lines.iter().enumerate() {
            if lines[..n].iter().any(|earlier| same(earlier, line)) {
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::OptionsAlike,
                        self.unit.place(part.span),
                        format!("Two lines to put in order say the same: `{line}`."),
                    )
                    .found("two lines that cannot be told apart")
                    .expected("lines that differ")
                    .next("say more in one of them"),
                );
                return None;
            }
        }
        Some(Task::Order { lines })
    }

    pub(super) fn explain(&mut self, part: &Part, points: &[Point]) -> Option<Task> {
        let marks = marks_of(points);
        if marks.is_empty() {
            self.too_short(part, "marking points", "at least one point for each mark");
            return None;
        }
        let most: u32 = marks.iter().map(|mark| mark.marks).sum();
        if let Some(wanted) = &part.marks
            && wanted.value > most
        {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::TooShort,
                    self.unit.place(wanted.span),
                    format!("This part has {} marks, and its points earn {most}.", wanted.value),
                )
                .found(format!("{} points", marks.len()))
                .expected("at least as many points as marks")
                .next("add points, or give fewer marks"),
            );
            return None;
        }
        Some(Task::Explain { points: marks })
    }

    pub(super) fn fill(&mut self, part: &Part, told: &Fill) -> Option<Task> {
        let texts = [&self.question.stem, &part.text];
        let text = texts.into_iter().rfind(|text| text.text.contains(GAP));
        let gaps = text.map_or(0, |text| text.text.matches(GAP).count());
        // Words may stand a second time in the bank only once.
        if gaps != told.words.len() {
            let span = text.map_or(part.span, |text| text.span);
            self.diagnostics.push(
                Diagnostic::new(
                    Code::GapsUnmatched,
                    self.unit.place(span),
                    format!(
                        "The text has {gaps} gap{} and `fill` {} word{}.",
                        plural(gaps),
                        told.words.len(),
                        plural(told.words.len())
                    ),
                )
                .found(format!("{gaps} times `{GAP}`"))
                .expected("three underscores in the text for each word of `fill`")
                .next("write `___` where each word belongs"),
            );
            return None;
        }
        for spare in &told.spare {
            if let Some(word) = told.words.iter().find(|word| same(&word.value, &spare.value)) {
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::TwoRightOptions,
                        self.unit.place(spare.span),
                        format!("`{}` is spare here, and fills a gap.", spare.value),
                    )
                    .found(format!("`{}`", spare.value))
                    .expected("spare words that fit no gap")
                    .next("take it out")
                    .related(self.unit.place(word.span), "the word of a gap"),
                );
                return None;
            }
        }
        let own = |list: &[Text]| -> Vec<String> { list.iter().map(|t| t.value.clone()).collect() };
        let words = own(&told.words);
        let bank = told.bank.then(|| {
            let mut bank: Vec<String> = Vec::new();
            for word in words.iter().cloned().chain(own(&told.spare)) {
                if !bank.iter().any(|known| same(known, &word)) {
                    bank.push(word);
                }
            }
            bank
        });
        Some(Task::Fill { words, bank })
    }

    pub(super) fn technique(&mut self, name: &Text) -> Option<&crate::reading::parsed::Technique> {
        let found = self.unit.techniques.get(name.value.as_str()).copied();
        if found.is_none() && !self.unit.may_be_a_block(&name.value) {
            let known = self.unit.techniques.keys().copied();
            let code = Code::UnknownTechnique;
            self.diagnostics.push(self.unit.unknown(code, name, "technique", "this unit", known));
        }
        found
    }

    pub(super) fn too_short(&mut self, part: &Part, what: &str, expected: &str) {
        self.diagnostics.push(
            Diagnostic::new(
                Code::TooShort,
                self.unit.place(part.span),
                format!("This part has too few {what}."),
            )
            .found(format!("too few {what}"))
            .expected(expected)
            .next("write more of them"),
        );
    }
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}
