//! `print`: the sheets and keys of every version, the lesson and the answers.
//!
//! A pipeline: workers take version numbers and give finished files; one writer
//! puts them on disk in order. Fonts are cut down once; nothing grows with the
//! number of versions.

use std::collections::BTreeSet;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Pair, Paper, Profile, compose, compose_pair, imposed};
use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};
use crate::document::context::SheetContext;
use crate::document::{
    Document, Drawings, MOST_VERSIONS, ReadFault, TemplateFault, Templates, VersionCells, lesson,
    read, read_with, scheme, sheet, symbols, version_cells,
};
use crate::marking::columns;
use crate::question::{Answer, Solution};
use crate::reading::model::Model;
use crate::version::{Draws, code, letters, version_of};
use crate::writing::{
    AnswerRow, AnswerTable, Book, CopyFor, Inked, Part, Subset, WritingError, ink, write_html,
    write_pdf,
};

use super::extras::{self, Extras};
use super::figures::drawings;
use super::files::{FileError, WholeFile, write_whole};
use super::forms;
use super::load;
use super::pipeline::{Stopped, in_order};
use super::solving;

/// Versions for each of which the scheme shows where mistakes lead; of more, only
/// for the first.
const MOST_FOLLOWED: u32 = 4;

/// What to print.
#[derive(Debug, Clone)]
pub struct PrintJob {
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
    /// The learners that the response form has rows for.
    pub roster: Option<PathBuf>,
}

/// What came of it.
#[derive(Debug)]
pub struct Printed {
    pub findings: Vec<Diagnostic>,
    /// Where the files stand; none if the unit has mistakes.
    pub folder: Option<PathBuf>,
    pub versions: u32,
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

/// What every version shares.
struct Press<'a> {
    model: &'a Model,
    draws: Vec<Draws>,
    templates: Templates,
    faces: Arc<Faces>,
    subset: Arc<Subset>,
    drawings: Drawings,
    roster: Vec<forms::Listed>,
    job: &'a PrintJob,
}

/// One version in words and numbers.
struct Filled<'a> {
    solved: Vec<(Solution<'a>, Vec<Answer>)>,
    letters: String,
    code: String,
    document: Document,
}

/// One version, ready for the writer.
struct Finished {
    letters: String,
    pages: Pages,
    answers: Vec<AnswerLine>,
    /// Worksheet and key, where they are wanted.
    html: Option<[String; 2]>,
    /// For the scheme's tables, of the versions that these hold.
    cells: Option<VersionCells>,
}

enum Pages {
    Files { worksheet: Vec<u8>, key: Vec<u8> },
    Inked { worksheet: Inked, key: Inked },
}

/// A row of the table of answers.
struct AnswerLine {
    question: String,
    part: String,
    printed: String,
    unit: String,
    value: Option<f64>,
    range: Option<(f64, f64)>,
}

/// Prints a unit. `progress` is told how many versions are done.
///
/// # Errors
/// What kept a sound unit from being printed; mistakes in the unit are findings.
pub fn print(job: &PrintJob, progress: &mut dyn FnMut(u32)) -> Result<Printed, Trouble> {
    let mut out = Diagnostics::new();
    let folder = |id: &str| job.out.join(id);
    let made = with_press(job, &mut out, |press| {
        let folder = folder(press.id());
        let versions = press.run(&folder, progress)?;
        Ok((folder, versions))
    });
    let (folder, versions) = match made {
        Ok(Some((folder, versions))) => (Some(folder), versions),
        Ok(None) => (None, 0),
        Err(Trouble::Template(fault)) => {
            out.push(template_finding(&templates_beside(&job.unit), &fault));
            (None, 0)
        }
        Err(trouble) => return Err(trouble),
    };
    Ok(Printed { findings: out.sorted(), folder, versions })
}

/// Everything that a job prints, laid out and not written, by the names of the files;
/// of the sheets those of its first version. Nothing for a unit with mistakes.
///
/// # Errors
/// What kept a sound unit from being laid out.
pub fn laid_out(job: &PrintJob) -> Result<Vec<(String, Composed)>, Trouble> {
    let laid = with_press(job, &mut Diagnostics::new(), |press| {
        let first = press.first();
        let letters = letters(u64::from(first));
        let Pair { learner, teacher } = press.pair(&press.filled(first)?.document);
        let mut all = vec![
            (format!("worksheet-{letters}"), learner),
            (format!("answer-key-{letters}"), teacher),
            ("lesson".to_owned(), press.lesson_pages(&press.lesson()?)),
            ("scheme".to_owned(), press.scheme_pages(&press.scheme(&[], 1)?)),
        ];
        all.extend(press.makes().composed(&press.job.extras)?);
        Ok(all)
    })?;
    Ok(laid.unwrap_or_default())
}

