//! Names of a unit: its processes, tables and objectives, and what may not be a name.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Checked;
use crate::diag::{
    Code, Diagnostic, Diagnostics, Place, Severity, SourceFile, Span, Surety, nearest,
};
use crate::reading::parsed::{
    Data, Figure, Item, ParsedUnit, Process, ProcessRef, Prose, Question, Technique, Text,
};

/// What a unit's blocks may refer to.
pub(super) struct UnitNames<'a> {
    pub(super) file: &'a Arc<SourceFile>,
    pub(super) processes: BTreeMap<&'a str, &'a Process>,
    pub(super) tables: BTreeMap<&'a str, &'a Data>,
    pub(super) figures: BTreeMap<&'a str, &'a Figure>,
    pub(super) techniques: BTreeMap<&'a str, &'a Technique>,
    pub(super) objectives: Vec<&'a str>,
    front: Span,
    /// Ids of processes that questions and examples name.
    pub(super) used: Vec<&'a str>,
    pub(super) examples: BTreeMap<&'a str, &'a Question>,
    /// Places that reading found fault with. What a block says about names is not
    /// whole where one lies in it, so nothing is concluded from what is absent there.
    faulty: Vec<Span>,
}

impl<'a> UnitNames<'a> {
    pub(super) fn of(parsed: &'a ParsedUnit, diagnostics: &Diagnostics) -> Self {
        let mut names = UnitNames {
            file: &parsed.file,
            processes: BTreeMap::new(),
            tables: BTreeMap::new(),
            figures: BTreeMap::new(),
            techniques: BTreeMap::new(),
            used: Vec::new(),
            front: parsed.front.span,
            objectives: parsed.front.objectives.iter().map(|(id, _)| id.value.as_str()).collect(),
            examples: BTreeMap::new(),
            faulty: diagnostics
                .iter()
                .filter(|d| Arc::ptr_eq(&d.place.file, &parsed.file))
                .filter(|d| d.severity == Severity::Error)
                .map(|d| d.place.span)
                .collect(),
        };
        for item in &parsed.items {
            if let Item::Question(question) | Item::Example(question) = item
                && let ProcessRef::Named(name) = &question.process
            {
                names.used.push(&name.value);
            }
            match item {
                Item::Process(process) => {
                    if let Some(id) = &process.id {
                        names.processes.insert(&id.value, process);
                    }
                }
                Item::Figure(figure) => {
                    if !figure.given.is_empty() {
                        names.used.push(figure.shows());
                    }
                    names.figures.insert(&figure.id.value, figure);
                }
                Item::Technique(technique) => {
                    names.techniques.insert(&technique.id.value, technique);
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

    /// Reading found fault with something in this block.
    pub(super) fn marred(&self, block: Span) -> bool {
        self.faulty.iter().any(|at| at.start >= block.start && at.start <= block.end)
    }

    /// The block says something about `name`, but a fault in it kept that from
    /// being read; so the name is not unknown.
    pub(super) fn may_be_in(&self, name: &str, block: Span) -> bool {
        self.marred(block) && words(self.file.slice(block)).any(|word| word == name)
    }

    /// Nothing is to be said of an unknown name: reading has spoken of it already,
    /// or it stands in its home block where a fault kept it from being read.
    pub(super) fn excused(&self, name: &Text, home: Span) -> bool {
        let spoken_of =
            self.faulty.iter().any(|at| at.start <= name.span.start && name.span.end <= at.end);
        spoken_of || self.may_be_in(name.value.split('.').next().unwrap_or(""), home)
    }

    /// A block of this id stands in the file, read or not.
    pub(super) fn may_be_a_block(&self, id: &str) -> bool {
        !self.faulty.is_empty()
            && self.file.text().lines().any(|line| {
                let line = line.trim_start_matches(['>', ' ', '{']);
                line.strip_prefix("id:").is_some_and(|rest| words(rest).any(|word| word == id))
            })
    }

    /// The block has a key of this name, but a fault kept it from being read.
    pub(super) fn may_be_key(&self, name: &str, block: Span) -> bool {
        let key = |at: usize| {
            let rest = &self.file.slice(block)[at + name.len()..];
            rest.trim_start_matches(['"', '\'', ' ']).starts_with(':')
        };
        self.marred(block) && self.file.slice(block).match_indices(name).any(|(at, _)| key(at))
    }

    /// The objective of a question exists.
    pub(super) fn check_objective(&self, question: &Question, diagnostics: &mut Diagnostics) {
        if let Some(objective) = &question.objective
            && !self.objectives.contains(&objective.value.as_str())
            && !self.may_be_in(&objective.value, self.front)
        {
            diagnostics.push(self.unknown(
                Code::UnknownObjective,
                objective,
                "objective",
                "the front matter",
                self.objectives.iter().copied(),
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
            Some(near) => format!("did you mean `{near}`?"),
            None if list.is_empty() => format!("add the {kind} to {home}"),
            None => format!("choose one of these, or add it to {home}"),
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
            Some(near) => diagnostic.mended(name.span, near, Surety::Likely),
            None => diagnostic,
        }
    }
}

/// The names in a piece of a file.
fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '-'))
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

/// Prose may print the numbers of the unit's examples. All the blanks of one piece
/// of prose are filled from one example, which must have worked them out.
pub(super) fn check_prose(
    unit: &UnitNames<'_>,
    prose: &Prose,
    examples: &[(usize, Checked)],
    diagnostics: &mut Diagnostics,
) {
    // What a faulty example would have had is not known.
    if examples.len() < unit.examples.len() || !unit.faulty.is_empty() {
        return;
    }
    let has = |example: &Checked, path: &[&str]| example.slot_of(path).is_some();
    let mut names = Vec::new();
    for blank in &prose.markdown.blanks {
        names.extend(blank.formula.names());
    }
    let mut all_known = true;
    for (path, span) in &names {
        if examples.iter().any(|(_, example)| has(example, path)) {
            continue;
        }
        all_known = false;
        let known = examples
            .iter()
            .flat_map(|(_, example)| example.values.iter().map(|value| value.name.as_str()));
        let name = Text::new(path.join("."), *span);
        let home = "the examples of this unit";
        diagnostics.push(unit.unknown(Code::UnknownName, &name, "number", home, known));
    }
    if !all_known || names.is_empty() {
        return;
    }
    let one = examples.iter().find(|(_, example)| names.iter().all(|(path, _)| has(example, path)));
    let Some((_, example)) = one else {
        let (_, span) = names[names.len() - 1];
        diagnostics.push(
            Diagnostic::new(
                Code::UnknownName,
                unit.place(span),
                "The numbers in this piece of text come from different examples.",
            )
            .found(format!("`{}`", unit.file.slice(span)))
            .expected("numbers of one example between two blocks")
            .next("move this sentence below the example that it belongs to"),
        );
        return;
    };
    for blank in &prose.markdown.blanks {
        let known = |path: &[&str]| example.shown_unit(path).map(|found| found.dimension());
        if let Err(error) = blank.formula.dimension(&known) {
            diagnostics.push(super::lookup::dimension_mistake(unit, error));
        }
    }
}
