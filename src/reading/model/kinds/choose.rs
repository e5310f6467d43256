//! A choice among words has exactly the right options that its key says.

use crate::balance::operations;
use crate::diag::{Code, Diagnostic, Surety, nearest};
use crate::quantity::Typed;
use crate::reading::kinds::Choose;
use crate::reading::parsed::{Part, Text};

use super::super::names::listed;
use super::{Check, OptionText, Task};

impl Check<'_, '_> {
    pub(super) fn choose(&mut self, part: &Part, told: &Choose) -> Option<Task> {
        let before = self.diagnostics.iter().count();
        let locked = !told.options.is_empty();
        // Written out in full, or the right ones and the wrong ones.
        let all: Vec<&Text> = if locked {
            told.options.iter().collect()
        } else {
            told.answer.iter().chain(told.wrong.iter().map(|(text, _)| text)).collect()
        };
        if !self.lettered(part, "options", all.len()) {
            return None;
        }
        self.alike(&all);
        for answer in &told.answer {
            if locked && !all.iter().any(|option| same(&option.value, &answer.value)) {
                self.not_an_option(
                    Code::KeyNotAnOption,
                    answer,
                    format!("The answer `{}` is not among the options.", answer.value),
                    &all,
                );
            }
        }
        for (wrong, _) in &told.wrong {
            if let Some(answer) = told.answer.iter().find(|a| same(&a.value, &wrong.value)) {
                self.diagnostics.push(
                    Diagnostic::new(
                        Code::TwoRightOptions,
                        self.unit.place(wrong.span),
                        format!("`{}` is called wrong here, and is the answer.", wrong.value),
                    )
                    .found(format!("`{}`", wrong.value))
                    .expected("wrong options that say something else than the answer")
                    .next("change one of the two")
                    .related(self.unit.place(answer.span), "the answer"),
                );
            } else if locked && !all.iter().any(|option| same(&option.value, &wrong.value)) {
                self.not_an_option(
                    Code::UnknownOption,
                    wrong,
                    format!("`{}` is called wrong here, and is none of the options.", wrong.value),
                    &all,
                );
            }
        }
        let right = |text: &str| told.answer.iter().any(|answer| same(&answer.value, text));
        let wrong = all.iter().filter(|option| !right(&option.value)).count();
        let clean = self.diagnostics.iter().count() == before;
        if wrong == 0 && clean {
            self.diagnostics.push(
                Diagnostic::new(
                    Code::TooFewOptions,
                    self.unit.place(part.span),
                    "This choice has no wrong option.",
                )
                .found(if all.len() == 1 {
                    "one option".to_owned()
                } else {
                    format!("{} options, all right", all.len())
                })
                .expected("two or three wrong options that a learner may believe")
                .next("write them under `wrong`, each with what it shows"),
            );
        }
        if self.diagnostics.iter().count() != before {
            return None;
        }
        let options = all
            .iter()
            .map(|option| OptionText {
                text: option.value.clone(),
                right: right(&option.value),
                why: told
                    .wrong
                    .iter()
                    .find(|(text, _)| same(&text.value, &option.value))
                    .and_then(|(_, why)| why.as_ref())
                    .map(|why| why.value.clone())
                    .unwrap_or_default(),
            })
            .collect();
        Some(Task::Choose { options, several: told.several, locked })
    }

    /// No two options say the same.
    fn alike(&mut self, options: &[&Text]) {
        for (n, option) in options.iter().enumerate() {
            let alike = |o: &&&Text| {
                same(&o.value, &option.value) || mean_the_same(&o.value, &option.value)
            };
            let Some(first) = options[..n].iter().find(alike) else { continue };
            // That a wrong option is the answer is said in words of its own.
            let answer = match &self.question.parts.iter().find(|p| within(p, option)) {
                Some(part) => match &part.kind {
                    crate::reading::kinds::Kind::Choose(choose) => {
                        choose.options.is_empty()
                            && choose.answer.iter().any(|a| same(&a.value, &option.value))
                            && !choose.answer.iter().any(|a| a.span == option.span)
                    }
                    _ => false,
                },
                None => false,
            };
            if answer {
                continue;
            }
            self.twice(first, option, "options");
        }
    }

    fn not_an_option(&mut self, code: Code, name: &Text, message: String, options: &[&Text]) {
        let known = || options.iter().map(|option| option.value.as_str());
        let names: Vec<&str> = known().collect();
        let finding = Diagnostic::new(code, self.unit.place(name.span), message)
            .found(format!("`{}`", name.value))
            .expected(listed(&names));
        self.diagnostics.push(finding.misspelt(
            name.span,
            nearest(&name.value, known()),
            Surety::Likely,
            "write it as one of the options is written",
        ));
    }
}

fn within(part: &Part, text: &Text) -> bool {
    part.span.start <= text.span.start && text.span.end <= part.span.end
}

/// Whether two texts are one quantity, or names of one operation.
pub(super) fn mean_the_same(one: &str, other: &str) -> bool {
    let number = |text: &str| Typed::parse(text.trim().trim_end_matches('.')).ok();
    if let (Some(one), Some(other)) = (number(one), number(other)) {
        let (a, b) = (one.si(), other.si());
        return one.unit.dimension() == other.unit.dimension()
            && (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
    }
    let operation = |text: &str| operations::named(&text.trim().to_lowercase());
    match (operation(one), operation(other)) {
        (Some(one), Some(other)) => one.name == other.name,
        _ => false,
    }
}

/// Whether two texts say the same but for capitals, blanks and stops.
pub(super) fn same(one: &str, other: &str) -> bool {
    let bare = |text: &str| -> String {
        let kept = text.chars().filter(|c| {
            c.is_alphanumeric() || matches!(c, '+' | '-' | '−' | '/' | '%' | '<' | '>' | '=' | '.')
        });
        kept.collect::<String>().trim_end_matches('.').to_lowercase()
    };
    bare(one) == bare(other)
}
