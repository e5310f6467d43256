//! The sheets of an assessment: worksheet and key of every version, the mark scheme, the
//! table of answers and the form for responses.
//!
//! Workers take version numbers and give finished files; one writer puts them on disk in
//! order. Fonts are cut down once; nothing grows with the number of versions.

use std::collections::BTreeSet;
use std::io::{BufWriter, Write};
use std::path::Path;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Pair, Paper, Profile, compose, compose_pair, imposed};
use crate::document::context::SheetContext;
use crate::document::{
    Document, Drawings, MOST_VERSIONS, Templates, VersionCells, read, read_with, scheme, sheet,
    symbols, version_cells,
};
use crate::marking::columns;
use crate::question::{Answer, Assessment, Solution};
use crate::version::{Draws, code, letters};
use crate::writing::{
    AnswerRow, AnswerTable, Book, CopyFor, Inked, Part, Subset, ink, write_html, write_pdf,
};

use super::files::{FileError, WholeFile, write_whole};
use super::forms;
use super::load;
use super::pipeline::in_order;
use super::print::{PrintJob, Trouble, unread};
use super::solving;

/// Versions for each of which the scheme shows where mistakes lead; of more, only
/// for the first.
const MOST_FOLLOWED: u32 = 4;

/// What a learner's pages are called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Worksheet,
    Paper,
}

impl Kind {
    fn name(self) -> &'static str {
        match self {
            Kind::Worksheet => "worksheet",
            Kind::Paper => "paper",
        }
    }
}

/// What every version shares.
pub(super) struct Press<'a> {
    pub(super) asked: &'a Assessment<'a>,
    pub(super) kind: Kind,
    pub(super) draws: Vec<Draws>,
    pub(super) templates: Templates,
    pub(super) faces: Arc<Faces>,
    pub(super) subset: Arc<Subset>,
    pub(super) drawings: Drawings,
    pub(super) roster: Vec<forms::Listed>,
    pub(super) job: &'a PrintJob,
}

/// One version in words and numbers.
pub(super) struct Filled<'a> {
    solved: Vec<(Solution<'a>, Vec<Answer>)>,
    letters: String,
    code: String,
    pub(super) document: Document,
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
    number: String,
    question: String,
    part: String,
    printed: String,
    unit: String,
    value: Option<f64>,
    range: Option<(f64, f64)>,
}

