//! Parts that are answered otherwise than by a number on a line: what a learner sees
//! and writes in, in this version, and the key to it.
//!
//! Takes the tasks of checked questions and a stream of random numbers for each part;
//! gives responses as plain data: documents print them, and an answer can be held
//! against them. Texts are Markdown. Never knows of pages.

mod anomaly;
mod choose;
mod complete;
mod explain;
mod fill;
mod investigate;
mod label;
mod matching;
mod ordering;
mod positions;
mod read;
mod true_false;

use crate::quantity::Unit;
use crate::reading::model::kinds::{Mark, Table, Task};
use crate::version::{Key, Stream};

use super::{Answer, Solution};
use positions::Positions;

pub use choose::{Lack, has_options, lacking};
pub use ordering::{marks_of_order, needed_for};

/// What answers a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Response {
    /// Index of the part.
    pub part: usize,
    pub marks: u32,
    /// The key in a few signs: "C", "false", "B D A"; empty where only the points tell.
    pub key: String,
    pub form: Form,
    /// What earns the marks. Those of a numeric choice stand in its working.
    pub points: Vec<Point>,
    /// What else a marker is to know.
    pub guidance: Vec<String>,
    /// The values that are right, where numbers are asked for.
    pub values: Vec<Value>,
}

/// A cell to be filled in: its row, its column and what belongs there.
pub type FilledCell = (usize, usize, String);

/// What a learner sees and writes in.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Boxes to tick; `several` tells how many, where more than one is right.
    Options { options: Vec<Choice>, several: Option<usize> },
    /// Two boxes, then lines for a reason.
    Judgement { answer: bool, lines: u32, reasons: Vec<String> },
    /// A box at each left side for the letter of its partner.
    Pairs { left: Vec<(String, String)>, right: Vec<(String, String)> },
    /// A box before each line for its place, from 1.
    Sequence { lines: Vec<(String, usize)> },
    /// Lines to write on.
    Prose { lines: u32 },
    /// Gaps in the text, and the words to choose from.
    Gaps { words: Vec<String>, bank: Vec<String> },
    /// Names to be written on the question's figure.
    Names,
    /// A value on an answer line.
    Reading { table: Option<Table> },
    /// Cells of a table: row, column from the first cell, value.
    Cells { table: Table, gaps: Vec<FilledCell> },
    /// The value that does not fit, and lines for the reason.
    Odd { table: Table, lines: u32, reasons: Vec<String> },
}

/// An option with its letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    pub letter: String,
    pub text: String,
    pub right: bool,
    /// What ticking it shows.
    pub why: String,
}

/// What earns marks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Point {
    pub text: String,
    pub marks: u32,
    /// Beyond the marks of the part: any of its points earns them, so many at most.
    pub spare: bool,
    /// To be said in the learner's own words, but for those in bold.
    pub in_words: bool,
    /// Other points, any of which stands for it.
    pub or: Vec<String>,
    pub accept: Vec<String>,
    pub reject: Vec<String>,
    pub ignore: Vec<String>,
}

/// A number that is right.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    pub name: String,
    pub unit: Unit,
    /// In that unit.
    pub value: f64,
    pub printed: String,
    pub lowest: f64,
    pub highest: f64,
}

/// A part at work: what its kinds need to answer it.
struct Asked<'s, 'a> {
    solution: &'s Solution<'a>,
    answers: &'s [Answer],
    part: usize,
}

