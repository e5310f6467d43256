//! A paper with its units, its department, its ledger and its chosen list.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};
use crate::paper::{self, Bank, Ledger, Said, UnitOf, Worth};
use crate::question::{Solution, respond};
use crate::reading;
use crate::reading::department::Department;
use crate::reading::model::{Checked, Model};
use crate::reading::paper::{Chosen, ParsedPaper};
use crate::reading::parsed::Text;
use crate::reading::sort::{Sort, what_is_it};

use super::super::{department, load};

/// What a question is worth, for each question of each unit.
pub(super) type Worths = Vec<Vec<Option<Worth>>>;

pub(super) struct Loaded {
    pub(super) paper: ParsedPaper,
    pub(super) models: Vec<Model>,
    pub(super) department: Department,
    pub(super) ledger: Ledger,
    /// The folder in which the paper stands.
    pub(super) folder: PathBuf,
}

/// The ledger that a paper keeps if it names none.
const LEDGER: &str = "papers.csv";

/// Reads all of it; none if a mistake stands in the way.
pub(super) fn load(path: &Path, file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<Loaded> {
    let before = errors(out);
    let paper = reading::paper::parse(file, out);
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let department = department::of(&folder, out);
    let mut loaded =
        Loaded { paper: paper?, models: Vec::new(), department, ledger: Ledger::default(), folder };
    loaded.read_ledger(out);
    loaded.read_units(out);
    (errors(out) == before).then_some(loaded)
}

fn errors(out: &Diagnostics) -> usize {
    out.iter().filter(|finding| finding.severity == crate::diag::Severity::Error).count()
}

pub(super) fn shown(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

impl Loaded {
    fn finding(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::new(code, Place::new(&self.paper.file, span), message)
    }

    pub(super) fn chosen_path(&self) -> PathBuf {
        self.folder.join(format!("{}.chosen.yaml", self.paper.id))
    }

    /// What a second person checked of it.
    pub(super) fn moderation_path(&self) -> PathBuf {
        self.folder.join(format!("{}.moderation.yaml", self.paper.id))
    }

    pub(super) fn ledger_path(&self) -> PathBuf {
        let name = self.paper.front.ledger.as_ref().map_or(LEDGER, |name| name.value.as_str());
        self.folder.join(name)
    }

    fn read_ledger(&mut self, out: &mut Diagnostics) {
        let path = self.ledger_path();
        if !path.exists() {
            return;
        }
        let Some(file) = reading::file::read(&path, &shown(&path), out) else { return };
        match Ledger::read(file.text()) {
            Ok(ledger) => self.ledger = ledger,
            Err(line) => {
                let text = file.line(line);
                let start: usize =
                    file.text().split_inclusive('\n').take(line - 1).map(str::len).sum();
                let place = Place::new(&file, Span::new(start, start + text.len()));
                out.push(
                    Diagnostic::new(Code::PaperLedger, place, "This is no line of a ledger.")
                        .found(format!("`{text}`"))
                        .expected("a paper's id, a comma, a unit's id, a stroke, a question's id")
                        .next("mend the line or take it out"),
                );
            }
        }
    }

    fn read_units(&mut self, out: &mut Diagnostics) {
        let mut from = self.paper.front.from.clone();
        let mut seen: Vec<PathBuf> = Vec::new();
        for text in from.drain(..) {
            let path = self.folder.join(&text.value);
            if !path.exists() {
                out.push(
                    self.finding(
                        Code::PaperUnit,
                        text.span,
                        format!("There is no file or folder `{}`.", text.value),
                    )
                    .found(format!("`{}`", text.value))
                    .expected("a unit, or a folder with units, named from where the paper stands")
                    .next("mend the name"),
                );
                continue;
            }
            // What is amiss in a unit is told by checking the unit.
            let mut own = Diagnostics::new();
            let files: Vec<(PathBuf, Arc<SourceFile>)> = if path.is_dir() {
                let found = reading::find::files(std::slice::from_ref(&path), &mut own);
                found.units.into_iter().map(|found| (found.path, found.file)).collect()
            } else {
                let file = reading::file::read(&path, &shown(&path), &mut own);
                file.into_iter().map(|file| (path.clone(), file)).collect()
            };
            let is_unit =
                !files.is_empty() && files.iter().all(|(_, f)| what_is_it(f) == Sort::UnitFile);
            if !is_unit {
                out.push(
                    self.finding(
                        Code::PaperUnit,
                        text.span,
                        format!("`{}` holds no unit.", text.value),
                    )
                    .found("no front matter with `objectives`")
                    .expected("a unit, or a folder with units")
                    .next("name a unit"),
                );
                continue;
            }
            for (path, file) in files {
                let whole = std::fs::canonicalize(&path).unwrap_or_else(|_| path.clone());
                if !seen.contains(&whole) {
                    seen.push(whole);
                    self.read_unit(&text, &file, out);
                }
            }
        }
    }

    fn read_unit(&mut self, text: &Text, file: &Arc<SourceFile>, out: &mut Diagnostics) {
        let mut own = Diagnostics::new();
        let model = load::model_of(file, &mut own).filter(|_| !own.has_errors());
        let Some(model) = model else {
            let count = errors(&own);
            let plural = if count == 1 { "" } else { "s" };
            let name = file.name();
            out.push(
                self.finding(
                    Code::PaperUnit,
                    text.span,
                    format!("The unit `{name}` has {count} mistake{plural}."),
                )
                .found(format!("{count} mistake{plural}"))
                .expected("a unit without mistakes")
                .next(format!("run `stillroom check {name}` and mend what it says")),
            );
            return;
        };
        let id = &model.parsed.front.id.value;
        if self.models.iter().any(|other| other.parsed.front.id.value == *id) {
            out.push(
                self.finding(
                    Code::PaperUnit,
                    text.span,
                    format!("Two units of this paper have the id `{id}`."),
                )
                .found(format!("`{id}` in `{}` and in a unit before it", file.name()))
                .expected("units with ids of their own")
                .next("give one of them another id, or leave one out"),
            );
            return;
        }
        self.models.push(model);
    }

    /// What every question comes to with the paper's seed and versions.
    pub(super) fn worths(&self, out: &mut Diagnostics) -> Worths {
        let front = &self.paper.front;
        self.models
            .iter()
            .map(|model| {
                model
                    .questions
                    .iter()
                    .map(|checked| {
                        let found = worth(model, checked, front.seed, front.versions);
                        if found.is_none() {
                            out.push(self.too_few(model, checked));
                        }
                        found
                    })
                    .collect()
            })
            .collect()
    }

    fn too_few(&self, model: &Model, checked: &Checked) -> Diagnostic {
        let id = &checked.question.id;
        let place = Place::new(&model.parsed.file, id.span);
        let versions = self.paper.front.versions;
        Diagnostic::new(
            Code::PaperPassesOver,
            place,
            format!("The paper `{}` cannot take the question `{}`.", self.paper.id, id.value),
        )
        .found("too few combinations of its values that can be")
        .expected(format!("{versions} versions, as the paper has"))
        .next("give its values more choices if papers should take it")
    }

    pub(super) fn bank(&self, worths: &Worths, out: &mut Diagnostics) -> Option<Bank> {
        let units: Vec<UnitOf<'_>> = self
            .models
            .iter()
            .zip(worths)
            .map(|(model, worth)| UnitOf { model, worth: worth.clone() })
            .collect();
        paper::bank(&self.paper, &units, &self.department.levels, &self.ledger, out)
    }

    /// The list that was chosen earlier, if there is one.
    pub(super) fn chosen(&self, out: &mut Diagnostics) -> Option<Chosen> {
        let path = self.chosen_path();
        if !path.exists() {
            return None;
        }
        let file = reading::file::read(&path, &shown(&path), out)?;
        reading::paper::chosen(&file, out)
    }
}

/// The question in all versions; none where it has not so many.
pub(super) fn worth(model: &Model, checked: &Checked, seed: u64, versions: u32) -> Option<Worth> {
    let draws = load::draw_question(model, checked, seed, u64::from(versions)).ok()?;
    let mut found = Worth::default();
    for version in 0..versions {
        let choice = load::choice_of(checked, &draws, u64::from(version))?;
        let solution = Solution::of(checked, &choice).ok()?;
        let answers = solution.answers();
        // What is ticked, matched or written earns marks as well, and is known only then.
        let mut one = [(solution, answers)];
        respond(&mut one, seed, &model.parsed.front.id.value, u64::from(version));
        let [(solution, answers)] = one;
        if version == 0 {
            let worked = solution.marked_working(&answers);
            let worked: u32 = worked.iter().flat_map(|s| &s.marks).map(|mark| mark.count).sum();
            let parts = checked.question.parts.iter().enumerate();
            let others = parts.filter(|(_, part)| !part.is_worked());
            let others: u32 =
                others.filter_map(|(n, _)| solution.response(n)).map(|r| r.marks).sum();
            found.marks = worked + others;
        }
        let mut text = solution.filled(&checked.question.stem);
        for part in &checked.question.parts {
            text.push('\n');
            text.push_str(&solution.filled(&part.text));
        }
        let answers = answers.iter().map(|a| plain(&format!("{} {}", a.printed, a.unit.print())));
        found.said.push(Said { text: plain(&text), answers: answers.collect() });
    }
    found.hash = paper::hash_of(found.marks, &found.said);
    Some(found)
}

/// With ordinary blanks between numbers and units.
fn plain(text: &str) -> String {
    text.trim().replace(['\u{a0}', '\u{202f}'], " ")
}
