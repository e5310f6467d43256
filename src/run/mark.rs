//! `mark`: responses to marks with their reasons, sheets for learners, and what the class
//! and the questions show.
//!
//! Rows are read and judged a few hundred at a time, on all threads, and written in their
//! order; what reports need is gathered on the way. Nothing grows with the number of rows.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use crate::composing::Profile;
use crate::diag::{Diagnostic, Diagnostics};
use crate::document::Drawings;
use crate::marking::responses::{
    Cell, Decimal, Fault, Learner, Row, Rows, Survey, read, survey, wrong_code,
};
use crate::marking::{Column, Gathered, Judged, Verdict, Version, columns};
use crate::question::Assessment;
use crate::reading;
use crate::version::{Draws, letters};
use crate::writing::CsvTable;

use super::department;
use super::files::WholeFile;
use super::load;
use super::paper;
use super::pipeline::{Stopped, in_order};
use super::press::version_code;
use super::print::{Trouble, is_paper};
use super::report::{Roll, reports};
use super::scripts::{Sheets, keep};
use super::solving;

/// Rows that are judged together.
const TOGETHER: usize = 256;
/// Versions that are kept solved; rows of others are solved one by one.
const KEPT: usize = 256;
/// Of so many numbers typed at least one of so many is right in a class that worked with its
/// own pages (common practice, no source).
const ENOUGH: u64 = 40;
const FEW: u64 = 8;
/// Findings that are told one by one.
const MOST_TOLD: usize = 200;

/// What to mark.
#[derive(Debug, Clone)]
pub struct MarkJob {
    pub unit: PathBuf,
    pub responses: PathBuf,
    /// How many versions were printed.
    pub versions: u32,
    pub seed: u64,
    /// The unit's folder is made in here.
    pub out: PathBuf,
    /// Which mark is decimal, where the file leaves doubt.
    pub decimal: Option<Decimal>,
    /// Numbers in place of names, in every output.
    pub nameless: bool,
    /// A marked sheet for each learner.
    pub sheets: bool,
    pub profile: Profile,
}

/// What came of it.
#[derive(Debug)]
pub struct Marked {
    pub findings: Vec<Diagnostic>,
    /// Where the files stand; none if nothing could be marked.
    pub folder: Option<PathBuf>,
    pub learners: u64,
    /// Rows that were not marked, because something in them must be mended.
    pub held_back: u64,
    /// What the versions were drawn with.
    pub seed: u64,
}

/// A row that was judged.
pub(super) struct Script {
    /// From 1, in the order of the file.
    pub(super) number: u64,
    pub(super) learner: Learner,
    pub(super) version: u32,
    pub(super) judged: Vec<Judged>,
}

/// What marking needs throughout.
pub(super) struct Desk<'a> {
    pub(super) job: &'a MarkJob,
    pub(super) asked: &'a Assessment<'a>,
    pub(super) draws: &'a [Draws],
    pub(super) columns: Vec<Column>,
    kept: BTreeMap<u32, (Version<'a>, String)>,
    pub(super) drawings: Drawings,
}

/// Marks a file of responses. `progress` is told how many learners are done.
///
/// # Errors
/// What kept sound files from being marked; mistakes in them are findings.
pub fn mark(job: &MarkJob, progress: &mut dyn FnMut(u64)) -> Result<Marked, Trouble> {
    let mut out = Diagnostics::new();
    if is_paper(&job.unit) {
        let done = paper::with_asked(&job.unit, &mut out, |asked, draws, front, out| {
            let job = MarkJob { versions: front.versions, seed: front.seed, ..job.clone() };
            marked(&job, asked, draws, out, progress)
        });
        return done.unwrap_or_else(|| Ok(nothing(out)));
    }
    let model = load::file_of(&job.unit, &mut out)
        .and_then(|file| load::model_of(&file, &mut out))
        .filter(|_| !out.has_errors());
    let department = department::beside(&job.unit, &mut out);
    let model = model.filter(|_| !out.has_errors());
    let Some(model) = model else { return Ok(nothing(out)) };
    let asked = Assessment::of_unit(&model).within(department);
    match load::draw(&asked, job.seed, u64::from(job.versions), &mut out) {
        Some(draws) => marked(job, &asked, &draws, &mut out, progress),
        None => Ok(nothing(out)),
    }
}

