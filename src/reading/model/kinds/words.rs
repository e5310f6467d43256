//! Matching, ordering, gaps and explanations checked.

use crate::diag::{Code, Diagnostic};
use crate::reading::kinds::{Fill, Match, Order, Point};
use crate::reading::parsed::{Part, Process, Text};

use super::super::recap::{inlets, outlets};
use super::choose::{mean_the_same, same};
use super::{Check, Task, marks_of};

/// What stands for a gap in the text of a part.
pub(super) const GAP: &str = "___";

impl Check<'_, '_> {
    pub(super) fn matching(&mut self, part: &Part, told: &Match) -> Option<Task> {
        if told.pairs.len() < 2 {
            self.too_short(part, "pairs to match", "at least two, better four to eight");
            return None;
        }
        let left = told.pairs.iter().map(|(name, _)| name);
        let differ = self.all_differ(left, "lines at the left", same);
        if !self.all_differ(&told.spare, "spare texts", same) || !differ {
            return None;
        }
        let mut right: Vec<String> = Vec::new();
        let mut left = Vec::new();
        let partners = told.pairs.iter().map(|(_, partner)| partner).chain(&told.spare);
        if !self.all_differ(partners, "texts to match with", is_another_name) {
            return None;
        }
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
        if !self.lettered(part, "texts to match with", right.len()) {
            return None;
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
                self.settled(name, process)?;
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

    /// Each operation of a process takes what the one before it gives, so that they have
    /// one order.
    fn settled(&mut self, name: &Text, process: &Process) -> Option<()> {
        let words = |name: &Text| name.value.replace('_', " ");
        for pair in process.operations.windows(2) {
            let [first, then] = pair else { continue };
            let leads =
                outlets(first).any(|out| inlets(then).any(|stream| stream.value == out.value));
            if leads {
                continue;
            }
            self.diagnostics.push(
                Diagnostic::new(
                    Code::OrderUnsettled,
                    self.unit.place(name.span),
                    format!(
                        "Nothing flows from `{}` to `{}`, which stands behind it: their order is not settled.",
                        words(&first.name),
                        words(&then.name)
                    ),
                )
                .found(format!("`{}`, then `{}`", words(&first.name), words(&then.name)))
                .expected("operations each of which takes what the one before it gives")
                .next("write the operations in the order of flow; where streams run beside each other, list the lines to be ordered")
                .related(self.unit.place(then.name.span), "it takes nothing from there"),
            );
            return None;
        }
        Some(())
    }

    /// Names to write on a figure.
    pub(super) fn names(&mut self, part: &Part, names: &[Text]) -> Option<Task> {
        if names.is_empty() {
            self.too_short(part, "names to write", "at least one name of the figure");
            return None;
        }
        let clean = self.all_differ(names, "names", same);
        let names = names.iter().map(|name| name.value.replace('_', " ")).collect();
        clean.then_some(Task::Label { names })
    }

    pub(super) fn explain(&mut self, part: &Part, points: &[Point]) -> Option<Task> {
        let before = self.diagnostics.iter().count();
        for (n, point) in points.iter().enumerate() {
            let known = points[..n].iter().find(|o| same(&o.point.value, &point.point.value));
            known.into_iter().for_each(|o| self.twice(&o.point, &point.point, "points"));
            for reject in &point.reject {
                let ways = std::iter::once(&point.point).chain(&point.or).chain(&point.accept);
                let known = ways.into_iter().find(|way| same(&way.value, &reject.value));
                known.into_iter().for_each(|way| {
                    self.twice(way, reject, "texts, one right and one to be rejected,");
                });
            }
        }
        if self.diagnostics.iter().count() != before {
            return None;
        }
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
        let all = told.words.iter().chain(&told.spare);
        if !self.all_differ(all, "words of the bank", is_another_name) {
            return None;
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

/// What may stand twice in the same words, but not in others.
fn is_another_name(one: &str, other: &str) -> bool {
    !same(one, other) && mean_the_same(one, other)
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}
