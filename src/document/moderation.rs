//! What a second person checks a paper with: a copy to be timed, the sheet to fill in, and
//! what the setter shows behind it. And what a version says, text by text, so that it can
//! be known later whether it still says the same.
//!
//! Takes solved versions and plain counts; gives contexts and texts. Marks nothing and
//! remembers nothing.

use crate::figure::{Drawing, Move};
use crate::question::{Answer, Assessment, Listed, Profile, Solution};
use crate::reading::paper::Table;

use super::context::{
    CellsContext, CheckRowContext, CheckSheetContext, CheckedVersionContext, CoveredContext,
    DataContext, PartContext, QuestionContext, SheetContext, WidthContext,
};
use super::escape::escape;
use super::lesson::data;
use super::pictures::pictures_in;
use super::read::Drawings;
use super::scheme::{VersionCells, values};

/// A teacher works a paper in a quarter to a third of a learner's time (common practice,
/// no source).
const CHECKER: (u32, u32) = (4, 3);
/// What tables may take across, in mm.
const ALL: f64 = 174.0;

/// Everything that the check sheet is made of.
pub struct Moderation<'a> {
    pub asked: &'a Assessment<'a>,
    /// The versions that get a sheet to fill in, each with its pages' context and its mark.
    pub sheets: Vec<(SheetContext, String)>,
    /// All versions with the marks of their content.
    pub covered: Vec<(String, String)>,
    /// Who signed each question before, where that still holds.
    pub signed: Vec<Option<String>>,
    /// The first version, and the values of all.
    pub shown: &'a [(Solution<'a>, Vec<Answer>)],
    pub cells: &'a [VersionCells],
    pub table: &'a Table,
    /// The marks chosen in each of its cells, and outside of them.
    pub chosen: Vec<u32>,
    pub outside: u32,
    /// Place, rule and reason of each.
    pub waived: Vec<[String; 3]>,
    pub outcomes: Vec<Outcome>,
}

/// What a question asks of a learner.
pub struct Outcome {
    /// In each version.
    pub profiles: Vec<Profile>,
    pub marks: u32,
    /// As estimated.
    pub minutes: f64,
}

/// The unkeyed copy on which times are written.
pub fn moderation_copy(mut sheet: SheetContext) -> SheetContext {
    sheet.head_left = format!("Moderation copy · {}", sheet.title);
    sheet.timed = true;
    sheet
}

pub fn check_sheet(of: &Moderation<'_>) -> CheckSheetContext {
    let minutes = of.asked.cover.as_ref().map_or(0, |cover| cover.minutes);
    let estimate: f64 = of.outcomes.iter().map(|outcome| outcome.minutes).sum();
    CheckSheetContext {
        title: of.asked.title.clone(),
        record: format!("{}.moderation.yaml", of.asked.id),
        head_right: of.asked.right.clone(),
        language: of.asked.language.clone(),
        sheets: of.sheets.iter().map(|(sheet, hash)| to_fill_in(sheet, hash, of)).collect(),
        versions: of
            .covered
            .iter()
            .map(|(version, hash)| CoveredContext { version: version.clone(), hash: hash.clone() })
            .collect(),
        checker_least: minutes.div_ceil(CHECKER.0),
        checker_most: minutes.div_ceil(CHECKER.1),
        values: values(of.shown, of.cells),
        shown: of.cells.len(),
        table: specifications(of.table, &of.chosen),
        outside: of.outside,
        waivers: waivers(&of.waived),
        profiles: profiles(of),
        minutes,
        estimate: format!("{estimate:.0}"),
    }
}

fn to_fill_in(sheet: &SheetContext, hash: &str, of: &Moderation<'_>) -> CheckedVersionContext {
    let mut rows = Vec::new();
    for (question, signed) in sheet.questions.iter().zip(&of.signed) {
        for (at, part) in question.parts.iter().enumerate() {
            let signed = signed.as_ref().filter(|_| at == 0);
            rows.push(CheckRowContext {
                part: format!("**{}**{}", question.number, escape(&part.mark)),
                signed: signed.map_or_else(String::new, |by| format!("unchanged since: {by}")),
            });
        }
    }
    CheckedVersionContext {
        version: sheet.version.clone(),
        code: sheet.code.clone(),
        hash: hash.to_owned(),
        marks: sheet.score,
        minutes: of.asked.cover.as_ref().map_or(0, |cover| cover.minutes),
        questions: u32::try_from(sheet.questions.len()).unwrap_or(u32::MAX),
        rows,
    }
}

