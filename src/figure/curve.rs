//! Curves: solubility against temperature, temperature against time while heating or
//! cooling, what distils over at which temperature.
//!
//! Takes points of tables; gives a plot with axes, grid, lines and their names. Points
//! are joined by straight lines, and the drawing says so where the points are data.
//! The words tell what is plotted and how lines are told apart, and no value of one.

use super::axes::{self, Area, Scale};
pub use super::axes::{Axis, Grid};
use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{Labelling, capital, counted, letter, listed, pen, room};

/// The widest a figure may be beside the column of question numbers.
const WIDEST: f64 = 148.0;
/// Millimetres of a step where values are read, from the widest tried; the last only
/// where the sheet enlarges it.
const READING: [f64; 5] = [20.0, 16.0, 12.0, 10.0, 8.0];
/// The area of a plot from which no values are read.
const LIGHT: (f64, f64) = (80.0, 52.0);
/// On a slide: the widest and the least area, and what stands above and below it.
const ON_A_SLIDE: f64 = 110.0;
const LEAST: f64 = 20.0;
const OUTSIDE: f64 = 17.5;
/// From a line's end to its name.
const GAP: f64 = 2.2;
/// A name further than this from its line's end has a leader.
const NEAR: f64 = 1.6;
/// What stands below a plot of data.
pub const JOINED: &str = "points joined by straight lines";

/// A line with its name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    /// Empty for a line that needs none.
    pub name: String,
    pub points: Vec<(f64, f64)>,
}

/// Words at a place of the plot: a stretch or a point that has a name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Note {
    pub at: (f64, f64),
    pub text: String,
}

/// All that a plot shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plot {
    pub x: Axis,
    pub y: Axis,
    pub series: Vec<Series>,
    pub notes: Vec<Note>,
    pub grid: Grid,
    pub labelling: Labelling,
    /// Whether the second axis begins at nought whatever the data.
    pub nought: bool,
    /// Whether each point has a marker.
    pub markers: bool,
    /// The most that it may take across, in mm; nought: a page at the usual size.
    pub widest: f64,
    /// The most that it may take down, in mm, on a slide; nought: a page.
    pub tallest: f64,
}

impl Plot {
    /// Solubility of several substances, to be read from.
    pub fn solubility(series: Vec<Series>) -> Plot {
        Plot {
            x: Axis::new("temperature", "°C"),
            y: Axis::new("solubility", "g per 100 g water"),
            series,
            grid: Grid::Reading,
            nought: true,
            markers: true,
            ..Plot::default()
        }
    }

    /// Temperature against time while something is heated or cooled.
    pub fn heating(time: Axis, points: Vec<(f64, f64)>, notes: Vec<Note>) -> Plot {
        Plot {
            x: time,
            y: Axis::new("temperature", "°C"),
            series: vec![Series { name: String::new(), points }],
            notes,
            ..Plot::default()
        }
    }

    /// Temperature at the still's head against what has come over.
    pub fn distillation(over: Axis, points: Vec<(f64, f64)>, notes: Vec<Note>) -> Plot {
        Plot { markers: true, ..Plot::heating(over, points, notes) }
    }

    /// What is named in the plot, in the order of the letters.
    pub fn names(&self) -> Vec<&str> {
        let lines = self.series.iter().map(|series| series.name.as_str());
        let notes = self.notes.iter().map(|note| note.text.as_str());
        lines.filter(|name| !name.is_empty()).chain(notes).collect()
    }

    /// The plot drawn; none if a line has fewer than two points or a number is none.
    pub fn draw(&self) -> Option<Drawing> {
        let sorted = Plot { series: self.series.iter().map(ascending).collect(), ..self.clone() };
        sorted.drawn()
    }

