//! Names of a unit: its processes, tables and objectives, and what may not be a name.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span, nearest};
use crate::reading::parsed::{Data, Item, ParsedUnit, Process, Prose, Question, Text};

pub(super) const LEVELS: [&str; 6] =
    ["remember", "understand", "apply", "analyse", "evaluate", "create"];

/// Words that formulas and facts use themselves.
pub(super) const RESERVED: &[&str] = &[
    "solids", "liquor", "total", "fraction", "percent", "rest", "others", "is", "none", "pure",
    "of", "per", "at", "by", "same", "volume", "density", "sqrt", "ln", "exp", "sf",
];

/// What a unit's blocks may refer to.
pub(super) struct UnitNames<'a> {
    pub(super) file: &'a Arc<SourceFile>,
    pub(super) processes: BTreeMap<&'a str, &'a Process>,
    pub(super) tables: BTreeMap<&'a str, &'a Data>,
    pub(super) objectives: Vec<&'a str>,
    pub(super) examples: BTreeMap<&'a str, &'a Question>,
}

impl<'a> UnitNames<'a> {
    pub(super) fn of(parsed: &'a ParsedUnit, _diagnostics: &mut Diagnostics) -> Self {
        let mut names = UnitNames {
            file: &parsed.file,
            processes: BTreeMap::new(),
            tables: BTreeMap::new(),
            objectives: parsed.front.objectives.iter().map(|(id, _)| id.value.as_str()).collect(),
            examples: BTreeMap::new(),
        };
        for item in &parsed.items {
            match item {
                Item::Process(process) => {
                    if let Some(id) = &process.id {
                        names.processes.insert(&id.value, process);
                    }
                }
                Item::Data(data) => {
                    names.tables.insert(&data.id.value, data);
                }
                Item::Example(example) => {
                    names.examples.insert(&example.id.value, example);
                }
                _ => {}
            }
        }
        names
    }

    pub(super) fn place(&self, span: Span) -> Place {
        Place::new(self.file, span)
    }

    /// The objective and level of a question exist.
    pub(super) fn check_labels(&self, question: &Question, diagnostics: &mut Diagnostics) {
        if let Some(objective) = &question.objective
            && !self.objectives.contains(&objective.value.as_str())
        {
            diagnostics.push(self.unknown(
                Code::UnknownObjective,
                objective,
                "objective",
                "the front matter",
                self.objectives.iter().copied(),
            ));
        }
        if let Some(level) = &question.level
            && !LEVELS.contains(&level.value.as_str())
        {
            diagnostics.push(self.unknown(
                Code::UnknownLevel,
                level,
                "level",
                "this list",
                LEVELS.into_iter(),
            ));
        }
    }

    /// "There is no stream `x` in the process", with the nearest name.
    pub(super) fn unknown<'n>(
        &self,
        code: Code,
        name: &Text,
        kind: &str,
        home: &str,
        known: impl Iterator<Item = &'n str> + Clone,
    ) -> Diagnostic {
        let near = nearest(&name.value, known.clone());
        let list: Vec<&str> = known.take(12).collect();
        let next = match near {
            Some(near) => format!("Write `{near}` if that is meant."),
            None if list.is_empty() => format!("Add the {kind} to {home}."),
            None => format!("Use one of {}, or add it to {home}.", listed(&list)),
        };
        let diagnostic = Diagnostic::new(
            code,
            self.place(name.span),
            format!("There is no {kind} `{}` in {home}.", name.value),
        )
        .found(format!("`{}`", name.value))
        .expected(if list.is_empty() { format!("a {kind}") } else { listed(&list) })
        .next(next);
        match near {
            Some(near) => diagnostic.written(near),
            None => diagnostic,
        }
    }
}

/// `a`, `b` or `c`.
pub(super) fn listed(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    match quoted.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
    }
}

/// Prose may print the numbers of the unit's examples; every blank must name one.
pub(super) fn check_prose(unit: &UnitNames<'_>, prose: &Prose, diagnostics: &mut Diagnostics) {
    let known: Vec<&str> = unit
        .examples
        .values()
        .flat_map(|e| e.values.iter().map(|v| v.name.value.as_str()))
        .collect();
    for blank in &prose.markdown.blanks {
        for (path, span) in blank.formula.names() {
            let first = path.first().copied().unwrap_or("");
            if !known.contains(&first) && !names_a_stream_of_an_example(unit, first) {
                let name = Text::new(path.join("."), span);
                diagnostics.push(unit.unknown(
                    Code::UnknownName,
                    &name,
                    "value",
                    "the examples of this unit",
                    known.iter().copied(),
                ));
            }
        }
    }
}

fn names_a_stream_of_an_example(unit: &UnitNames<'_>, name: &str) -> bool {
    unit.examples.values().any(|example| {
        super::process::of_question(unit, example).is_some_and(|process| {
            process.operations.iter().any(|operation| {
                operation.ports.iter().any(|(_, names)| names.iter().any(|n| n.value == name))
            })
        })
    })
}