fn column(head: &str, width: f64) -> WidthContext {
    WidthContext { head: head.to_owned(), width }
}

/// Two lines a row: what was wanted, what was chosen; sums at the right and below.
fn specifications(table: &Table, chosen: &[u32]) -> CellsContext {
    let (first, second, sum) = (42.0, 18.0, 18.0);
    let levels = table.levels.len();
    let width = ((ALL - first - second - 2.0 * sum) / levels.max(1) as f64).min(28.0);
    let mut columns = vec![column("row", first), column("", second)];
    columns.extend(table.levels.iter().map(|level| column(&escape(&level.value), width)));
    columns.push(column("marks", sum));
    columns.push(column("share", sum));
    let all: u32 = chosen.iter().sum();
    let share = |marks: u32| match all {
        0 => String::new(),
        all => format!("{:.0}\u{202f}%", 100.0 * f64::from(marks) / f64::from(all)),
    };
    let shown = |bounds: crate::reading::paper::Bounds| match bounds.most {
        0 => "–".to_owned(),
        _ => bounds.to_string(),
    };
    let count = |marks: u32| if marks == 0 { "–".to_owned() } else { marks.to_string() };
    let mut rows = Vec::new();
    for (at, row) in table.rows.iter().enumerate() {
        let own = chosen.get(at * levels..(at + 1) * levels).unwrap_or(&[]);
        let mut wanted = vec![escape(&row.label.value).into_owned(), "wanted".to_owned()];
        wanted.extend(row.cells.iter().map(|cell| shown(cell.bounds)));
        wanted.extend([shown(table.row_total(at)), String::new()]);
        rows.push(wanted);
        let mut got = vec![String::new(), "chosen".to_owned()];
        got.extend(own.iter().map(|marks| count(*marks)));
        let total = own.iter().sum();
        got.extend([count(total), share(total)]);
        rows.push(got);
    }
    let mut wanted = vec!["**all**".to_owned(), "wanted".to_owned()];
    wanted.extend((0..levels).map(|level| shown(table.level_total(level))));
    wanted.extend([shown(table.total()), String::new()]);
    rows.push(wanted);
    let mut got = vec![String::new(), "chosen".to_owned()];
    let of_level = |level: usize| chosen.iter().skip(level).step_by(levels.max(1)).sum::<u32>();
    got.extend((0..levels).map(|level| count(of_level(level))));
    got.extend([format!("**{all}**"), share(all)]);
    rows.push(got);
    let mut shares = vec![String::new(), "share".to_owned()];
    shares.extend((0..levels).map(|level| share(of_level(level))));
    shares.extend([String::new(), String::new()]);
    rows.push(shares);
    CellsContext { columns, rows, ..CellsContext::default() }
}

fn waivers(waived: &[[String; 3]]) -> CellsContext {
    let columns = vec![column("place", 58.0), column("rule", 40.0), column("why", 76.0)];
    let row = |one: &[String; 3]| one.iter().map(|text| escape(text).into_owned()).collect();
    CellsContext { columns, rows: waived.iter().map(row).collect(), ..CellsContext::default() }
}

/// The least and the most of the versions, or one number where they agree.
fn range(values: impl Iterator<Item = String> + Clone) -> String {
    let (first, last) = (values.clone().next(), values.last());
    match (first, last) {
        (Some(first), Some(last)) if first != last => format!("{first} to {last}"),
        (first, _) => first.unwrap_or_else(|| "–".to_owned()),
    }
}

fn profiles(of: &Moderation<'_>) -> CellsContext {
    let columns = vec![
        column("question", 37.0),
        column("marks", 14.0),
        column("steps", 13.0),
        column("let x", 12.0),
        column("convert", 16.0),
        column("figures", 17.0),
        column("read", 12.0),
        column("words", 14.0),
        column("index", 22.0),
        column("minutes", 17.0),
    ];
    let rows = of.outcomes.iter().zip(&of.asked.questions).enumerate();
    let rows = rows.map(|(at, (outcome, listed))| {
        let count = |of: fn(&Profile) -> u32| {
            let mut all: Vec<u32> = outcome.profiles.iter().map(of).collect();
            all.sort_unstable();
            range(all.iter().map(u32::to_string))
        };
        let mut indices: Vec<f64> = outcome.profiles.iter().map(Profile::index).collect();
        indices.sort_by(f64::total_cmp);
        vec![
            format!("**{}** {}", at + 1, escape(&listed.checked.question.id.value)),
            outcome.marks.to_string(),
            count(|p| p.steps),
            count(|p| p.unknowns),
            count(|p| p.conversions),
            count(|p| p.digits),
            count(|p| p.readings),
            count(|p| p.words),
            range(indices.iter().map(|index| format!("{index:.2}"))),
            format!("{:.1}", outcome.minutes),
        ]
    });
    CellsContext { rows: rows.collect(), columns, ..CellsContext::default() }
}

