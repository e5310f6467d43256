//! A data block as a drawing: curves, lines, bars, a pie, sieves, a chromatogram.
//!
//! Takes the block and how its author wants it drawn; gives the drawing, or says why
//! the table does not fit. Where nothing is said the shape of the table tells.

use super::chart::{self, Datum};
use super::chromatogram::{Chromatogram, Lane, Sheet};
use super::curve::{Axis, Grid, Note, Plot, Series};
use super::sieve::{self, Sieve};
use super::{Drawing, Labelling};
use crate::quantity::{Dimension, Number, Unit, UnitKind, print_number, print_quantity};
use crate::reading::parsed::{Data, Draw, Figure, Text};

/// The names of the row that holds the distance of the solvent front.
const FRONT: [&str; 3] = ["front", "solvent front", "solvent"];
/// Room that is lower than this is that of a slide.
const LOW: f64 = 64.0;
/// What a slide's bars have beside them, and above and below.
const BESIDE: f64 = 12.0;
const OUTSIDE: f64 = 20.0;
/// The most that a chart can tell apart.
const MOST: usize = 12;

/// Why a table cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// A sentence.
    pub says: String,
    pub found: String,
    pub expected: &'static str,
    pub next: &'static str,
}

impl Misfit {
    fn new(says: &str, found: String, expected: &'static str, next: &'static str) -> Misfit {
        Misfit { says: says.to_owned(), found, expected, next }
    }
}

/// How a table is drawn where its author does not say.
pub fn natural(data: &Data) -> Draw {
    let across = data.columns.as_ref().map(|(_, unit)| unit);
    let is = |unit: Option<&Unit>, dimension| unit.is_some_and(|u| u.dimension() == dimension);
    if data.listed {
        Draw::Bars
    } else if data.rows.iter().any(|(name, _)| is_front(name)) {
        Draw::Chromatogram
    } else if is(across, Dimension::TEMPERATURE) && !is(unit_of(data), Dimension::TEMPERATURE) {
        Draw::Curve
    } else if is(across, Dimension::LENGTH) && data.rows.len() == 1 && counts_solid(data) {
        Draw::Sieves
    } else {
        Draw::Line
    }
}

/// The drawing of a table in room of a width and height in mm.
///
/// # Errors
/// Why it cannot be drawn like that.
pub(super) fn drawn(
    data: &Data,
    figure: &Figure,
    (width, height): (f64, f64),
) -> Result<Drawing, Misfit> {
    let low = height < LOW;
    let tallest = if low { height } else { 0.0 };
    let draw = figure.draw.as_ref().map_or_else(|| natural(data), |draw| draw.value);
    let labelling = if figure.letters { Labelling::Lettered } else { Labelling::Named };
    let rows = chosen(data, figure);
    if rows.is_empty() {
        return Err(Misfit::new(
            "There is nothing in this table to draw.",
            "no row with a value".to_owned(),
            "rows with values",
            "add them to the table, or name others under `rows` and `columns`",
        ));
    }
    match draw {
        Draw::Curve => plot(data, figure, &rows, labelling, Grid::Reading, (width, tallest)),
        Draw::Line => plot(data, figure, &rows, labelling, Grid::Light, (width, tallest)),
        Draw::Bars => {
            // The axis says in which unit.
            let mut bars = parts(data, &rows, "bar chart")?;
            bars.iter_mut()
                .zip(values(&rows))
                .for_each(|(bar, value)| bar.written = print_number(value));
            let area = if low { (width - BESIDE, height - OUTSIDE) } else { (0.0, 52.0) };
            refused(chart::bars_of(&axis(data), &bars, labelling, area))
        }
        Draw::Pie => {
            let parts = parts(data, &rows, "pie")?;
            refused(chart::pie(&parts, labelling))
        }
        Draw::Sieves => refused(sieve::stack(&sieves(data, &rows)?, labelling)),
        Draw::Chromatogram => chromatogram(data, &rows, (Sheet::Paper, tallest), labelling),
        Draw::Plate => chromatogram(data, &rows, (Sheet::Plate, tallest), labelling),
    }
}

/// A row as it is to be drawn.
struct Row<'a> {
    name: String,
    values: Vec<(&'a Number, &'a Number)>,
}

/// The rows and columns that the figure names, in its order of rows; rows without a
/// value among them are left out.
fn chosen<'a>(data: &'a Data, figure: &Figure) -> Vec<Row<'a>> {
    let wanted = |at: &Number| {
        figure.columns.is_empty()
            || data.listed
            || figure.columns.iter().any(|column| column.value.value == at.value)
    };
    let row = |(name, values): &'a (Text, Vec<(Number, Number)>)| {
        let values: Vec<_> =
            values.iter().filter(|(at, _)| wanted(at)).map(|(at, value)| (at, value)).collect();
        (!values.is_empty()).then(|| Row { name: name.value.replace('_', " "), values })
    };
    if figure.rows.is_empty() {
        return data.rows.iter().filter_map(row).collect();
    }
    let named = |name: &Text| data.rows.iter().find(|(own, _)| own.value == name.value);
    figure.rows.iter().filter_map(named).filter_map(row).collect()
}