/// Where nothing could be marked.
fn nothing(out: Diagnostics) -> Marked {
    Marked { findings: out.sorted(), folder: None, learners: 0, held_back: 0, seed: 0 }
}

fn marked(
    job: &MarkJob,
    asked: &Assessment<'_>,
    draws: &[Draws],
    out: &mut Diagnostics,
    progress: &mut dyn FnMut(u64),
) -> Result<Marked, Trouble> {
    let mut out = std::mem::take(out);
    let first = solving::questions(asked, draws, job.seed, 0)?;
    let columns = columns(&first);
    let name = job.responses.display().to_string();
    let mut open = || File::open(&job.responses).map(|file| Box::new(file) as Box<dyn Read>);
    let decimal = job.decimal.or(asked.department.decimal.map(|mark| match mark {
        reading::department::Decimal::Point => Decimal::Point,
        reading::department::Decimal::Comma => Decimal::Comma,
    }));
    let found = match survey(&mut open, &columns, decimal) {
        Ok(found) => found,
        Err(faults) => {
            faults.iter().for_each(|fault| out.push(fault.diagnostic(&name)));
            return Ok(nothing(out));
        }
    };
    found.passed.iter().for_each(|fault| out.push(fault.diagnostic(&name)));
    let faces = crate::composing::faces::Faces::embedded();
    let drawings = super::figures::drawings(asked, &job.profile, &faces);
    let mut desk = Desk { job, asked, draws, columns, kept: BTreeMap::new(), drawings };
    for version in found.versions.iter().filter(|v| **v < job.versions).take(KEPT) {
        let ready = desk.ready(*version)?;
        desk.kept.insert(*version, ready);
    }
    let folder = job.out.join(&asked.id).join("marked");
    let mut marking = Marking {
        desk: &desk,
        survey: &found,
        file: name,
        folder: &folder,
        out: Out::new(&desk, &folder)?,
        roll: Roll::default(),
        told: 0,
        untold: 0,
        held_back: 0,
        findings: out,
        progress,
    };
    marking.rows(&mut open)?;
    let Marking { out, roll, findings, held_back, untold, .. } = marking;
    let mut findings = findings;
    if untold > 0 {
        let more = Fault::more(untold);
        findings.push(more.diagnostic(&job.responses.display().to_string()));
    }
    let gathered = out.finish()?;
    let learners = gathered.tally.learners();
    if let Some((right, answered)) = strange(&desk.columns, &gathered) {
        findings
            .push(Fault::strange(right, answered).diagnostic(&job.responses.display().to_string()));
    }
    if learners > 0 {
        reports(&desk, &gathered, &roll, held_back, &folder)?;
    }
    Ok(Marked {
        findings: findings.sorted(),
        folder: Some(folder),
        learners,
        held_back,
        seed: job.seed,
    })
}

/// How many numbers are right of how many, where that is so few that the seed or the number
/// of versions must be in doubt: a row that gives only the letter of its version would be
/// marked by other numbers without a word.
fn strange(columns: &[Column], gathered: &Gathered) -> Option<(u64, u64)> {
    let numeric = || (0..columns.len()).filter(|at| columns[*at].answer.is_some());
    let count = |verdicts: &[Verdict]| -> u64 {
        numeric().flat_map(|at| verdicts.iter().map(move |v| gathered.count(at, *v))).sum()
    };
    let right = count(&[Verdict::Right, Verdict::FollowedThrough]);
    let wrong = count(&[Verdict::Named, Verdict::Wrong, Verdict::Point, Verdict::Unit]);
    let answered = right + wrong + count(&[Verdict::Figures]);
    (answered >= ENOUGH && right * FEW < answered).then_some((right, answered))
}

