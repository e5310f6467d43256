//! `department.yaml`, beside the units: what a school calls itself and its levels, and
//! what stands on the front of its papers.
//!
//! Takes a file; gives the school's habits, or findings. What the file does not say
//! is as it comes with Stillroom.

use std::sync::Arc;

use super::desk::{Desk, Fields};
use super::excerpt::Excerpt;
use super::paper::texts;
use super::parsed::Text;
use super::words::LEVELS;
use super::{pitfalls, words};
use crate::diag::{Code, Diagnostics, SourceFile, Span, nearest};

/// The file's name.
pub const FILE: &str = "department.yaml";

#[derive(Debug, Clone, Default)]
pub struct Department {
    pub school: Option<String>,
    /// A picture beside the file, and the file that names it.
    pub badge: Option<(Arc<SourceFile>, Text)>,
    pub language: Option<String>,
    pub levels: Levels,
    pub need: Vec<String>,
    pub instructions: Vec<String>,
    pub information: Vec<String>,
    pub foot: Option<String>,
    pub letters: Letters,
    /// A grade and the least share of the marks in percent, from the best.
    pub grades: Vec<(String, f64)>,
    /// Which mark is decimal in what learners write, where their file leaves doubt.
    pub decimal: Option<Decimal>,
    /// Significant figures of answers whose question says nothing; none: as many as the
    /// data bear.
    pub sig_figs: Option<u32>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decimal {
    Point,
    Comma,
}

impl Department {
    /// The least marks of each grade, from the best.
    pub fn boundaries(&self, full: u32) -> Vec<(&str, u32)> {
        let least = |share: f64| (0..=full).find(|marks| reaches(*marks, full, share));
        self.grades
            .iter()
            .map(|(grade, share)| (grade.as_str(), least(*share).unwrap_or(full)))
            .collect()
    }

    /// The grade of so many marks; none where the department gives no grades.
    pub fn grade(&self, given: u32, full: u32) -> Option<String> {
        let lowest = self.grades.last()?;
        let own = self.grades.iter().find(|(_, share)| reaches(given, full, *share));
        Some(own.map_or_else(|| format!("below {}", lowest.0), |(grade, _)| grade.clone()))
    }

    /// Of learners counted by their marks from 0 to all, how many have each grade, with its
    /// least marks; those below the last come last.
    pub fn graded(&self, learners: &[u64]) -> Vec<(String, u32, u64)> {
        let full = u32::try_from(learners.len().saturating_sub(1)).unwrap_or(u32::MAX);
        let mut found: Vec<(String, u32, u64)> = self
            .boundaries(full)
            .into_iter()
            .map(|(grade, least)| (grade.to_owned(), least, 0))
            .collect();
        if found.last().is_some_and(|(_, least, _)| *least > 0) {
            found.push((self.grade(0, full).unwrap_or_default(), 0, 0));
        }
        for (given, count) in (0..).zip(learners) {
            let own = self.grade(given, full);
            if let Some(row) = found.iter_mut().find(|(grade, ..)| Some(grade) == own.as_ref()) {
                row.2 += count;
            }
        }
        found
    }
}

/// Whether so many of all marks are a share in percent.
fn reaches(marks: u32, full: u32, share: f64) -> bool {
    f64::from(marks) * 100.0 >= share * f64::from(full) - 1e-9
}

/// The letters of mark schemes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letters {
    pub method: String,
    pub accuracy: String,
    pub independent: String,
}

impl Default for Letters {
    fn default() -> Self {
        let [method, accuracy, independent] = ["M", "A", "B"].map(str::to_owned);
        Letters { method, accuracy, independent }
    }
}

/// The names of levels, from the easiest, each with what it takes of the six.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Levels {
    names: Vec<(String, Vec<&'static str>)>,
}

impl Default for Levels {
    fn default() -> Self {
        Levels { names: LEVELS.iter().map(|&level| (level.to_owned(), vec![level])).collect() }
    }
}

impl Levels {
    /// The number of the school's level that one of the six belongs to.
    pub fn of(&self, level: &str) -> Option<usize> {
        self.names.iter().position(|(_, six)| six.contains(&level))
    }

    /// The number of the level that the school calls so.
    pub fn named(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|(own, _)| own.eq_ignore_ascii_case(name))
    }

    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.names.iter().map(|(name, _)| name.as_str())
    }
}