/// Gives each question of a version its responses. Where keys stand among options
/// depends on the choices before, so the questions come in the order of the sheet.
pub fn respond(solved: &mut [(Solution<'_>, Vec<Answer>)], seed: u64, unit: &str, version: u64) {
    respond_each(solved, seed, &|_| unit, version);
}

/// The same where each question may be of another unit.
pub(super) fn respond_each<'u>(
    solved: &mut [(Solution<'_>, Vec<Answer>)],
    seed: u64,
    unit: &dyn Fn(usize) -> &'u str,
    version: u64,
) {
    let choices = solved
        .iter()
        .flat_map(|(solution, _)| &solution.checked.tasks)
        .filter(|task| choose::has_one_key(task))
        .count();
    let mut positions = Positions::of(choices);
    for (index, (solution, answers)) in solved.iter_mut().enumerate() {
        let key = Key { seed, unit: unit(index), question: &solution.checked.question.id.value };
        let mut responses = Vec::new();
        for (part, task) in solution.checked.tasks.iter().enumerate() {
            let id = solution.checked.question.parts[part].id();
            let mut stream = Stream::of_version(key, version, &format!("options {id}"));
            let asked = Asked { solution, answers, part };
            responses.extend(asked.response(task, &mut stream, &mut positions));
        }
        solution.responses = responses;
    }
}

impl Asked<'_, '_> {
    fn response(
        &self,
        task: &Task,
        stream: &mut Stream,
        positions: &mut Positions,
    ) -> Option<Response> {
        Some(match task {
            Task::Work => return None,
            Task::ChooseNumber { options } => self.choose_number(*options, stream, positions)?,
            Task::Choose { options, several, locked } => {
                self.choose(options, *several, *locked, stream, positions)
            }
            Task::TrueFalse { answer, reasons } => self.true_false(*answer, reasons),
            Task::Match { left, right } => self.matching(left, right, stream),
            Task::Order { lines } => self.ordering(lines, stream),
            Task::Explain { points } => self.explain(points),
            Task::Fill { words, bank } => self.fill(words, bank.as_deref()),
            Task::Label { names } => self.label(names),
            Task::Read(reading) => self.read(reading),
            Task::Complete { table, gaps } => self.complete(table, gaps),
            Task::Anomaly { table, odd, reasons } => self.anomaly(table, odd, reasons),
            Task::Investigate { strands } => self.investigate(strands),
        })
    }

    /// The marks that the author gives the part.
    fn wanted(&self) -> Option<u32> {
        self.solution.checked.question.parts[self.part].marks.as_ref().map(|marks| marks.value)
    }

    /// The lines that the author gives the part, or as many as its marks ask for.
    fn lines(&self, marks: u32) -> u32 {
        let part = &self.solution.checked.question.parts[self.part];
        part.lines.as_ref().map_or_else(|| lines_for(marks), |lines| lines.value)
    }

    /// A response whose points earn its marks.
    fn made(&self, form: Form, key: String, points: Vec<Point>) -> Response {
        let (points, marks) = dealt(points, self.wanted());
        Response {
            part: self.part,
            marks,
            key,
            form,
            points,
            guidance: Vec::new(),
            values: Vec::new(),
        }
    }
}

/// Ruled lines for so many marks (common practice, no source).
fn lines_for(marks: u32) -> u32 {
    match marks {
        0 | 1 => 2,
        2 => 3,
        3 => 4,
        4 => 6,
        5 => 8,
        more => 11 + 2 * (more - 6),
    }
}

/// Points whose marks add up to those wanted: what is more goes to the first ones,
/// what is less makes the last ones spare.
fn dealt(mut points: Vec<Point>, wanted: Option<u32>) -> (Vec<Point>, u32) {
    let all: u32 = points.iter().map(|point| point.marks).sum();
    let wanted = wanted.unwrap_or(all);
    let count = points.len().max(1);
    for n in 0..wanted.saturating_sub(all) as usize {
        if let Some(point) = points.get_mut(n % count) {
            point.marks += 1;
        }
    }
    let mut left = wanted;
    for point in &mut points {
        if point.marks > left {
            if left == 0 {
                point.spare = true;
            } else {
                point.marks = left;
            }
        }
        if !point.spare {
            left -= point.marks;
        }
    }
    (points, wanted)
}

fn point(text: impl Into<String>) -> Point {
    Point { text: text.into(), marks: 1, ..Point::default() }
}

fn points_of(marks: &[Mark]) -> Vec<Point> {
    marks
        .iter()
        .map(|mark| Point {
            text: mark.text.clone(),
            marks: mark.marks,
            spare: false,
            in_words: true,
            or: mark.or.clone(),
            accept: mark.accept.clone(),
            reject: mark.reject.clone(),
            ignore: mark.ignore.clone(),
        })
        .collect()
}

/// The letter of an option: A, B, C.
fn letter(place: usize) -> String {
    let place = u8::try_from(place).ok().filter(|place| *place < 26);
    place.map_or_else(|| "?".to_owned(), |place| char::from(b'A' + place).to_string())
}