impl<'a> Desk<'a> {
    /// A version ready to be marked by, with the code on its pages.
    fn ready(&self, version: u32) -> Result<(Version<'a>, String), Trouble> {
        let seed = self.job.seed;
        let solved = solving::questions(self.asked, self.draws, seed, version)?;
        let code = version_code(self.asked, &solved, seed, version, &self.drawings);
        Ok((Version::new(solved), code))
    }

    /// Judges a row; a fault if the code on it is another one.
    fn judge(&self, row: &Row, survey: &Survey) -> Result<Result<Vec<Judged>, Fault>, Trouble> {
        let fresh;
        let (version, code) = match self.kept.get(&row.version) {
            Some(kept) => kept,
            None => {
                fresh = self.ready(row.version)?;
                &fresh
            }
        };
        if row.code.as_ref().is_some_and(|typed| typed.replace(' ', "") != *code) {
            return Ok(Err(wrong_code(row, &survey.head, code)));
        }
        Ok(Ok(version.judge(&self.columns, &row.entries)))
    }
}

struct Marking<'m, 'a> {
    desk: &'m Desk<'a>,
    survey: &'m Survey,
    file: String,
    folder: &'m Path,
    out: Out<'m, 'a>,
    roll: Roll,
    told: usize,
    untold: usize,
    held_back: u64,
    findings: Diagnostics,
    progress: &'m mut dyn FnMut(u64),
}

/// So that a file that cannot be read further stops as a failure of the run.
struct Stop(Trouble);

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Stop {
        Stop(Trouble::Ours(fault.message.into()))
    }
}

impl Marking<'_, '_> {
    fn rows(
        &mut self,
        open: &mut dyn FnMut() -> std::io::Result<Box<dyn Read>>,
    ) -> Result<(), Trouble> {
        let (columns, survey, versions) = (&self.desk.columns, self.survey, self.desk.job.versions);
        let mut waiting: Vec<Row> = Vec::with_capacity(TOGETHER);
        read(open, columns, survey, &|version| version < versions, &mut |row, faults| {
            faults.iter().for_each(|fault| self.tell(fault));
            match row {
                Ok(row) => waiting.push(row),
                Err(()) => self.held_back += 1,
            }
            if waiting.len() == TOGETHER {
                self.judge(std::mem::take(&mut waiting)).map_err(Stop)?;
            }
            Ok(())
        })
        .map_err(|Stop(trouble)| trouble)?;
        self.judge(waiting)
    }

    fn tell(&mut self, fault: &Fault) {
        if self.told < MOST_TOLD {
            self.findings.push(fault.diagnostic(&self.file));
            self.told += 1;
        } else {
            self.untold += 1;
        }
    }

    fn judge(&mut self, rows: Vec<Row>) -> Result<(), Trouble> {
        let count = u32::try_from(rows.len()).unwrap_or(u32::MAX);
        let (desk, survey) = (self.desk, self.survey);
        let rows: Vec<std::sync::Mutex<Option<Row>>> =
            rows.into_iter().map(|row| std::sync::Mutex::new(Some(row))).collect();
        let work = |index: u32| -> Result<(Row, Result<Vec<Judged>, Fault>), Trouble> {
            let taken = rows[index as usize].lock().ok().and_then(|mut row| row.take());
            let row = taken.ok_or_else(|| Trouble::Ours("a row was marked twice".to_owned()))?;
            let judged = desk.judge(&row, survey)?;
            Ok((row, judged))
        };
        let mut scripts = Vec::new();
        let done = in_order(0..count, 0, work, |_, (row, judged)| match judged {
            Ok(judged) => {
                let script = self.out.add(row, judged)?;
                self.roll.add(desk, &script);
                if desk.job.sheets {
                    scripts.push(script);
                }
                (self.progress)(self.out.gathered.tally.learners());
                Ok(())
            }
            Err(fault) => {
                self.tell(&fault);
                self.held_back += 1;
                Ok(())
            }
        });
        done.map_err(|stopped| stopped_by(stopped, desk.job.seed))?;
        self.sheets(&scripts)
    }