/// Reads the file; what is wrong in it goes to `out`.
pub fn department(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Department {
    let mut desk = Desk::new(file, out);
    let mut found = Department::default();
    let tree = pitfalls::tree(&mut desk, &Excerpt::of(file, 0..file.text().len()));
    let Some(fields) = desk.fields(&tree, &words::DEPARTMENT, Span::default()) else {
        return found;
    };
    let words = |text: Option<Text>| text.map(|text| text.value);
    found.school = words(desk.optional_prose(&fields, "school"));
    found.badge = desk.optional_text(&fields, "badge").map(|text| (Arc::clone(file), text));
    found.language = words(desk.optional_text(&fields, "language"));
    found.foot = words(desk.optional_prose(&fields, "foot"));
    let mut list = |key| -> Vec<String> {
        desk.prose_list(&fields, key).into_iter().map(|text| text.value).collect()
    };
    found.need = list("need");
    found.instructions = list("instructions");
    found.information = list("information");
    if let Some(levels) = levels(&mut desk, &fields) {
        found.levels = levels;
    }
    letters(&mut desk, &fields, &mut found.letters);
    found.grades = grades(&mut desk, &fields);
    found.decimal = decimal(&mut desk, &fields);
    found.sig_figs = sig_figs(&mut desk, &fields);
    found
}

fn levels(desk: &mut Desk, fields: &Fields) -> Option<Levels> {
    let entry = fields.get("levels")?;
    let entries = desk.entries(&entry.value, "levels", entry.key.span)?;
    let mut names: Vec<(String, Vec<&'static str>)> = Vec::new();
    for own in entries {
        let mut six = Vec::new();
        for text in texts(desk, own) {
            match LEVELS.iter().find(|level| **level == text.value) {
                Some(level) => six.push(*level),
                None => unknown_level(desk, &text),
            }
        }
        names.push((own.key.text.clone(), six));
    }
    for level in LEVELS {
        let holders = names.iter().filter(|(_, six)| six.contains(level)).count();
        if holders == 1 {
            continue;
        }
        let finding = desk
            .finding(
                Code::DepartmentValue,
                entry.key.span,
                match holders {
                    0 => format!("The level `{level}` belongs to none of the school's levels."),
                    _ => format!("The level `{level}` belongs to several of the school's levels."),
                },
            )
            .found(format!("`{level}` named {holders} times"))
            .expected(
                "each of the six once: remember, understand, apply, analyse, evaluate, create",
            )
            .next(format!("name `{level}` in one of the school's levels"));
        desk.say(finding);
    }
    Some(Levels { names })
}

fn unknown_level(desk: &mut Desk, text: &Text) {
    let finding = desk
        .finding(
            Code::UnknownLevel,
            text.span,
            format!("There is no level called `{}`.", text.value),
        )
        .found(format!("`{}`", text.value))
        .expected(LEVELS.join(", "));
    desk.say(
        finding.suggesting(nearest(&text.value, LEVELS.iter().copied()), "choose one of these"),
    );
}

fn letters(desk: &mut Desk, fields: &Fields, letters: &mut Letters) {
    let Some(entry) = fields.get("letters") else { return };
    let Some(own) = desk.fields(&entry.value, &words::LETTERS, entry.key.span) else { return };
    let places = [
        ("method", &mut letters.method),
        ("accuracy", &mut letters.accuracy),
        ("independent", &mut letters.independent),
    ];
    let mut taken: Vec<Text> = Vec::new();
    for (key, place) in places {
        let Some(text) = desk.optional_text(&own, key) else { continue };
        let good = text.value.len() <= 3 && text.value.chars().all(|c| c.is_ascii_uppercase());
        let twice = taken.iter().any(|other| other.value == text.value);
        if !good || twice || text.value.is_empty() {
            let finding = desk
                .finding(
                    Code::DepartmentValue,
                    text.span,
                    "A mark is named by up to three capitals, each kind by its own.",
                )
                .found(format!("`{}`", text.value))
                .expected("such as M, A, B")
                .next("choose other letters");
            desk.say(finding);
            continue;
        }
        place.clone_from(&text.value);
        taken.push(text);
    }
}

/// More figures than these no school data bear.
const MOST_FIGURES: u32 = 6;

fn sig_figs(desk: &mut Desk, fields: &Fields) -> Option<u32> {
    let figures = desk.whole(fields, "sig_figs")?;
    if (2..=MOST_FIGURES).contains(&figures.value) {
        return Some(figures.value);
    }
    let finding = desk
        .finding(Code::DepartmentValue, figures.span, "Answers cannot have so many figures.")
        .found(format!("`{}`", figures.value))
        .expected(format!("2 to {MOST_FIGURES}"))
        .next("write 3, or leave the key out to give as many as the data bear");
    desk.say(finding);
    None
}

fn decimal(desk: &mut Desk, fields: &Fields) -> Option<Decimal> {
    let text = desk.optional_text(fields, "decimal")?;
    match text.value.as_str() {
        "point" => Some(Decimal::Point),
        "comma" => Some(Decimal::Comma),
        _ => {
            let finding = desk
                .finding(Code::DepartmentValue, text.span, "No such mark is decimal.")
                .found(format!("`{}`", text.value))
                .expected("`point` or `comma`")
                .next("choose one of these, or leave the line out");
            desk.say(finding);
            None
        }
    }
}

fn grades(desk: &mut Desk, fields: &Fields) -> Vec<(String, f64)> {
    let Some(entry) = fields.get("grades") else { return Vec::new() };
    let Some(entries) = desk.entries(&entry.value, "grades", entry.key.span) else {
        return Vec::new();
    };
    let mut grades: Vec<(String, f64)> = Vec::new();
    for own in entries {
        let Some(text) = desk.text(own) else { continue };
        let share = text.value.trim_end_matches('%').trim().parse::<f64>().ok();
        let lower = |share: f64| grades.last().is_none_or(|(_, before)| share < *before);
        match share.filter(|share| (0.0..=100.0).contains(share) && lower(*share)) {
            Some(share) => grades.push((own.key.text.clone(), share)),
            None => {
                let finding = desk
                    .finding(
                        Code::DepartmentValue,
                        text.span,
                        "Grades go down from the best, each with its least share of the marks.",
                    )
                    .found(format!("`{}`", text.value))
                    .expected("a share lower than the one above it, such as `70 %`")
                    .next("write the boundary in percent");
                desk.say(finding);
            }
        }
    }
    grades
}