    fn drawn(&self) -> Option<Drawing> {
        let area = self.area()?;
        let mut drawing = Drawing { words: self.words(&area), ..Drawing::default() };
        area.rule(&mut drawing, self.grid);
        area.axes(&mut drawing, &self.x, &self.y);
        if self.markers {
            say_joined(&mut drawing, &area, &self.x);
        }
        let mut lines = Vec::new();
        for (index, series) in self.series.iter().enumerate() {
            let points: Vec<(f64, f64)> = series.points.iter().map(|p| area.place(*p)).collect();
            let path = pen::lines(&points);
            lines.extend(pen::pieces(&path));
            drawing.shapes.push(Shape { role: Role::Data((index % 3) as u8), path });
            if self.markers {
                drawing.shapes.extend(points.iter().map(|point| marker(index, *point)));
            }
        }
        self.name(&mut drawing, &area, &lines);
        Some(room::framed(drawing))
    }

    fn area(&self) -> Option<Area> {
        if self.series.is_empty() || self.series.iter().any(|series| series.points.len() < 2) {
            return None;
        }
        let points = self.series.iter().flat_map(|series| &series.points);
        let points: Vec<(f64, f64)> =
            points.copied().chain(self.notes.iter().map(|note| note.at)).collect();
        if points.iter().any(|point| !(point.0.is_finite() && point.1.is_finite())) {
            return None;
        }
        let (left, right) = ends(points.iter().map(|point| point.0));
        let (low, high) = ends(points.iter().map(|point| point.1));
        let over = if self.grid == Grid::Reading { Scale::to_read } else { Scale::over };
        let x = over(left, right, false)?;
        let y = over(low, high, self.nought)?;
        let (width, height) = match self.grid {
            _ if self.tallest > 0.0 => (
                (self.widest - self.beside(&y)).clamp(LEAST, ON_A_SLIDE),
                (self.tallest - OUTSIDE).max(LEAST),
            ),
            Grid::Light => LIGHT,
            Grid::Reading => {
                let step = self.step(&x, &y);
                // A tall grid has smaller squares rather than half a page.
                let rise = if y.steps() > 5 { READING[1] } else { READING[0] };
                (step * x.steps() as f64, step.min(rise) * y.steps() as f64)
            }
        };
        Some(Area { x, y, width, height })
    }

    /// The widest step with which plot and names keep within a page.
    fn step(&self, x: &Scale, y: &Scale) -> f64 {
        let widest = if self.widest > 0.0 { self.widest } else { WIDEST };
        let fits = |step: &&f64| *step * x.steps() as f64 + self.beside(y) <= widest;
        READING.iter().find(fits).copied().unwrap_or(READING[READING.len() - 1])
    }

    /// What numbers on the left and names on the right take.
    fn beside(&self, y: &Scale) -> f64 {
        let names = self
            .series
            .iter()
            .filter(|series| !series.name.is_empty())
            .map(|series| match self.labelling {
                Labelling::Named => room::width(&series.name, Weight::Semibold),
                Labelling::Lettered => room::SIZE,
                Labelling::Blank => room::LINE,
            })
            .fold(0.0, f64::max);
        axes::reach(y) + 2.0 * GAP + names
    }

    /// Names at the lines' ends and at what else has one.
    fn name(&self, drawing: &mut Drawing, area: &Area, lines: &[Piece]) {
        let mut index = 0;
        let mut column = Vec::new();
        let mut taken: Vec<[f64; 4]> = drawing.labels.iter().map(room::extent).collect();
        for series in self.series.iter().filter(|series| !series.name.is_empty()) {
            let Some(end) = series.points.last().map(|point| area.place(*point)) else { continue };
            let label = self.label(index, &series.name, Weight::Semibold);
            index += 1;
            let beside =
                Label { x: end.0 + GAP, y: end.1 + room::MIDDLE, gap: true, ..label.clone() };
            // A line that ends short of the edge has its name at its end, if that is
            // free; all others stand in a column, kept apart.
            let short = end.0 < area.width - 2.0 * GAP && !label.asked;
            if short && is_free(&beside, lines, &taken) {
                taken.push(room::extent(&beside));
                drawing.labels.push(beside);
            } else {
                column.push((end, label));
            }
        }
        in_column(drawing, area, column);
        // A line to write on has no room along a curve: a letter stands there, and
        // the line below the plot.
        let asked = self.labelling == Labelling::Blank;
        for (place, note) in self.notes.iter().enumerate() {
            let label = if asked {
                Label { text: letter(place), weight: Weight::Bold, ..Label::default() }
            } else {
                self.label(index + place, &note.text, Weight::Regular)
            };
            let label = beside_point(label, area.place(note.at), lines, &taken);
            taken.push(room::extent(&label));
            drawing.labels.push(label);
        }
        if asked {
            self.list(drawing);
        }
    }