fn unit_of(data: &Data) -> Option<&Unit> {
    data.unit.as_ref().map(|unit| &unit.value)
}

fn counts_solid(data: &Data) -> bool {
    unit_of(data)
        .is_some_and(|unit| unit.dimension() == Dimension::MASS || unit.kind() == UnitKind::Percent)
}

/// What the values are and in which unit.
pub fn axis(data: &Data) -> Axis {
    let unit = unit_of(data);
    let is = |dimension| unit.is_some_and(|unit| unit.dimension() == dimension);
    let against_temperature =
        data.columns.as_ref().is_some_and(|(_, unit)| unit.dimension() == Dimension::TEMPERATURE);
    let quantity = match &data.quantity {
        Some(quantity) => quantity.value.clone(),
        None if is(Dimension::TEMPERATURE) => "temperature".to_owned(),
        None if is(Dimension::MASS) => "mass".to_owned(),
        None if is(Dimension::VOLUME) => "volume".to_owned(),
        None if is(Dimension::NONE) && against_temperature => "solubility".to_owned(),
        None => data
            .title
            .as_ref()
            .map_or_else(|| data.id.value.replace('-', " "), |title| title.value.clone()),
    };
    Axis { quantity, unit: unit.map_or_else(String::new, |unit| unit.print().to_owned()) }
}

fn across(data: &Data) -> Axis {
    data.columns.as_ref().map_or_else(Axis::default, |(name, unit)| Axis::new(name, unit.print()))
}

/// Drawings refuse only numbers that nothing can be drawn of.
fn refused(drawing: Option<Drawing>) -> Result<Drawing, Misfit> {
    drawing.ok_or_else(|| {
        Misfit::new(
            "The numbers of this table cannot be drawn like that.",
            "a value that is negative, or nothing but noughts".to_owned(),
            "values from nought upwards",
            "draw it as a `line`, or choose other rows",
        )
    })
}

fn plot(
    data: &Data,
    figure: &Figure,
    rows: &[Row<'_>],
    labelling: Labelling,
    grid: Grid,
    (widest, tallest): (f64, f64),
) -> Result<Drawing, Misfit> {
    if data.listed {
        return Err(Misfit::new(
            "A curve needs numbers across the top, and this table is a list of names.",
            "one value beside each name".to_owned(),
            "`name: {column: value, column: value}`",
            "draw it as `bars` or a `pie`",
        ));
    }
    if let Some(row) = rows.iter().find(|row| row.values.len() < 2) {
        return Err(Misfit::new(
            "A curve needs two points at least.",
            format!("one value of {}", row.name),
            "two or more columns",
            "draw it as `bars`, or take in more columns",
        ));
    }
    let single = rows.len() == 1;
    let series: Vec<Series> = rows
        .iter()
        .map(|row| Series {
            // A line alone needs no name: the axis says what it is.
            name: if single { String::new() } else { row.name.clone() },
            points: row.values.iter().map(|(x, y)| (x.value, y.value)).collect(),
        })
        .collect();
    let mut notes = Vec::new();
    for (text, at) in &figure.notes {
        let Some(y) = on_line(&series[0].points, at.value.value) else {
            return Err(Misfit::new(
                "A note stands beside the curve.",
                format!("`{}` at {}", text.value, print_number(&at.value)),
                "a number between the first and the last of the columns",
                "choose a number that the curve reaches",
            ));
        };
        notes.push(Note { at: (at.value.value, y), text: text.value.clone() });
    }
    let plot = Plot {
        // A slide is too low for a fine grid.
        grid: if tallest > 0.0 { Grid::Light } else { grid },
        x: across(data),
        y: axis(data),
        series,
        notes,
        labelling,
        // The scale begins there by itself where that wastes less than half of it.
        nought: false,
        markers: true,
        widest,
        tallest,
    };
    refused(plot.draw())
}

/// The height of a broken line at a place.
fn on_line(points: &[(f64, f64)], at: f64) -> Option<f64> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    sorted.windows(2).find(|pair| pair[0].0 <= at && at <= pair[1].0).map(|pair| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if x1 > x0 { y0 + (y1 - y0) * (at - x0) / (x1 - x0) } else { y1 }
    })
}

