//! Charts of a class: how much of each part's marks was gained, how many learners had how
//! many marks, who did what.
//!
//! Takes plain figures; gives drawings. A learner or a part stands by its own words; what
//! is told by a fill is told by a number beside it too.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{pen, room};

/// A bar, from one to the next, and the length of the whole scale, in mm.
const BAR: f64 = 13.0 * room::POINT;
const PITCH: f64 = 21.0 * room::POINT;
const SCALE: f64 = 110.0;
/// Bars of one drawing, so that it fits a page of Letter with its title.
const BARS: usize = 24;
/// The height of a grid line that the words of a row take.
const WORDS: f64 = 11.0 * room::POINT;
/// A learner's square, and the room that it takes.
const SQUARE: f64 = 7.0 * room::POINT;
const STEP: f64 = 8.6 * room::POINT;
/// The width of a whole drawing, and the most that stand one above another.
const WIDE: f64 = 160.0;
const HIGH: u64 = 24;
/// A learner's sign in the table, and the height of a row.
const SIGN: f64 = 6.0 * room::POINT;
const ROW: f64 = 12.5 * room::POINT;
/// Learners of one drawing.
const ROWS: usize = 40;
/// The least width of a part's column in that table, what stands between its head and the
/// next one's, and between two questions.
const COLUMN: f64 = 10.5 * room::POINT;
const HEADS: f64 = 3.0 * room::POINT;
const QUESTIONS: f64 = 4.0 * room::POINT;
/// The widths of the learners' names and of their totals.
const NAMES: f64 = 40.0;
const TOTAL: f64 = 14.0;

/// A part, the share of its marks that was gained, and a few words beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Gained {
    pub part: String,
    /// 0 to 1.
    pub share: f64,
    pub beside: String,
}

/// Lying bars of 0 to 100 %; those below half are hatched. Many parts are shared evenly
/// between drawings, each with its own scale.
pub fn gained(parts: &[Gained]) -> Vec<Drawing> {
    let drawings = parts.len().div_ceil(BARS).max(1);
    parts.chunks(parts.len().div_ceil(drawings).max(1)).map(bars).collect()
}

fn bars(parts: &[Gained]) -> Drawing {
    let mut drawing = Drawing { whole: true, ..Drawing::default() };
    let height = PITCH * parts.len() as f64;
    for quarter in 0..=4 {
        let x = SCALE * f64::from(quarter) / 4.0;
        grid_line(&mut drawing, x, parts);
        let text = format!("{}{}", 25 * quarter, if quarter == 4 { "\u{202f}%" } else { "" });
        let y = height + 1.5 + 2.0 * room::MIDDLE;
        drawing.labels.push(Label { x, y, text, anchor: Anchor::Middle, ..Label::default() });
    }
    for (index, part) in parts.iter().enumerate() {
        let middle = PITCH * (index as f64 + 0.5);
        let Row { end, percent, beside, text, .. } = Row::of(part);
        let path = pen::rectangle(0.0, middle - BAR / 2.0, end.max(0.2), BAR);
        drawing.shapes.push(Shape { role: Role::Front, path: path.clone() });
        if part.share < 0.5 {
            drawing.shapes.push(Shape { role: Role::Hatched, path });
        }
        let y = middle + room::MIDDLE;
        let bold = Weight::Bold;
        drawing.labels.push(Label {
            x: -1.5,
            y,
            text: part.part.clone(),
            anchor: Anchor::End,
            weight: bold,
            ..Label::default()
        });
        drawing.labels.push(Label {
            x: end + 1.5,
            y,
            text: percent,
            weight: bold,
            gap: true,
            ..Label::default()
        });
        if !text.is_empty() {
            drawing.labels.push(Label { x: beside, y, text, gap: true, ..Label::default() });
        }
    }
    let each: Vec<String> =
        parts.iter().map(|p| format!("{} {:.0} %", p.part, 100.0 * p.share)).collect();
    drawing.words =
        format!("Bars of the share of the marks gained on each part: {}.", each.join(", "));
    room::framed(drawing)
}