    /// The letters of places with a line beside each, in two columns below all else.
    fn list(&self, drawing: &mut Drawing) {
        let below = drawing.labels.iter().map(|label| label.y).fold(0.0, f64::max);
        for (place, note) in self.notes.iter().enumerate() {
            let x = if place % 2 == 0 { 0.0 } else { room::LINE + 4.0 * GAP };
            let y = below + room::WRITING * (1 + place / 2) as f64;
            let (text, weight) = (letter(place), Weight::Bold);
            drawing.labels.push(Label { x, y, text, weight, ..Label::default() });
            let (x, text) = (x + 2.0 * GAP, note.text.clone());
            drawing.labels.push(Label { x, y, text, asked: true, ..Label::default() });
        }
    }

    fn label(&self, index: usize, name: &str, weight: Weight) -> Label {
        match self.labelling {
            Labelling::Lettered => {
                Label { text: letter(index), weight: Weight::Bold, ..Label::default() }
            }
            asks => Label {
                text: name.to_owned(),
                weight,
                asked: asks == Labelling::Blank,
                ..Label::default()
            },
        }
    }

    fn words(&self, area: &Area) -> String {
        let range = |axis: &Axis, scale: &Scale| {
            let unit = if axis.unit.is_empty() { String::new() } else { format!(" {}", axis.unit) };
            let (from, to) = (scale.written(scale.from), scale.written(scale.to));
            format!("{} from {from} to {to}{unit}", axis.quantity)
        };
        let mut words = format!(
            "Graph of {} against {}: {}, {}.",
            self.y.quantity,
            self.x.quantity,
            range(&self.y, &area.y),
            range(&self.x, &area.x)
        );
        let named: Vec<(usize, &Series)> =
            self.series.iter().enumerate().filter(|(_, series)| !series.name.is_empty()).collect();
        let looks: Vec<String> = named
            .iter()
            .enumerate()
            .map(|(place, (index, series))| match self.labelling {
                Labelling::Named => format!("{} ({})", series.name, self.look(*index)),
                Labelling::Lettered => format!("{} ({})", letter(place), self.look(*index)),
                Labelling::Blank => self.look(*index),
            })
            .collect();
        let lines = capital(&counted(self.series.len()));
        let one = self.series.len() == 1;
        words += &format!(" {lines} line{}", if one { "" } else { "s" });
        if !looks.is_empty() {
            let to_name = if self.labelling == Labelling::Blank { " to be named" } else { "" };
            words += &format!("{to_name}: {}", listed(&looks));
        }
        words.push('.');
        words += &self.noted(named.len());
        words += " Points are joined by straight lines.";
        words
    }

    fn noted(&self, before: usize) -> String {
        if self.notes.is_empty() {
            return String::new();
        }
        match self.labelling {
            Labelling::Named => {
                let texts: Vec<String> = self.notes.iter().map(|note| note.text.clone()).collect();
                format!(" Written along it: {}.", listed(&texts))
            }
            asks => {
                let before = if asks == Labelling::Blank { 0 } else { before };
                let letters: Vec<String> =
                    (0..self.notes.len()).map(|index| letter(before + index)).collect();
                format!(" Lettered along it: {}.", listed(&letters))
            }
        }
    }

    /// How a line is told from the others.
    fn look(&self, index: usize) -> String {
        let dash = ["solid", "dashed", "dotted"][index % 3];
        if !self.markers {
            return dash.to_owned();
        }
        let marker = ["crosses", "filled circles", "open squares"][marker_of(index)];
        format!("{dash}, {marker}")
    }
}

type Piece = ((f64, f64), (f64, f64));

/// The least and the most of numbers.
fn ends(numbers: impl Iterator<Item = f64>) -> (f64, f64) {
    numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), number| {
        (least.min(number), most.max(number))
    })
}