/// One value a name: of a list, of one row, or of one column.
fn parts(data: &Data, rows: &[Row<'_>], what: &str) -> Result<Vec<Datum>, Misfit> {
    let unit = unit_of(data).cloned().unwrap_or_else(Unit::none);
    let datum = |name: &str, value: &Number| {
        Datum::new(name, value.value, &print_quantity(value, &unit).replace('\u{202f}', " "))
    };
    let parts: Vec<Datum> = match rows {
        [row] if !data.listed => {
            let across = data.columns.as_ref().map_or_else(Unit::none, |(_, unit)| unit.clone());
            let name = |at: &Number| print_quantity(at, &across).replace('\u{202f}', " ");
            row.values.iter().map(|(at, value)| datum(&name(at), value)).collect()
        }
        rows if rows.iter().all(|row| row.values.len() == 1) => {
            rows.iter().map(|row| datum(&row.name, row.values[0].1)).collect()
        }
        rows => {
            let most = rows.iter().map(|row| row.values.len()).max().unwrap_or(0);
            return Err(Misfit::new(
                &format!("A {what} shows one value for each name, and this table has more."),
                format!("{} rows of up to {most} values", rows.len()),
                "one row, or one column of several rows",
                "choose one with `columns: [20]` or `rows: [name]`",
            ));
        }
    };
    if parts.len() > MOST {
        return Err(Misfit::new(
            &format!("A {what} with so many parts cannot be read."),
            format!("{} parts", parts.len()),
            "at most 12",
            "choose some with `rows` or `columns`",
        ));
    }
    Ok(parts)
}

/// The values in the order of their parts.
fn values<'a>(rows: &'a [Row<'a>]) -> impl Iterator<Item = &'a Number> {
    rows.iter().flat_map(|row| row.values.iter().map(|(_, value)| *value))
}

/// The coarsest first; a hole of nought is the pan.
fn sieves(data: &Data, rows: &[Row<'_>]) -> Result<Vec<Sieve>, Misfit> {
    let across = data.columns.as_ref().map(|(_, unit)| unit);
    let [row] = rows else {
        return Err(Misfit::new(
            "A stack of sieves shows one row, what each sieve kept.",
            format!("{} rows", rows.len()),
            "one row",
            "choose it with `rows: [name]`",
        ));
    };
    let Some(across) = across.filter(|unit| unit.dimension() == Dimension::LENGTH) else {
        return Err(Misfit::new(
            "The columns of a stack of sieves are the widths of their holes.",
            "columns that are no lengths".to_owned(),
            "`columns: aperture in mm`, with 0 for the pan",
            "say so, or draw the table in another way",
        ));
    };
    if row.values.len() > MOST {
        return Err(Misfit::new(
            "A stack of so many sieves does not stand on a page.",
            format!("{} sieves", row.values.len()),
            "at most 12",
            "choose some with `columns`",
        ));
    }
    let unit = unit_of(data).cloned().unwrap_or_else(Unit::none);
    let mut values = row.values.clone();
    values.sort_by(|a, b| b.0.value.total_cmp(&a.0.value));
    let written =
        |number: &Number, unit: &Unit| print_quantity(number, unit).replace('\u{202f}', " ");
    Ok(values
        .iter()
        .map(|(hole, kept)| Sieve {
            aperture: if hole.value > 0.0 { written(hole, across) } else { String::new() },
            kept: written(kept, &unit),
        })
        .collect())
}

fn is_front(name: &Text) -> bool {
    FRONT.contains(&name.value.replace('_', " ").to_lowercase().as_str())
}

fn chromatogram(
    data: &Data,
    rows: &[Row<'_>],
    (sheet, tallest): (Sheet, f64),
    labelling: Labelling,
) -> Result<Drawing, Misfit> {
    // Whatever rows are chosen, the front is that of the whole table.
    let front = data.rows.iter().find(|(name, _)| is_front(name));
    let Some((_, [(_, front)])) = front.map(|(name, values)| (name, values.as_slice())) else {
        return Err(Misfit::new(
            "A chromatogram needs to know how far the solvent went.",
            "no row `solvent front` with one value".to_owned(),
            "`solvent front: {1: 80}`, and the distances of the spots in the other rows",
            "add this row to the table",
        ));
    };
    // On paper a millimetre is one, whatever the table counts in.
    let millimetres = |number: &Number| match unit_of(data) {
        Some(unit) if unit.dimension() == Dimension::LENGTH => 1e3 * unit.to_si(number.value),
        _ => number.value,
    };
    let lanes: Vec<Lane> = rows
        .iter()
        .filter(|row| !FRONT.contains(&row.name.to_lowercase().as_str()))
        .map(|row| Lane {
            name: row.name.clone(),
            spots: row.values.iter().map(|(_, at)| millimetres(at)).collect(),
        })
        .collect();
    if let Some(lane) =
        lanes.iter().find(|lane| lane.spots.iter().any(|s| !(0.0..=millimetres(front)).contains(s)))
    {
        return Err(Misfit::new(
            "No spot travels further than the solvent, or back.",
            format!("a spot of {} outside", lane.name),
            "distances between the start line and the front",
            "measure them again",
        ));
    }
    let front = millimetres(front);
    let drawing = Chromatogram { sheet, front, lanes, labelling, tallest }.draw();
    drawing.ok_or_else(|| {
        Misfit::new(
            "There is nothing on this chromatogram.",
            "no row beside the solvent front".to_owned(),
            "a row for each substance",
            "add a row with the distance of its spot",
        )
    })
}