    /// Sheets for those who were judged.
    fn sheets(&mut self, scripts: &[Script]) -> Result<(), Trouble> {
        if scripts.is_empty() {
            return Ok(());
        }
        let desk = self.desk;
        // The letters of these learners' names and answers.
        let words: String = scripts
            .iter()
            .flat_map(|script| {
                let wrote = script.judged.iter().map(|one| one.wrote.as_str());
                [script.learner.name.as_str(), script.learner.class.as_str()]
                    .into_iter()
                    .chain(wrote)
            })
            .collect();
        let sheets = Sheets::new(desk, &words)?;
        let count = u32::try_from(scripts.len()).unwrap_or(u32::MAX);
        let work = |index: u32| sheets.of(desk, &scripts[index as usize]);
        let folder = self.folder;
        let done = in_order(0..count, 0, work, |_, files| keep(folder, &files));
        done.map_err(|stopped| stopped_by(stopped, desk.job.seed))
    }
}

fn stopped_by(stopped: Stopped<Trouble>, seed: u64) -> Trouble {
    Trouble::stopped(stopped, |_| format!("the marking with seed {seed}"))
}

/// What is written as rows come.
struct Out<'m, 'a> {
    desk: &'m Desk<'a>,
    gathered: Gathered,
    marks: CsvTable<WholeFile>,
    reasons: CsvTable<WholeFile>,
    decisions: CsvTable<WholeFile>,
    /// What a person decided since the last run.
    decided: BTreeMap<[String; 4], u32>,
}

impl<'m, 'a> Out<'m, 'a> {
    fn new(desk: &'m Desk<'a>, folder: &Path) -> Result<Out<'m, 'a>, Trouble> {
        let table = |name: &str, heads: &[String]| -> Result<CsvTable<WholeFile>, Trouble> {
            Ok(CsvTable::new(WholeFile::create(&folder.join(name))?, heads)?)
        };
        let named =
            |heads: &[&str]| -> Vec<String> { heads.iter().map(|h| (*h).to_owned()).collect() };
        let mut heads = named(&["learner", "class", "version"]);
        heads.extend(desk.columns.iter().map(|column| column.key.clone()));
        heads.extend(named(&["total", "of"]));
        if !desk.asked.department.grades.is_empty() {
            heads.push("grade".to_owned());
        }
        let reasons = named(&[
            "learner", "class", "version", "part", "wrote", "marks", "of", "judged", "reason",
            "expected",
        ]);
        Ok(Out {
            desk,
            gathered: Gathered::new(&desk.columns),
            marks: table("marks.csv", &heads)?,
            reasons: table("reasons.csv", &reasons)?,
            decisions: table(DECISIONS, &named(&DECISION_HEADS))?,
            decided: decided(&folder.join(DECISIONS)),
        })
    }

    fn add(&mut self, row: Row, mut judged: Vec<Judged>) -> Result<Script, Trouble> {
        let number = self.gathered.tally.learners() + 1;
        let learner = match self.desk.job.nameless {
            true => Learner { name: format!("learner {number}"), class: row.learner.class },
            false => row.learner,
        };
        self.decide(&learner, &mut judged)?;
        self.gathered.add(row.version, row.minutes, &judged);
        let script = Script { number, learner, version: row.version, judged };
        self.write(&script)?;
        Ok(script)
    }

