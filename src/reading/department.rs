//! `department.yaml`, beside the units: what a school calls its levels.
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
    pub levels: Levels,
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
    if let Some(levels) = levels(&mut desk, &fields) {
        found.levels = levels;
    }
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
