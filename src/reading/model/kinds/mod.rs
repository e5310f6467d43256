//! The kinds of questions checked: every name looked up, exactly one answer.
//!
//! Takes the parts of a question; gives for each its task, in which nothing is left
//! to be looked up, or says what is wrong. Texts of tasks are Markdown.

mod choose;
mod common;
mod plan;
mod tables;
mod words;

use crate::diag::{Code, Diagnostic, Diagnostics};
use crate::quantity::Unit;
use crate::quantity::formula::Formula;
use crate::reading::kinds::{Kind, Point, Rule};
use crate::reading::parsed::{Part, Question, Text};

use super::lookup::Lookup;
use super::names::UnitNames;

/// What a part asks, with all that is needed to ask it.
#[derive(Debug, Clone)]
pub enum Task {
    /// A number on an answer line.
    Work,
    /// A number among so many options.
    ChooseNumber {
        options: usize,
    },
    Choose {
        options: Vec<OptionText>,
        several: bool,
        locked: bool,
    },
    TrueFalse {
        answer: bool,
        reasons: Vec<Mark>,
    },
    /// Left sides with the place of their partner at the right.
    Match {
        left: Vec<(String, usize)>,
        right: Vec<String>,
    },
    /// Lines in their right order.
    Order {
        lines: Vec<String>,
    },
    Explain {
        points: Vec<Mark>,
    },
    /// The words of the gaps, and the bank where there is one.
    Fill {
        words: Vec<String>,
        bank: Option<Vec<String>>,
    },
    /// Names as a figure has them.
    Label {
        names: Vec<String>,
    },
    Read(Box<Reading>),
    Complete {
        table: Table,
        gaps: Vec<Gap>,
    },
    Anomaly {
        table: Table,
        odd: Odd,
        reasons: Vec<Mark>,
    },
    /// The strands of a plan with what earns their marks.
    Investigate {
        strands: Vec<(&'static str, Vec<String>)>,
    },
}

/// An option of a choice of words.
#[derive(Debug, Clone)]
pub struct OptionText {
    pub text: String,
    pub right: bool,
    /// What ticking it shows.
    pub why: String,
}

/// A marking point.
#[derive(Debug, Clone, Default)]
pub struct Mark {
    pub text: String,
    pub or: Vec<String>,
    pub accept: Vec<String>,
    pub reject: Vec<String>,
    pub ignore: Vec<String>,
    pub marks: u32,
}

/// A value between the points of a row.
#[derive(Debug, Clone)]
pub struct Reading {
    pub name: String,
    pub points: Vec<(f64, f64)>,
    pub at: Formula,
    pub across: Unit,
    pub unit: Unit,
    /// Half a small square of the graph, or half a unit of the table's last place.
    pub half: f64,
    /// Decimal places that a reading has.
    pub places: i32,
    /// Where there is no drawing to read from, the table itself.
    pub table: Option<Table>,
}

/// A table of numbers as it is printed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    pub head: Vec<String>,
    /// The first cell is the row's name.
    pub rows: Vec<Vec<String>>,
}

/// A cell that a learner fills in.
#[derive(Debug, Clone)]
pub struct Gap {
    pub row: usize,
    pub column: usize,
    /// "retained at 0.5".
    pub name: String,
    /// As the table has it.
    pub printed: String,
    /// In place of that, what it is worked out from.
    pub formula: Option<Formula>,
    pub unit: Unit,
    /// Decimal places of the row.
    pub places: i32,
}

/// The value that departs from a rule.
#[derive(Debug, Clone)]
pub struct Odd {
    pub row: String,
    pub column: String,
    pub value: String,
    pub rule: Rule,
}

/// The question with the figure that its parts label or read from, and the names that
/// are written there. A question shows one figure.
pub(super) fn with_figure(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) -> Question {
    let mut shown = question.clone();
    for part in &question.parts {
        let (figure, names) = match &part.kind {
            Kind::Label(label) => (&label.figure, label.names.as_slice()),
            Kind::Read(read) if unit.figures.contains_key(read.figure.value.as_str()) => {
                (&read.figure, &[][..])
            }
            _ => continue,
        };
        match &shown.figure {
            Some(own) if own.value != figure.value => diagnostics.push(
                Diagnostic::new(
                    Code::BadValue,
                    unit.place(figure.span),
                    format!("This question shows `{}` already.", own.value),
                )
                .found(format!("`{}` and `{}`", own.value, figure.value))
                .expected("one figure for a question")
                .next("make it two questions, or use one figure for both parts")
                .related(unit.place(own.span), "the first stands"),
            ),
            _ => shown.figure = Some(figure.clone()),
        }
        let flow = unit
            .figures
            .get(figure.value.as_str())
            .is_some_and(|figure| unit.processes.contains_key(figure.shows()));
        shown.blank.extend(names.iter().map(|name| {
            // Streams are written with underscores and printed without.
            let value = if flow { name.value.replace(' ', "_") } else { name.value.clone() };
            Text::new(value, name.span)
        }));
    }
    shown
}

/// The tasks of a question's parts, one each.
pub(super) fn check(
    unit: &UnitNames<'_>,
    question: &Question,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) -> Vec<Task> {
    let mut checked = Check { unit, question, lookup, diagnostics };
    let task = |part| {
        checked.values_in_keys(part);
        checked.task(part).unwrap_or(Task::Work)
    };
    question.parts.iter().map(task).collect()
}

struct Check<'a, 'd> {
    unit: &'a UnitNames<'a>,
    question: &'a Question,
    lookup: &'a Lookup<'a>,
    diagnostics: &'d mut Diagnostics,
}

impl Check<'_, '_> {
    /// None where something is wrong with it.
    fn task(&mut self, part: &Part) -> Option<Task> {
        match &part.kind {
            Kind::Find => Some(Task::Work),
            Kind::ChooseNumber { options } => {
                self.figures_to_choose_by(part)?;
                Some(Task::ChooseNumber { options: options.value as usize })
            }
            Kind::Choose(choose) => self.choose(part, choose),
            Kind::TrueFalse(told) => Some(Task::TrueFalse {
                answer: told.answer.value,
                reasons: marks_of(&told.reasons),
            }),
            Kind::Match(told) => self.matching(part, told),
            Kind::Order(told) => self.order(part, told),
            Kind::Explain(points) => self.explain(part, points),
            Kind::Fill(told) => self.fill(part, told),
            Kind::Label(told) => self.names(part, &told.names),
            Kind::Read(told) => self.reading(part, told),
            Kind::Complete(told) => self.complete(part, told),
            Kind::Anomaly(told) => self.anomaly(told),
            Kind::Investigate(told) => self.plan(told),
        }
    }
}

fn marks_of(points: &[Point]) -> Vec<Mark> {
    let texts = |list: &[Text]| list.iter().map(|text| text.value.clone()).collect();
    points
        .iter()
        .map(|point| Mark {
            text: point.point.value.clone(),
            or: texts(&point.or),
            accept: texts(&point.accept),
            reject: texts(&point.reject),
            ignore: texts(&point.ignore),
            marks: point.marks.as_ref().map_or(1, |marks| marks.value),
        })
        .collect()
}