impl Press<'_> {
    /// Fills the templates once and writes nothing.
    pub(super) fn tried(&self) -> Result<(), Trouble> {
        self.filled(self.first())?;
        self.scheme(&[], 1)?;
        Ok(())
    }

    /// Writes the sheets, their scheme and the form for responses; gives how many
    /// versions there are.
    pub(super) fn all(&self, folder: &Path, progress: &mut dyn FnMut(u32)) -> Result<u32, Trouble> {
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
        Ok(versions)
    }

    /// What learners' answers are typed into.
    pub(super) fn form(&self, folder: &Path) -> Result<(), Trouble> {
        let columns = columns(&self.solved(self.first())?);
        let versions = match self.job.only {
            Some(only) => only..only + 1,
            None => 0..self.job.versions,
        };
        forms::keep(folder, &forms::form(&self.asked.title, &columns, versions, &self.roster))
    }

    /// The first version that is printed.
    pub(super) fn first(&self) -> u32 {
        self.job.only.unwrap_or(0)
    }

    /// The mark scheme; its tables hold `cells`, of so many versions.
    pub(super) fn scheme(
        &self,
        cells: &[VersionCells],
        versions: u32,
    ) -> Result<Document, Trouble> {
        // Following through is shown for every version while they are few.
        let solved_versions = if versions <= MOST_FOLLOWED { versions } else { 1 };
        let solved = (self.first()..self.first() + solved_versions)
            .map(|version| Ok((letters(u64::from(version)), self.solved(version)?)))
            .collect::<Result<Vec<_>, Trouble>>()?;
        let context = scheme(self.asked, &solved, cells, versions);
        let markdown = self.templates.fill("scheme.md", &context)?;
        read(&markdown).map_err(|fault| unread("scheme.md", fault))
    }

    pub(super) fn scheme_pages(&self, document: &Document) -> Composed {
        let profile = Profile { tables: true, ..self.job.profile.on_sheets() };
        compose(document, &profile, &self.faces)
    }

    pub(super) fn is_booklet(&self) -> bool {
        self.job.profile.paper == Paper::A5
    }

    /// The sheets of a booklet, where it is to be one.
    pub(super) fn bound(&self, composed: Composed) -> Composed {
        if self.is_booklet() { imposed(composed) } else { composed }
    }

    /// A booklet's key stays in pages, for a screen or a desk.
    pub(super) fn pair(&self, document: &Document) -> Pair {
        let pair = compose_pair(document, &self.job.profile, &self.faces);
        Pair { learner: self.bound(pair.learner), ..pair }
    }

    pub(super) fn id(&self) -> &str {
        &self.asked.id
    }

    /// Makes all versions wanted, in order; gives how many.
    /// What the scheme says of each is put in `cells`.
    pub(super) fn sheets(
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
        finished.map_err(|stopped| {
            Trouble::stopped(stopped, |version| {
                let letters = letters(u64::from(version));
                format!("version {letters} of {} with seed {}", self.id(), self.job.seed)
            })
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
        let open = |name: &str, title: &str| -> Result<Book<'_, BufWriter<WholeFile>>, Trouble> {
            let file = BufWriter::new(WholeFile::create(&folder.join(name))?);
            let identity = format!("{} {title} {}", self.id(), self.job.seed);
            let title = format!("{}: {title}", self.asked.title);
            Ok(Book::new(file, &self.subset, &title, &self.asked.language, &identity)?)
        };
        let sheets = format!("{}s", self.kind.name());
        Ok((
            open(&format!("{sheets}{}.pdf", self.suffix()), &sheets)?,
            open(&format!("answer-keys{}.pdf", self.suffix()), "answer keys")?,
        ))
    }

    /// What the names of collected files end in, where one version is printed alone.
    pub(super) fn suffix(&self) -> String {
        self.job.only.map_or_else(String::new, |only| format!("-{}", letters(u64::from(only))))
    }

    /// What a version says, before it is put on pages.
    pub(super) fn filled(&self, version: u32) -> Result<Filled<'_>, Trouble> {
        let solved = self.solved(version)?;
        let letters = letters(u64::from(version));
        let context = self.sheet(&solved, version);
        let document = read_with(&self.templates.fill("sheet.md", &context)?, &self.drawings)
            .map_err(|fault| unread("sheet.md", fault))?;
        Ok(Filled { solved, letters, code: context.code, document })
    }

    /// The sheet of a solved version, for a teacher, with its code.
    pub(super) fn sheet(
        &self,
        solved: &[(Solution<'_>, Vec<Answer>)],
        version: u32,
    ) -> SheetContext {
        let letters = letters(u64::from(version));
        let mut context = sheet(self.asked, solved, &letters, self.job.seed, true);
        context.code = code_of(&context, self.job.seed, version, &self.drawings);
        context
    }

    fn version(&self, version: u32) -> Result<Finished, Trouble> {
        let Filled { solved, letters, code, document } = self.filled(version)?;
        let tabled = version - self.first() < MOST_VERSIONS;
        let cells = tabled.then(|| version_cells(&letters, &solved));
        let Pair { learner, teacher } = self.pair(&document);
        let answers =
            (0..solved.len()).flat_map(|place| self.answer_lines(&solved[place], place)).collect();
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

    pub(super) fn solved(&self, version: u32) -> Result<Vec<(Solution<'_>, Vec<Answer>)>, Trouble> {
        solving::questions(self.asked, &self.draws, self.job.seed, version)
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
                number: &line.number,
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
            write_whole(&place(self.kind.name()), worksheet.as_bytes())?;
            write_whole(&place("answer-key"), key.as_bytes())?;
        }
        match (pages, books) {
            (Pages::Files { worksheet, key }, _) => {
                let name = format!("{}-{letters}.pdf", self.kind.name());
                write_whole(&folder.join(name), &worksheet)?;
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

    /// The answers of a question, part by part. A numeric choice has its letter as printed
    /// and its number beside it; what only marking points tell has no row.
    fn answer_lines(
        &self,
        (solution, answers): &(Solution<'_>, Vec<Answer>),
        place: usize,
    ) -> Vec<AnswerLine> {
        let question = &solution.checked.question;
        let id = &question.id.value;
        let name = match self.asked.cover {
            // Units of one paper may have questions of one name.
            Some(_) => format!("{}/{id}", self.asked.questions[place].unit_id()),
            None => id.clone(),
        };
        let line = |part: usize, printed: &str| AnswerLine {
            number: format!("{}{}", place + 1, question.parts[part].mark()),
            question: name.clone(),
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
}

type Books<'a> = (Book<'a, BufWriter<WholeFile>>, Book<'a, BufWriter<WholeFile>>);

pub(super) fn flushed(mut sink: BufWriter<WholeFile>) -> Result<(), Trouble> {
    let path = sink.get_ref().path().to_owned();
    let failed = |reason| Trouble::File(FileError { path: path.clone(), reason });
    sink.flush().map_err(failed)?;
    let file = sink.into_inner().map_err(|error| failed(error.into_error()))?;
    Ok(file.keep()?)
}

/// The code that a version's pages carry.
pub(super) fn version_code(
    asked: &Assessment<'_>,
    solved: &[(Solution<'_>, Vec<Answer>)],
    seed: u64,
    version: u32,
    drawings: &Drawings,
) -> String {
    let context = sheet(asked, solved, &letters(u64::from(version)), seed, true);
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

/// Every character that may be printed, whatever the version: those of the units and of a
/// front page, of the templates beside them, and of what Stillroom writes itself.
pub(super) fn characters(asked: &Assessment<'_>, templates: &Path) -> BTreeSet<char> {
    let own = "–—‘’“”…·±≈≤≥√";
    let mut found: BTreeSet<char> = own.chars().collect();
    let mut add = |text: &str| {
        found.extend(symbols(text).chain(load::letters(text).map(|(.., letter)| letter)));
    };
    asked.units.iter().for_each(|unit| add(unit.parsed.file.text()));
    asked.words().for_each(&mut add);
    for name in Templates::names() {
        if let Ok(text) = std::fs::read_to_string(templates.join(name)) {
            add(&text);
        }
    }
    found.retain(|c| !c.is_control());
    found
}