/// Where a bar ends, and the words behind it.
struct Row {
    end: f64,
    percent: String,
    beside: f64,
    text: String,
    /// Where the words end.
    reach: f64,
}

impl Row {
    fn of(part: &Gained) -> Row {
        let end = SCALE * part.share.clamp(0.0, 1.0);
        let percent = format!("{:.0}\u{202f}%", 100.0 * part.share);
        let beside = end + 2.0 + room::width(&percent, Weight::Bold) + 2.5;
        let text = fitted(&part.beside, WIDE - beside);
        let reach = beside + room::width(&text, Weight::Regular);
        Row { end, percent, beside, text, reach }
    }
}

/// A line of the grid from top to foot, broken where words stand.
fn grid_line(drawing: &mut Drawing, x: f64, parts: &[Gained]) {
    let mut from = 0.0;
    for (index, part) in parts.iter().enumerate() {
        let row = Row::of(part);
        if (row.end + 0.5..row.reach + 1.0).contains(&x) {
            let middle = PITCH * (index as f64 + 0.5);
            shape(drawing, Role::Thin, &[(x, from), (x, middle - WORDS / 2.0)]);
            from = middle + WORDS / 2.0;
        }
    }
    shape(drawing, Role::Thin, &[(x, from), (x, PITCH * parts.len() as f64)]);
}

/// A square for each learner, or for so many, over the marks gained; solid below half.
/// None without learners.
pub fn marks_of_all(learners: &[u64], median: f64) -> Option<Drawing> {
    let full = learners.len().checked_sub(1)?;
    let highest = *learners.iter().max()?;
    let all: u64 = learners.iter().sum();
    if all == 0 {
        return None;
    }
    // Marks are put together where there are too many for columns of their own.
    let most = (WIDE / STEP) as usize;
    let wide = full / most + 1;
    let bins: Vec<u64> = learners.chunks(wide).map(|bin| bin.iter().sum()).collect();
    let each = bins.iter().max().unwrap_or(&highest).div_ceil(HIGH).max(1);
    let pitch = (WIDE / bins.len() as f64).min(14.0);
    let rows = bins.iter().max().unwrap_or(&0).div_ceil(each) as f64;
    let foot = (rows * STEP).max(4.0 * STEP);
    let mut drawing = Drawing::default();
    shape(&mut drawing, Role::Axis, &[(0.0, foot), (pitch * bins.len() as f64, foot)]);
    let half = full as f64 / 2.0;
    let mut below = 0;
    let every = (14.0 / pitch).ceil().max(1.0) as usize;
    for (index, count) in bins.iter().enumerate() {
        let from = index * wide;
        let middle = pitch * (index as f64 + 0.5);
        let is_below = ((from + wide - 1).min(full) as f64) < half;
        if is_below {
            below += count;
        }
        for row in 0..count.div_ceil(each) {
            let y = foot - STEP * (row as f64 + 1.0) + 0.2;
            let path = pen::rectangle(middle - SQUARE / 2.0, y, SQUARE, SQUARE);
            let role = if is_below { Role::Solid } else { Role::Outline };
            drawing.shapes.push(Shape { role, path });
        }
        if index % every == 0 || bins.len() <= 12 {
            let y = foot + 1.5 + 2.0 * room::MIDDLE;
            drawing.labels.push(Label {
                x: middle,
                y,
                text: from.to_string(),
                anchor: Anchor::Middle,
                ..Label::default()
            });
        }
    }
    let first = (0..bins.len()).find(|index| ((index * wide + wide - 1).min(full) as f64) >= half);
    let x = pitch * first.unwrap_or(bins.len()) as f64;
    shape(&mut drawing, Role::Dashed, &[(x, -room::PITCH), (x, foot)]);
    let y = -1.2;
    drawing.labels.push(Label {
        x: x - 1.5,
        y,
        text: format!("below half: {below}"),
        anchor: Anchor::End,
        ..Label::default()
    });
    drawing.labels.push(Label {
        x: x + 1.5,
        y,
        text: format!("median {}", shortly(median)),
        ..Label::default()
    });
    let y = foot + 1.5 + 2.0 * room::MIDDLE + room::PITCH;
    let units = match (wide, each) {
        (1, 1) => format!("marks of {full}"),
        (1, each) => format!("marks of {full}; a square stands for up to {each} learners"),
        (wide, 1) => format!("marks of {full}, {wide} together"),
        (wide, each) => {
            format!("marks of {full}, {wide} together; a square stands for up to {each} learners")
        }
    };
    drawing.labels.push(Label { x: 0.0, y, text: units, ..Label::default() });
    drawing.words = format!(
        "How many learners gained how many of {full} marks: {all} learners, median {}, {below} below half.",
        shortly(median)
    );
    Some(room::framed(drawing))
}

