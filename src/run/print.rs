//! `print UNIT`: the sheets and keys of every version, the lesson, slides and cards.
//!
//! What every version has is made by `press`; here is what a unit has once.

use std::path::{Path, PathBuf};

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Pair, Profile, compose};
use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};
use crate::document::{Document, ReadFault, TemplateFault, Templates, lesson, read_with};
use crate::question::Assessment;
use crate::reading::model::Model;
use crate::reading::sort::{Sort, what_is_it};
use crate::version::{letters, version_of};
use crate::writing::{CopyFor, Subset, WritingError, write_html, write_pdf};

use super::department;
use super::extras::{self, Extras};
use super::figures::drawings;
use super::files::{FileError, write_whole};
use super::forms;
use super::load;
use super::paper;
use super::pipeline::Stopped;
use super::press::{Kind, Press, characters};
use super::solving;

/// What to print.
#[derive(Debug, Clone)]
pub struct PrintJob {
    /// The unit, or the paper, whose own versions and seed count then.
    pub unit: PathBuf,
    pub versions: u32,
    /// Only this version, counted from 0.
    pub only: Option<u32>,
    pub seed: u64,
    /// The unit's folder is made in here.
    pub out: PathBuf,
    /// All worksheets in one file and all keys in another.
    pub one_file: bool,
    /// Beside the PDFs, pages for reading machines.
    pub html: bool,
    pub profile: Profile,
    pub extras: Extras,
    /// The learners that the response form has rows for and, of a paper, who each have a
    /// copy of their own.
    pub roster: Option<ClassSet>,
}

/// For whom a paper is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClassSet {
    pub roster: PathBuf,
    /// What is put together in a file; rooms if the roster names any, else classes.
    pub collate: Option<Collate>,
    /// Copies without a name for each room.
    pub spare: u32,
}

impl From<PathBuf> for ClassSet {
    fn from(roster: PathBuf) -> ClassSet {
        ClassSet { roster, collate: None, spare: ClassSet::SPARE }
    }
}

impl ClassSet {
    /// Spare copies for a room if nothing is said (common practice, no source).
    pub const SPARE: u32 = 2;
}

/// What is put together in one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Collate {
    Room,
    Class,
    Version,
}

/// What came of it.
#[derive(Debug)]
pub struct Printed {
    pub findings: Vec<Diagnostic>,
    /// Where the files stand; none if the unit has mistakes.
    pub folder: Option<PathBuf>,
    pub versions: u32,
    /// Copies of a paper for learners by name and spare ones.
    pub copies: usize,
    /// What the versions were drawn with.
    pub seed: u64,
}

/// Whether a file is a paper.
pub fn is_paper(path: &Path) -> bool {
    let mut unread = Diagnostics::new();
    load::file_of(path, &mut unread).is_some_and(|file| what_is_it(&file) == Sort::PaperFile)
}