    /// Takes over what a person decided on doubtful answers, and lists all of them.
    fn decide(&mut self, learner: &Learner, judged: &mut [Judged]) -> Result<(), Trouble> {
        for (column, one) in self.desk.columns.iter().zip(judged) {
            if !one.doubtful {
                continue;
            }
            let key = [
                learner.name.clone(),
                learner.class.clone(),
                column.key.clone(),
                one.wrote.clone(),
            ];
            let marks = self.decided.get(&key).copied().filter(|marks| *marks <= column.most);
            let [name, class, part, wrote] = key;
            let suggested = one.marks.to_string();
            let of = column.most.to_string();
            let own = marks.map_or_else(String::new, |marks| marks.to_string());
            self.decisions.row(&[name, class, part, wrote, suggested, of, own])?;
            if let Some(marks) = marks {
                one.decide(marks);
            }
        }
        Ok(())
    }

    fn write(&mut self, script: &Script) -> Result<(), Trouble> {
        let who = [
            script.learner.name.clone(),
            script.learner.class.clone(),
            letters(u64::from(script.version)),
        ];
        let mut cells = who.to_vec();
        cells.extend(script.judged.iter().map(|one| match one.verdict {
            Verdict::Blank => "-".to_owned(),
            _ => one.marks.to_string(),
        }));
        cells.push(script.total().to_string());
        let full = self.gathered.tally.full();
        cells.push(full.to_string());
        cells.extend(self.desk.asked.department.grade(script.total(), full));
        self.marks.row(&cells)?;
        for (column, one) in self.desk.columns.iter().zip(&script.judged) {
            let mut cells = who.to_vec();
            cells.extend([
                column.key.clone(),
                one.wrote.clone(),
                one.marks.to_string(),
                column.most.to_string(),
                word(one).to_owned(),
                one.reason.clone(),
                one.expected.clone(),
            ]);
            self.reasons.row(&cells)?;
        }
        Ok(())
    }

    fn finish(self) -> Result<Gathered, Trouble> {
        self.marks.finish()?.keep()?;
        self.reasons.finish()?.keep()?;
        self.decisions.finish()?.keep()?;
        Ok(self.gathered)
    }
}

impl Script {
    pub(super) fn total(&self) -> u32 {
        self.judged.iter().map(|one| one.marks).sum()
    }
}

/// Doubtful answers, for a person to decide: the column `marks` is read again.
const DECISIONS: &str = "decisions.csv";
const DECISION_HEADS: [&str; 7] = ["learner", "class", "part", "wrote", "suggested", "of", "marks"];

/// What stands in the decisions of the last run; nothing if there are none.
fn decided(path: &Path) -> BTreeMap<[String; 4], u32> {
    let Some(mut rows) = File::open(path).ok().and_then(|file| Rows::open(Box::new(file)).ok())
    else {
        return BTreeMap::new();
    };
    let mut decided = BTreeMap::new();
    while let Some(Ok(row)) = rows.next_row() {
        let text = |at: usize| {
            let cell = row.cells.get(at).map(Cell::text).unwrap_or_default();
            // Written behind an apostrophe so that no spreadsheet runs it.
            cell.strip_prefix('\'').unwrap_or(&cell).trim().to_owned()
        };
        if let Ok(marks) = text(6).parse() {
            decided.insert([text(0), text(1), text(2), text(3)], marks);
        }
    }
    decided
}

/// A verdict in a word or two.
fn word(judged: &Judged) -> &'static str {
    match (judged.verdict, judged.through) {
        (Verdict::Right, _) => "right",
        (Verdict::FollowedThrough, _) => "followed through",
        (Verdict::Unit, _) => "unit",
        (Verdict::Figures, _) => "figures",
        (Verdict::Named, false) => "named mistake",
        (Verdict::Named, true) => "named mistake, followed through",
        (Verdict::Point, _) => "decimal point",
        (Verdict::Wrong, _) => "wrong",
        (Verdict::Blank, _) => "blank",
        (Verdict::Given, _) => "by hand",
        (Verdict::Words, _) => "in words",
    }
}