/// What a learner gained of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    Full,
    Part,
    Nothing,
    Blank,
}

/// A part's column: its question, what of its name stands under that, its place among all.
struct Column<'a> {
    question: &'a str,
    part: &'a str,
    at: usize,
}

/// A table of learners and parts, a sign in each cell. What has more columns than fit goes on
/// in further tables, as evenly as whole questions allow; totals stand in the last.
pub fn who_did_what(parts: &[String], learners: &[(String, Vec<Sign>, String)]) -> Vec<Drawing> {
    let columns: Vec<Column<'_>> = parts.iter().enumerate().map(column).collect();
    let wide = |text: &str| room::width(text, Weight::Bold) + HEADS;
    let pitch = columns.iter().map(|column| wide(column.part)).fold(COLUMN, f64::max);
    // A question is never narrower than its number.
    let mut questions: Vec<(f64, &[Column<'_>])> = Vec::new();
    let most = ((WIDE - NAMES - TOTAL) / pitch) as usize;
    for question in columns.chunk_by(|a, b| a.question == b.question) {
        for columns in question.chunks(most.max(1)) {
            let width = pitch * columns.len() as f64;
            questions.push((width.max(wide(columns[0].question)), columns));
        }
    }
    let blocks = blocks(&questions);
    let mut drawings = Vec::new();
    for learners in learners.chunks(ROWS) {
        for (index, block) in blocks.iter().enumerate() {
            drawings.push(table(block, pitch, learners, index + 1 == blocks.len()));
        }
    }
    drawings
}

/// `14c` is question 14 and its part c.
fn column((at, key): (usize, &String)) -> Column<'_> {
    let digits = key.find(|c: char| !c.is_ascii_digit()).unwrap_or(key.len());
    let (question, part) = if digits == 0 { ("", key.as_str()) } else { key.split_at(digits) };
    Column { question, part, at }
}

/// Questions in their order, shared out to as few tables as can be, and those as even as can be.
fn blocks<'a, 'b>(questions: &'a [(f64, &'b [Column<'b>])]) -> Vec<&'a [(f64, &'b [Column<'b>])]> {
    let widest = WIDE - NAMES - TOTAL;
    let filled = |room: f64| {
        let (mut blocks, mut start, mut used) = (Vec::new(), 0, 0.0);
        for (index, (width, _)) in questions.iter().enumerate() {
            if index > start && used + QUESTIONS + width > room {
                blocks.push(&questions[start..index]);
                (start, used) = (index, 0.0);
            }
            used += width + if index > start { QUESTIONS } else { 0.0 };
        }
        blocks.push(&questions[start..]);
        blocks
    };
    let most = filled(widest);
    let narrower = (1..10).map(|tenths| filled(widest * f64::from(tenths) / 10.0));
    narrower.into_iter().find(|blocks| blocks.len() == most.len()).unwrap_or(most)
}

fn table(
    questions: &[(f64, &[Column<'_>])],
    pitch: f64,
    learners: &[(String, Vec<Sign>, String)],
    totals: bool,
) -> Drawing {
    let mut drawing = Drawing { whole: true, ..Drawing::default() };
    let head = |x: f64, y: f64, text: &str, anchor| Label {
        x,
        y,
        text: text.to_owned(),
        anchor,
        weight: Weight::Bold,
        ..Label::default()
    };
    // The question's number stands over the middle of its parts.
    let mut columns = Vec::new();
    let mut right = NAMES;
    for (index, (width, parts)) in questions.iter().enumerate() {
        let left = right + if index > 0 { QUESTIONS } else { 0.0 };
        right = left + width;
        let middle = f64::midpoint(left, right);
        let single = parts.iter().all(|column| column.part.is_empty());
        let y = -1.5 - if single { 0.0 } else { room::PITCH };
        drawing.labels.push(head(middle, y, parts[0].question, Anchor::Middle));
        let first = middle - pitch * (parts.len() - 1) as f64 / 2.0;
        for (place, column) in parts.iter().enumerate() {
            let x = first + pitch * place as f64;
            if !single {
                drawing.labels.push(head(x, -1.5, column.part, Anchor::Middle));
            }
            columns.push((x, column.at));
        }
    }
    if totals {
        right += TOTAL;
        drawing.labels.push(head(right, -1.5, "marks", Anchor::End));
    }
    for (row, (name, signs, total)) in learners.iter().enumerate() {
        let (top, y) = (ROW * row as f64, ROW * (row as f64 + 0.5));
        shape(&mut drawing, Role::Thin, &[(0.0, top), (right, top)]);
        let baseline = y + room::MIDDLE;
        drawing.labels.push(Label {
            x: 0.0,
            y: baseline,
            text: fitted(name, NAMES - 2.0),
            ..Label::default()
        });
        if totals {
            drawing.labels.push(head(right, baseline, total, Anchor::End));
        }
        for (x, at) in columns.iter().copied() {
            let Some(sign) = signs.get(at) else { continue };
            let ring = pen::circle(x, y, SIGN / 2.0);
            match sign {
                Sign::Full => drawing.shapes.push(Shape { role: Role::Solid, path: ring }),
                Sign::Nothing => drawing.shapes.push(Shape { role: Role::Outline, path: ring }),
                Sign::Part => {
                    drawing.shapes.push(Shape { role: Role::Outline, path: ring });
                    let half = pen::half_disc(x, y, SIGN / 2.0);
                    drawing.shapes.push(Shape { role: Role::Solid, path: half });
                }
                Sign::Blank => {
                    shape(&mut drawing, Role::Outline, &[(x - SIGN / 2.0, y), (x + SIGN / 2.0, y)]);
                }
            }
        }
    }
    let foot = ROW * learners.len() as f64;
    shape(&mut drawing, Role::Thin, &[(0.0, foot), (right, foot)]);
    drawing.words = format!(
        "A table of {} learners and {} parts: filled circles for full marks, half filled for some, rings for none, a dash for an answer left out.",
        learners.len(),
        columns.len()
    );
    room::framed(drawing)
}

fn shape(drawing: &mut Drawing, role: Role, points: &[(f64, f64)]) {
    drawing.shapes.push(Shape { role, path: pen::lines(points) });
}

/// The text as far as it goes into a width, with dots where it is cut.
fn fitted(text: &str, widest: f64) -> String {
    if room::width(text, Weight::Semibold) <= widest {
        return text.to_owned();
    }
    let mut kept = String::new();
    for word in text.split_inclusive(' ') {
        if room::width(&format!("{kept}{}…", word.trim_end()), Weight::Semibold) > widest {
            break;
        }
        kept.push_str(word);
    }
    if kept.is_empty() {
        kept = text
            .chars()
            .scan(0.0, |wide, c| {
                *wide += room::width(&c.to_string(), Weight::Semibold);
                (*wide + 2.5 < widest).then_some(c)
            })
            .collect();
    }
    format!("{}…", kept.trim_end())
}

/// A half without idle noughts.
fn shortly(value: f64) -> String {
    if value.fract() == 0.0 { format!("{value:.0}") } else { format!("{value:.1}") }
}