/// Reads, checks and draws the job's unit and hands it on; nothing comes of a unit
/// with mistakes, which are in `out`.
fn with_press<T>(
    job: &PrintJob,
    out: &mut Diagnostics,
    then: impl FnOnce(&Press<'_>) -> Result<T, Trouble>,
) -> Result<Option<T>, Trouble> {
    let model = load::file_of(&job.unit, out)
        .and_then(|file| load::model_of(&file, out))
        .filter(|_| !out.has_errors());
    if let Some(model) = &model {
        load::refused(model, out);
    }
    let model = model.filter(|_| !out.has_errors());
    let last = job.only.map_or(job.versions, |only| only + 1);
    let drawn = model.as_ref().and_then(|model| load::draw(model, job.seed, u64::from(last), out));
    let (Some(model), Some(draws)) = (model, drawn) else { return Ok(None) };
    let templates = Templates::new(Some(&templates_beside(&job.unit)));
    let faces = Faces::embedded();
    let subset = Subset::of(&characters(&model, &templates_beside(&job.unit)), &faces)?;
    let drawings = drawings(&model, &job.profile, &faces);
    let roster = match &job.roster {
        None => Vec::new(),
        Some(path) => match forms::roster(path, out) {
            Some(roster) => roster,
            None => return Ok(None),
        },
    };
    let press = Press { model: &model, draws, templates, faces, subset, drawings, roster, job };
    if job.extras.slides {
        // What keeps slides from being laid out is told where they are made.
        let found = press.makes().too_long().unwrap_or_default();
        found.into_iter().for_each(|found| out.push(found));
    }
    then(&press).map(Some)
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
fn remove_older(folder: &Path, job: &PrintJob) {
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
            .or_else(|| stem.strip_prefix("answer-key-"))
            .and_then(version_of);
        let collected = matches!(name, "worksheets.pdf" | "answer-keys.pdf");
        let alone = matches!(name, "lesson.html" | "scheme.html");
        let older = match version {
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

/// Every character that may be printed, whatever the version: those of the unit,
/// of the templates beside it, and of what Stillroom writes itself.
pub(super) fn characters(model: &Model, templates: &Path) -> BTreeSet<char> {
    let own = "–—‘’“”…·±≈≤≥√";
    let mut found: BTreeSet<char> = own.chars().collect();
    let mut add = |text: &str| found.extend(symbols(text).chain(text.chars()));
    add(model.parsed.file.text());
    for name in Templates::names() {
        if let Ok(text) = std::fs::read_to_string(templates.join(name)) {
            add(&text);
        }
    }
    found.retain(|c| !c.is_control());
    found
}

impl Press<'_> {
    /// Writes all files; gives how many versions there are.
    fn run(&self, folder: &Path, progress: &mut dyn FnMut(u32)) -> Result<u32, Trouble> {
        // Before anything is written, so that a template that fails leaves nothing.
        self.filled(self.first())?;
        self.scheme(&[], 1)?;
        let lesson = self.lesson()?;
        let composed = self.lesson_pages(&lesson);
        let pdf = write_pdf(&composed, &self.subset, &format!("{} lesson", self.id()))?;
        let extras = self.makes().files(&self.job.extras, &self.subset)?;
        write_whole(&folder.join("lesson.pdf"), &pdf)?;
        for (name, bytes) in &extras {
            write_whole(&folder.join(name), bytes)?;
        }
        if self.job.html {
            let page = write_html(&lesson, CopyFor::Learner);
            write_whole(&folder.join("lesson.html"), page.as_bytes())?;
        }
        let mut cells = Vec::new();
        let versions = self.sheets(folder, progress, &mut cells)?;
        let scheme = self.scheme(&cells, versions)?;
        let name = format!("scheme{}", self.suffix());
        let identity = format!("{} {} scheme", self.id(), self.job.seed);
        let pdf = write_pdf(&self.scheme_pages(&scheme), &self.subset, &identity)?;
        write_whole(&folder.join(format!("{name}.pdf")), &pdf)?;
        if self.job.html {
            let page = write_html(&scheme, CopyFor::Teacher);
            write_whole(&folder.join(format!("{name}.html")), page.as_bytes())?;
        }
        self.form(folder)?;
        if self.job.only.is_none() {
            remove_older(folder, self.job);
        }
        Ok(versions)
    }

    /// What makes the slides and the like.
    fn makes(&self) -> extras::Makes<'_> {
        extras::Makes {
            model: self.model,
            draws: &self.draws,
            seed: self.job.seed,
            templates: &self.templates,
            faces: &self.faces,
            profile: self.job.profile.on_sheets(),
        }
    }

    /// What learners' answers are typed into.
    fn form(&self, folder: &Path) -> Result<(), Trouble> {
        let columns = columns(&self.solved(self.first())?);
        let versions = match self.job.only {
            Some(only) => only..only + 1,
            None => 0..self.job.versions,
        };
        let title = &self.model.parsed.front.title.value;
        forms::keep(folder, &forms::form(title, &columns, versions, &self.roster))
    }

    fn lesson(&self) -> Result<Document, Trouble> {
        let examples = solving::examples(self.model)?;
        let markdown = self.templates.fill("lesson.md", &lesson(self.model, &examples))?;
        read_with(&markdown, &self.drawings).map_err(|fault| unread("lesson.md", fault))
    }

    /// The first version that is printed.
    fn first(&self) -> u32 {
        self.job.only.unwrap_or(0)
    }

    /// The mark scheme; its tables hold `cells`, of so many versions.
    fn scheme(&self, cells: &[VersionCells], versions: u32) -> Result<Document, Trouble> {
        // Following through is shown for every version while they are few.
        let solved_versions = if versions <= MOST_FOLLOWED { versions } else { 1 };
        let solved = (self.first()..self.first() + solved_versions)
            .map(|version| Ok((letters(u64::from(version)), self.solved(version)?)))
            .collect::<Result<Vec<_>, Trouble>>()?;
        let context = scheme(self.model, &solved, cells, versions);
        let markdown = self.templates.fill("scheme.md", &context)?;
        read(&markdown).map_err(|fault| unread("scheme.md", fault))
    }

    fn scheme_pages(&self, document: &Document) -> Composed {
        let profile = Profile { tables: true, ..self.job.profile.on_sheets() };
        compose(document, &profile, &self.faces)
    }

    fn lesson_pages(&self, document: &Document) -> Composed {
        // In a file of its own only a booklet is filled up.
        let fill = if self.is_booklet() { 4 } else { 1 };
        let profile = Profile { compact: true, fill, ..self.job.profile };
        self.bound(compose(document, &profile, &self.faces))
    }

    fn is_booklet(&self) -> bool {
        self.job.profile.paper == Paper::A5
    }

    /// The sheets of a booklet, where it is to be one.
    fn bound(&self, composed: Composed) -> Composed {
        if self.is_booklet() { imposed(composed) } else { composed }
    }

    /// A booklet's key stays in pages, for a screen or a desk.
    fn pair(&self, document: &Document) -> Pair {
        let pair = compose_pair(document, &self.job.profile, &self.faces);
        Pair { learner: self.bound(pair.learner), ..pair }
    }

    fn id(&self) -> &str {
        &self.model.parsed.front.id.value
    }

    /// Makes all versions wanted, in order; gives how many.
    /// What the scheme says of each is put in `cells`.
    fn sheets(
        &self,
        folder: &Path,
        progress: &mut dyn FnMut(u32),
        cells: &mut Vec<VersionCells>,
    ) -> Result<u32, Trouble> {
        let range = match self.job.only {
            Some(only) => only..only + 1,
            None => 0..self.job.versions,
        };
        let table = folder.join(format!("answers{}.csv", self.suffix()));
        let mut table = AnswerTable::new(WholeFile::create(&table)?)?;
        let mut books = if self.job.one_file { Some(self.books(folder)?) } else { None };
        let mut done = 0;
        let finished = in_order(
            range,
            0,
            |version| self.version(version),
            |_, mut finished: Finished| {
                cells.extend(finished.cells.take());
                self.keep(folder, &mut table, books.as_mut(), finished)?;
                done += 1;
                progress(done);
                Ok(())
            },
        );
        finished.map_err(|stopped| match stopped {
            Stopped::Failed { error, .. } => error,
            Stopped::Panicked { item, words } => Trouble::Ours(format!(
                "a fault in Stillroom stopped version {} of {} with seed {}: {words}",
                letters(u64::from(item)),
                self.id(),
                self.job.seed
            )),
        })?;
        let sink = table.finish()?;
        sink.keep()?;
        if let Some((worksheets, keys)) = books {
            flushed(worksheets.finish()?)?;
            flushed(keys.finish()?)?;
        }
        Ok(done)
    }

    fn books(&self, folder: &Path) -> Result<Books<'_>, Trouble> {
        let front = &self.model.parsed.front;
        let open = |name: &str, title: &str| -> Result<Book<'_, BufWriter<WholeFile>>, Trouble> {
            let file = BufWriter::new(WholeFile::create(&folder.join(name))?);
            let identity = format!("{} {title} {}", self.id(), self.job.seed);
            let language = front.language.as_ref().map_or("en-GB", |l| l.value.as_str());
            let title = format!("{}: {title}", front.title.value);
            Ok(Book::new(file, &self.subset, &title, language, &identity)?)
        };
        Ok((
            open(&format!("worksheets{}.pdf", self.suffix()), "worksheets")?,
            open(&format!("answer-keys{}.pdf", self.suffix()), "answer keys")?,
        ))
    }

    /// What the names of collected files end in, where one version is printed alone.
    fn suffix(&self) -> String {
        self.job.only.map_or_else(String::new, |only| format!("-{}", letters(u64::from(only))))
    }

    /// What a version says, before it is put on pages.
    fn filled(&self, version: u32) -> Result<Filled<'_>, Trouble> {
        let solved = self.solved(version)?;
        let letters = letters(u64::from(version));
        let mut context = sheet(self.model, &solved, &letters, self.job.seed, true);
        context.code = code_of(&context, self.job.seed, version, &self.drawings);
        let document = read_with(&self.templates.fill("sheet.md", &context)?, &self.drawings)
            .map_err(|fault| unread("sheet.md", fault))?;
        Ok(Filled { solved, letters, code: context.code, document })
    }

    fn version(&self, version: u32) -> Result<Finished, Trouble> {
        let Filled { solved, letters, code, document } = self.filled(version)?;
        let tabled = version - self.first() < MOST_VERSIONS;
        let cells = tabled.then(|| version_cells(&letters, &solved));
        let Pair { learner, teacher } = self.pair(&document);
        let answers =
            solved.iter().flat_map(|(solution, answers)| answer_lines(solution, answers)).collect();
        let pages = if self.job.one_file {
            Pages::Inked {
                worksheet: ink(&learner, &self.subset)?,
                key: ink(&teacher, &self.subset)?,
            }
        } else {
            let identity = format!("{} {code}", self.id());
            Pages::Files {
                worksheet: write_pdf(&learner, &self.subset, &format!("{identity} worksheet"))?,
                key: write_pdf(&teacher, &self.subset, &format!("{identity} key"))?,
            }
        };
        let html = self
            .job
            .html
            .then(|| [CopyFor::Learner, CopyFor::Teacher].map(|copy| write_html(&document, copy)));
        Ok(Finished { letters, pages, answers, html, cells })
    }

    fn solved(&self, version: u32) -> Result<Vec<(Solution<'_>, Vec<Answer>)>, Trouble> {
        solving::questions(self.model, &self.draws, self.job.seed, version)
    }

    fn keep(
        &self,
        folder: &Path,
        table: &mut AnswerTable<WholeFile>,
        books: Option<&mut Books<'_>>,
        finished: Finished,
    ) -> Result<(), Trouble> {
        let Finished { letters, pages, answers, html, .. } = finished;
        for line in &answers {
            table.row(&AnswerRow {
                question: &line.question,
                part: &line.part,
                version: &letters,
                value: line.value,
                unit: &line.unit,
                printed: &line.printed,
                lowest: line.range.map(|(lowest, _)| lowest),
                highest: line.range.map(|(_, highest)| highest),
            })?;
        }
        if let Some([worksheet, key]) = html {
            let place = |kind: &str| folder.join(format!("{kind}-{letters}.html"));
            write_whole(&place("worksheet"), worksheet.as_bytes())?;
            write_whole(&place("answer-key"), key.as_bytes())?;
        }
        match (pages, books) {
            (Pages::Files { worksheet, key }, _) => {
                write_whole(&folder.join(format!("worksheet-{letters}.pdf")), &worksheet)?;
                write_whole(&folder.join(format!("answer-key-{letters}.pdf")), &key)?;
            }
            (Pages::Inked { worksheet, key }, Some((worksheets, keys))) => {
                let part = |label: &str| Part {
                    bookmark: format!("Version {letters}"),
                    label: format!("{label}{letters}-"),
                };
                worksheets.add(worksheet, Some(&part("")))?;
                keys.add(key, Some(&part("key ")))?;
            }
            (Pages::Inked { .. }, None) => {}
        }
        Ok(())
    }
}