/// Why nothing could be printed although the unit is sound.
#[derive(Debug)]
pub enum Trouble {
    File(FileError),
    Template(Box<TemplateFault>),
    /// A template of this name made a document that is none.
    Read(&'static str, ReadFault),
    Writing(WritingError),
    /// A fault of ours, with where it happened.
    Ours(String),
}

impl Trouble {
    /// Why workers stopped; `what` says what one of them was at when it failed us.
    pub(super) fn stopped(stopped: Stopped<Trouble>, what: impl FnOnce(u32) -> String) -> Trouble {
        match stopped {
            Stopped::Failed { error, .. } => error,
            Stopped::Panicked { item, words } => {
                Trouble::Ours(format!("a fault in Stillroom stopped {}: {words}", what(item)))
            }
        }
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Trouble::File(error) => write!(f, "{error}"),
            Trouble::Template(fault) => write!(f, "{fault}"),
            Trouble::Read(template, fault) => write!(
                f,
                "the template {template} made a document that cannot be read; in the document, {fault}"
            ),
            Trouble::Writing(error) => write!(f, "{error}"),
            Trouble::Ours(words) => write!(f, "{words}"),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<FileError> for Trouble {
    fn from(error: FileError) -> Self {
        Trouble::File(error)
    }
}

impl From<Box<TemplateFault>> for Trouble {
    fn from(fault: Box<TemplateFault>) -> Self {
        Trouble::Template(fault)
    }
}

pub(super) fn unread(template: &'static str, fault: ReadFault) -> Trouble {
    Trouble::Read(template, fault)
}

impl From<WritingError> for Trouble {
    fn from(error: WritingError) -> Self {
        Trouble::Writing(error)
    }
}

/// Prints a unit. `progress` is told how many versions are done.
///
/// # Errors
/// What kept a sound unit from being printed; mistakes in the unit are findings.
pub fn print(job: &PrintJob, progress: &mut dyn FnMut(u32)) -> Result<Printed, Trouble> {
    let mut out = Diagnostics::new();
    let mut nothing_asked = false;
    let made = if is_paper(&job.unit) {
        paper::print(job, &mut out, progress)
    } else {
        with_press(job, &mut out, |unit| {
            let folder = job.out.join(unit.press.id());
            nothing_asked = unit.run(&folder, progress)? == 0;
            Ok(folder)
        })
        .map(|folder| folder.map(|folder| (folder, job.clone(), 0)))
    };
    let (folder, versions, copies, seed) = match made {
        Ok(Some((folder, job, copies))) => {
            let versions = match job.only {
                _ if nothing_asked => 0,
                Some(_) => 1,
                None => job.versions,
            };
            (Some(folder), versions, copies, job.seed)
        }
        Ok(None) => (None, 0, 0, job.seed),
        Err(Trouble::Template(fault)) => {
            out.push(template_finding(&templates_beside(&job.unit), &fault));
            (None, 0, 0, job.seed)
        }
        Err(trouble) => return Err(trouble),
    };
    Ok(Printed { findings: out.sorted(), folder, versions, copies, seed })
}

/// Everything that a job prints, laid out and not written, by the names of the files;
/// of the sheets those of its first version. Nothing for a unit with mistakes.
///
/// # Errors
/// What kept a sound unit from being laid out.
pub fn laid_out(job: &PrintJob) -> Result<Vec<(String, Composed)>, Trouble> {
    if is_paper(&job.unit) {
        return paper::laid_out(job);
    }
    let laid = with_press(job, &mut Diagnostics::new(), |unit| {
        let press = &unit.press;
        let first = press.first();
        let letters = letters(u64::from(first));
        let Pair { learner, teacher } = press.pair(&press.filled(first)?.document);
        let mut all = vec![
            (format!("worksheet-{letters}"), learner),
            (format!("answer-key-{letters}"), teacher),
            ("lesson".to_owned(), unit.lesson_pages(&unit.lesson()?)),
            ("scheme".to_owned(), press.scheme_pages(&press.scheme(&[], 1)?)),
        ];
        all.extend(unit.makes().composed(&press.job.extras)?);
        Ok(all)
    })?;
    Ok(laid.unwrap_or_default())
}

/// Reads, checks and draws the job's unit and hands it on; nothing comes of a unit
/// with mistakes, which are in `out`.
fn with_press<T>(
    job: &PrintJob,
    out: &mut Diagnostics,
    then: impl FnOnce(&UnitPress<'_>) -> Result<T, Trouble>,
) -> Result<Option<T>, Trouble> {
    let model = load::file_of(&job.unit, out)
        .and_then(|file| load::model_of(&file, out))
        .filter(|_| !out.has_errors());
    if let Some(model) = &model {
        load::refused(model, out);
    }
    let department = department::beside(&job.unit, out);
    let model = model.filter(|_| !out.has_errors());
    let last = job.only.map_or(job.versions, |only| only + 1);
    let Some(model) = model else { return Ok(None) };
    let asked = Assessment::of_unit(&model).within(department);
    let Some(draws) = load::draw(&asked, job.seed, u64::from(last), out) else { return Ok(None) };
    let templates = Templates::new(Some(&templates_beside(&job.unit)));
    let faces = Faces::embedded();
    let subset = Subset::of(&characters(&asked, &templates_beside(&job.unit)), &faces)?;
    let drawings = drawings(&asked, &job.profile, &faces);
    let roster = match &job.roster {
        None => Vec::new(),
        Some(set) => match forms::roster(&set.roster, job.versions, out) {
            Some(learners) => forms::listed(&learners),
            None => return Ok(None),
        },
    };
    let press = Press {
        asked: &asked,
        kind: Kind::Worksheet,
        draws,
        templates,
        faces,
        subset,
        drawings,
        roster,
        job,
    };
    let unit = UnitPress { press, model: &model };
    if job.extras.slides {
        // What keeps slides from being laid out is told where they are made.
        let found = unit.makes().too_long().unwrap_or_default();
        found.into_iter().for_each(|found| out.push(found));
    }
    then(&unit).map(Some)
}

/// A unit, all of which is printed.
struct UnitPress<'a> {
    press: Press<'a>,
    model: &'a Model,
}

impl UnitPress<'_> {
    /// Writes all files; gives how many versions there are.
    fn run(&self, folder: &Path, progress: &mut dyn FnMut(u32)) -> Result<u32, Trouble> {
        let press = &self.press;
        // Before anything is written, so that a template that fails leaves nothing.
        press.tried()?;
        let lesson = self.lesson()?;
        let composed = self.lesson_pages(&lesson);
        let pdf = write_pdf(&composed, &press.subset, &format!("{} lesson", press.id()))?;
        let extras = self.makes().files(&press.job.extras, &press.subset)?;
        write_whole(&folder.join("lesson.pdf"), &pdf)?;
        for (name, bytes) in &extras {
            write_whole(&folder.join(name), bytes)?;
        }
        if press.job.html {
            let page = write_html(&lesson, CopyFor::Learner);
            write_whole(&folder.join("lesson.html"), page.as_bytes())?;
        }
        // A unit that asks nothing is a handout.
        let versions = match press.asked.questions.is_empty() {
            true => 0,
            false => press.all(folder, progress)?,
        };
        if press.job.only.is_none() {
            remove_older(folder, press.job);
        }
        Ok(versions)
    }

    fn lesson(&self) -> Result<Document, Trouble> {
        let examples = solving::examples(self.model)?;
        let markdown = self.press.templates.fill("lesson.md", &lesson(self.model, &examples))?;
        read_with(&markdown, &self.press.drawings).map_err(|fault| unread("lesson.md", fault))
    }

    fn lesson_pages(&self, document: &Document) -> Composed {
        // In a file of its own only a booklet is filled up.
        let fill = if self.press.is_booklet() { 4 } else { 1 };
        let profile = Profile { compact: true, fill, ..self.press.job.profile };
        self.press.bound(compose(document, &profile, &self.press.faces))
    }

    /// What makes the slides and the like.
    fn makes(&self) -> extras::Makes<'_> {
        extras::Makes {
            model: self.model,
            draws: &self.press.draws,
            seed: self.press.job.seed,
            templates: &self.press.templates,
            faces: &self.press.faces,
            profile: self.press.job.profile.on_sheets(),
        }
    }
}

/// A template is the department's own file, so what is wrong in it is a finding.
fn template_finding(folder: &Path, fault: &TemplateFault) -> Diagnostic {
    let path = folder.join(&fault.template);
    let file = SourceFile::new(path.display().to_string(), fault.source.clone());
    let lines = fault.source.split_inclusive('\n');
    let start: usize = lines.take(fault.line.saturating_sub(1)).map(str::len).sum();
    let end = fault.source[start..].find('\n').map_or(fault.source.len(), |n| start + n);
    let range = fault.range.clone().filter(|range| !range.is_empty()).unwrap_or(start..end);
    let span = Span::new(range.start, range.end);
    let found = match file.slice(span).trim() {
        "" => fault.template.clone(),
        text => format!("`{}`", text.lines().next().unwrap_or(text)),
    };
    Diagnostic::new(Code::TemplateFault, Place::new(&file, span), fault.message.clone())
        .found(found)
        .expected("a template that every sheet can fill")
        .next(format!(
            "mend this line, or take `{}` away to use the template that comes with Stillroom",
            fault.template
        ))
}

/// Takes away sheets of an earlier run that this one did not write anew: beside the
/// new ones they would be mixed up with them.
pub(super) fn remove_older(folder: &Path, job: &PrintJob) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let Some(name) = name.to_str() else { continue };
        let Some((stem, kind)) = name.rsplit_once('.') else { continue };
        let made = match kind {
            "pdf" => !job.one_file,
            "html" => job.html,
            _ => continue,
        };
        let version = stem
            .strip_prefix("worksheet-")
            .or_else(|| stem.strip_prefix("paper-"))
            .or_else(|| stem.strip_prefix("answer-key-"))
            .and_then(version_of);
        let timed = stem.strip_prefix("moderation-paper-").and_then(version_of);
        let collected = matches!(name, "worksheets.pdf" | "papers.pdf" | "answer-keys.pdf");
        let alone = matches!(name, "lesson.html" | "scheme.html");
        let older = match version.or(timed) {
            Some(version) if timed.is_some() => {
                !job.extras.moderation || version >= u64::from(job.versions)
            }
            Some(version) => !made || version >= u64::from(job.versions),
            // Slides have the numbers of their own run's quiz.
            None => {
                collected && !job.one_file || alone && !job.html || job.extras.is_outdated(name)
            }
        };
        if older {
            // One that cannot be removed, because it is open in a viewer, stays.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// A folder beside the unit whose templates win over the built-in ones.
pub(super) fn templates_beside(unit: &Path) -> PathBuf {
    unit.parent().unwrap_or(Path::new("")).join("templates")
}