fn ascending(series: &Series) -> Series {
    let mut points = series.points.clone();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    Series { name: series.name.clone(), points }
}

/// Which of the three markers; after three lines the markers move on against the
/// dashes, so that nine lines can be told apart.
fn marker_of(index: usize) -> usize {
    (index + index / 3) % 3
}

/// A marker 5 points across.
fn marker(index: usize, (x, y): (f64, f64)) -> Shape {
    let half = 2.5 * room::POINT;
    match marker_of(index) {
        0 => {
            let arm = 0.8 * half;
            let mut path = pen::lines(&[(x - arm, y - arm), (x + arm, y + arm)]);
            path.extend(pen::lines(&[(x - arm, y + arm), (x + arm, y - arm)]));
            Shape { role: Role::Wall, path }
        }
        1 => Shape { role: Role::Solid, path: pen::circle(x, y, 0.95 * half) },
        _ => {
            let arm = 0.85 * half;
            let path = pen::rectangle(x - arm, y - arm, 2.0 * arm, 2.0 * arm);
            Shape { role: Role::Front, path }
        }
    }
}

/// That points are joined by straight lines, below the axis on the left; on a line of
/// its own where what the axis counts leaves no room.
fn say_joined(drawing: &mut Drawing, area: &Area, x: &Axis) {
    let head = drawing.labels.iter().find(|label| label.text == x.head()).cloned();
    let Some(head) = head else { return };
    let said = Label { x: 0.0, y: head.y, text: JOINED.to_owned(), ..Label::default() };
    let room_left = area.width
        - room::width(JOINED, Weight::Semibold)
        - room::width(&head.text, Weight::Semibold);
    let down = if room_left < 4.0 { room::PITCH } else { 0.0 };
    drawing.labels.push(Label { y: said.y + down, ..said });
}

fn is_free(label: &Label, lines: &[Piece], taken: &[[f64; 4]]) -> bool {
    let area = room::extent(label);
    !lines.iter().any(|line| pen::touches(*line, area))
        && !taken.iter().any(|other| room::overlap(*other, area))
}

/// Names right of the area, in the order of their lines' ends.
fn in_column(drawing: &mut Drawing, area: &Area, mut ends: Vec<((f64, f64), Label)>) {
    ends.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
    let wanted: Vec<f64> = ends.iter().map(|(end, _)| end.1).collect();
    let asked = ends.iter().any(|(_, label)| label.asked);
    let pitch = if asked { room::WRITING } else { room::PITCH };
    for ((end, label), y) in ends.into_iter().zip(room::spread(&wanted, pitch)) {
        let mut x = area.width + GAP;
        if (y - end.1).abs() > NEAR || end.0 < area.width - 2.0 * GAP {
            x += 2.0 * GAP;
            let path = room::leader(end, (x - GAP / 2.0, y));
            drawing.shapes.push(Shape { role: Role::Leader, path });
        }
        drawing.labels.push(Label { x, y: y + room::MIDDLE, ..label });
    }
}

/// A label above its point, or wherever around it no line and no label is.
fn beside_point(label: Label, at: (f64, f64), lines: &[Piece], taken: &[[f64; 4]]) -> Label {
    let (above, below) = (at.1 - 1.6, at.1 + 1.6 + 2.0 * room::MIDDLE);
    let level = at.1 + room::MIDDLE;
    let places = [
        (at.0, above, Anchor::Middle),
        (at.0, below, Anchor::Middle),
        (at.0 - 1.6, above, Anchor::End),
        (at.0 + 1.6, below, Anchor::Start),
        (at.0 - 1.6, level, Anchor::End),
        (at.0 + 1.6, level, Anchor::Start),
        (at.0, above - room::PITCH, Anchor::Middle),
        (at.0, below + room::PITCH, Anchor::Middle),
    ];
    let put = |(x, y, anchor)| Label { x, y, anchor, gap: true, ..label.clone() };
    let free = places.into_iter().map(put).find(|label| is_free(label, lines, taken));
    free.unwrap_or_else(|| put(places[0]))
}