/// The answers of a question, part by part. A numeric choice has its letter as printed
/// and its number beside it; what only marking points tell has no row.
fn answer_lines(solution: &Solution<'_>, answers: &[Answer]) -> Vec<AnswerLine> {
    let question = &solution.checked.question;
    let line = |part: usize, printed: &str| AnswerLine {
        question: question.id.value.clone(),
        part: question.parts[part].id(),
        printed: printed.to_owned(),
        unit: String::new(),
        value: None,
        range: None,
    };
    let mut lines = Vec::new();
    for part in 0..question.parts.len() {
        let response = solution.response(part);
        let own = answers.iter().filter(|answer| answer.part == part);
        lines.extend(own.map(|answer| AnswerLine {
            unit: answer.unit.print().to_owned(),
            value: Some(answer.unit.from_si(answer.value)),
            range: Some((answer.lowest, answer.highest)),
            ..line(part, response.map_or(&answer.printed, |response| &response.key))
        }));
        match response.filter(|_| !question.parts[part].is_worked()) {
            Some(response) if !response.values.is_empty() => {
                lines.extend(response.values.iter().map(|value| AnswerLine {
                    unit: value.unit.print().to_owned(),
                    value: Some(value.value),
                    range: Some((value.lowest, value.highest)),
                    ..line(part, &value.printed)
                }));
            }
            Some(response) if !response.key.is_empty() => lines.push(line(part, &response.key)),
            _ => {}
        }
    }
    lines
}