/// What all versions of a paper share beside its questions. The date and the school may
/// change without anything having to be checked again.
pub fn shared(asked: &Assessment<'_>, sheet: &SheetContext) -> Vec<String> {
    let mut said = vec![asked.title.clone(), asked.language.clone()];
    if let Some(cover) = &asked.cover {
        said.push(cover.minutes.to_string());
        let lists = [&cover.need, &cover.instructions, &cover.information, &cover.sections];
        for list in lists.into_iter().chain([&sheet.cautions]) {
            said.push(list.len().to_string());
            said.extend(list.iter().cloned());
        }
        said.push(cover.foot.clone());
    }
    said
}

/// All that a version of a question asks, shows and answers: stem, parts, options, answers,
/// marks, figure, pictures and tables; not its number, and not how it is worked. `drawings`
/// must be those of one kind of sheet, whatever is printed.
pub fn said(listed: &Listed<'_>, question: &QuestionContext, drawings: &Drawings) -> Vec<String> {
    let mut said = vec![question.stem.clone(), question.total.to_string()];
    shown_in(&question.stem, drawings, &mut said);
    if let Some(figure) = &question.figure {
        said.push(figure.caption.clone());
        said.extend(drawings.get(&figure.id).map(drawn));
    }
    question.data.iter().for_each(|table| tabled(table, &mut said));
    let read = listed.unit.tables_read(listed.checked);
    read.into_iter().map(data).for_each(|table| tabled(&table, &mut said));
    question.parts.iter().for_each(|part| asked_in(part, drawings, &mut said));
    said
}

fn asked_in(part: &PartContext, drawings: &Drawings, said: &mut Vec<String>) {
    said.extend([part.mark.clone(), part.lead.clone(), part.text.clone(), part.marks.to_string()]);
    shown_in(&part.lead, drawings, said);
    shown_in(&part.text, drawings, said);
    let form = part.form.iter();
    for answer in part.answers.iter().chain(form.flat_map(|form| &form.answers)) {
        said.extend([answer.name.clone(), answer.unit.clone(), answer.value.clone()]);
    }
    let Some(form) = &part.form else { return };
    said.extend([form.is.clone(), form.note.clone()]);
    for item in form.boxes.iter().chain(&form.beside) {
        said.extend([item.label.clone(), item.text.clone(), item.fill.clone()]);
        said.push(item.ticked.to_string());
    }
    for write in &form.writes {
        said.extend([write.text.clone(), write.marks.clone()]);
    }
    said.extend(form.bank.iter().cloned());
    said.extend(form.columns.iter().map(|column| column.head.clone()));
    said.extend(form.rows.iter().flatten().cloned());
}

fn tabled(table: &DataContext, said: &mut Vec<String>) {
    said.extend([table.title.clone(), table.source.clone()]);
    said.extend(table.columns.iter().map(|column| column.head.clone()));
    said.extend(table.rows.iter().flatten().cloned());
}

/// The pictures that a text shows, by their bytes.
fn shown_in(text: &str, drawings: &Drawings, said: &mut Vec<String>) {
    for shown in pictures_in(text) {
        let picture = drawings.pictures.get(&shown.address);
        said.extend(picture.map(|picture| {
            let bytes = picture.bytes.iter();
            bytes.map(|byte| char::from(*byte)).collect()
        }));
    }
}

/// A drawing in words and tenths of a millimetre.
fn drawn(drawing: &Drawing) -> String {
    let mut text = drawing.words.clone();
    for label in &drawing.labels {
        text.push_str(&format!("\n{}", label.text));
    }
    let tenths = |(x, y): (f64, f64)| {
        format!(" {} {}", (x * 10.0).round() as i64, (y * 10.0).round() as i64)
    };
    for shape in &drawing.shapes {
        text.push_str(&format!("\n{:?}", shape.role));
        for step in &shape.path {
            match *step {
                Move::To(x, y) | Move::Line(x, y) => text.push_str(&tenths((x, y))),
                Move::Curve(a, b, c) => {
                    [a, b, c].into_iter().for_each(|p| text.push_str(&tenths(p)));
                }
                Move::Close => text.push('z'),
            }
        }
    }
    text
}