type Books<'a> = (Book<'a, BufWriter<WholeFile>>, Book<'a, BufWriter<WholeFile>>);

fn flushed(mut sink: BufWriter<WholeFile>) -> Result<(), Trouble> {
    let path = sink.get_ref().path().to_owned();
    let failed = |reason| Trouble::File(FileError { path: path.clone(), reason });
    sink.flush().map_err(failed)?;
    let file = sink.into_inner().map_err(|error| failed(error.into_error()))?;
    Ok(file.keep()?)
}

/// The code that a version's pages carry.
pub(super) fn version_code(
    model: &Model,
    solved: &[(Solution<'_>, Vec<Answer>)],
    seed: u64,
    version: u32,
    drawings: &Drawings,
) -> String {
    let context = sheet(model, solved, &letters(u64::from(version)), seed, true);
    code_of(&context, seed, version, drawings)
}

pub(super) fn code_of(
    context: &SheetContext,
    seed: u64,
    version: u32,
    drawings: &Drawings,
) -> String {
    code(&content_hash(context, drawings), seed, u64::from(version))
}

/// A hash of what a version asks and answers, so that its code changes with them.
fn content_hash(context: &SheetContext, drawings: &Drawings) -> Vec<u8> {
    let mut hash = Sha256::new();
    let mut add = |text: &str| {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    };
    add(&context.title);
    for question in &context.questions {
        add(&question.stem);
        if let Some(drawing) = question.figure.as_ref().and_then(|f| drawings.get(&f.id)) {
            add(&drawing.words);
        }
        for part in &question.parts {
            add(&part.lead);
            add(&part.text);
            let form = part.form.iter();
            for item in form.flat_map(|form| form.boxes.iter().chain(&form.beside)) {
                add(&item.text);
                add(&item.fill);
            }
            let form = part.form.iter();
            form.flat_map(|form| form.rows.iter().flatten()).for_each(|cell| add(cell));
            let form = part.form.iter();
            for answer in part.answers.iter().chain(form.flat_map(|form| &form.answers)) {
                add(&answer.value);
                add(&answer.unit);
            }
        }
    }
    hash.finalize().to_vec()
}
