//! Axes: grids to read from, ticks, and what stands at the ends.
//!
//! Takes scales; gives the shapes and labels around a plot.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{pen, room};
pub(crate) use crate::quantity::Scale;

/// Ticks stand out 4 points.
const TICK: f64 = 4.0 * room::POINT;
/// From a tick to its number.
const CLEAR: f64 = 0.8;
/// Squares across one step of a grid that is read from.
const SQUARES: usize = 10;
/// A step of fewer millimetres has half as many.
const SMALL: f64 = 11.9;

/// What an axis counts.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Axis {
    pub quantity: String,
    /// Empty for a pure number.
    pub unit: String,
}

impl Axis {
    pub fn new(quantity: &str, unit: &str) -> Axis {
        Axis { quantity: quantity.to_owned(), unit: unit.to_owned() }
    }

    /// What stands at the axis' end: "quantity / unit".
    pub fn head(&self) -> String {
        if self.unit.is_empty() {
            self.quantity.clone()
        } else {
            format!("{} / {}", self.quantity, self.unit)
        }
    }
}

/// The widest of a scale's numbers in print.
fn widest(scale: &Scale) -> f64 {
    scale
        .numbers()
        .iter()
        .map(|number| room::width(&scale.written(*number), Weight::Semibold))
        .fold(0.0, f64::max)
}

/// How closely a plot is ruled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Grid {
    /// A line at each number.
    #[default]
    Light,
    /// Ten small squares to a step, to read values from.
    Reading,
}

/// The ruled area: left, top, right, bottom of it, with a scale each way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub x: Scale,
    pub y: Scale,
    pub width: f64,
    pub height: f64,
}

impl Area {
    /// Where a point of the data stands; the area's top left corner is nought.
    pub(crate) fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.width * self.x.share(x), self.height * (1.0 - self.y.share(y)))
    }

    pub(crate) fn rule(&self, drawing: &mut Drawing, grid: Grid) {
        let lines = |squares: usize, role: Role, drawing: &mut Drawing| {
            let across = self.x.steps() * squares;
            for index in 0..=across {
                let x = self.width * index as f64 / across as f64;
                let path = pen::lines(&[(x, 0.0), (x, self.height)]);
                drawing.shapes.push(Shape { role, path });
            }
            let down = self.y.steps() * squares;
            for index in 0..=down {
                let y = self.height * index as f64 / down as f64;
                let path = pen::lines(&[(0.0, y), (self.width, y)]);
                drawing.shapes.push(Shape { role, path });
            }
        };
        match grid {
            Grid::Light => lines(1, Role::Grid, drawing),
            Grid::Reading => {
                // Small steps are for sheets that enlarge them: coarser, or it is grey.
                let small = self.width / (self.x.steps() as f64) < SMALL;
                let (fine, strong) = if small { (SQUARES / 2, 1) } else { (SQUARES, 2) };
                lines(fine, Role::Grid, drawing);
                lines(strong, Role::GridStrong, drawing);
            }
        }
    }

    /// The two axes, their ticks, numbers and heads.
    pub(crate) fn axes(&self, drawing: &mut Drawing, x: &Axis, y: &Axis) {
        let foot = [(0.0, 0.0), (0.0, self.height), (self.width, self.height)];
        drawing.shapes.push(Shape { role: Role::Axis, path: pen::lines(&foot) });
        for number in self.x.numbers() {
            let at = self.width * self.x.share(number);
            foot_number(drawing, (at, self.height), &self.x.written(number));
        }
        for number in self.y.numbers() {
            let at = self.height * (1.0 - self.y.share(number));
            left_number(drawing, at, &self.y.written(number));
        }
        foot_head(drawing, (self.width, self.height), &x.head());
        drawing.labels.push(Label {
            x: -TICK - CLEAR - widest(&self.y),
            y: -3.2,
            text: y.head(),
            ..Label::default()
        });
    }
}

/// A tick at the left of a plot with its number beside it.
pub(crate) fn left_number(drawing: &mut Drawing, y: f64, text: &str) {
    let path = pen::lines(&[(0.0, y), (-TICK, y)]);
    drawing.shapes.push(Shape { role: Role::Axis, path });
    drawing.labels.push(Label {
        x: -TICK - CLEAR,
        y: y + room::MIDDLE,
        text: text.to_owned(),
        anchor: Anchor::End,
        ..Label::default()
    });
}

/// A tick at the foot of a plot with its number below.
pub(crate) fn foot_number(drawing: &mut Drawing, (x, y): (f64, f64), text: &str) {
    let path = pen::lines(&[(x, y), (x, y + TICK)]);
    drawing.shapes.push(Shape { role: Role::Axis, path });
    drawing.labels.push(Label {
        x,
        y: y + TICK + CLEAR + 2.0 * room::MIDDLE,
        text: text.to_owned(),
        anchor: Anchor::Middle,
        ..Label::default()
    });
}

/// What an axis at the foot counts, below its numbers at the right end.
pub(crate) fn foot_head(drawing: &mut Drawing, (x, y): (f64, f64), text: &str) {
    drawing.labels.push(Label {
        x,
        y: y + TICK + CLEAR + 2.0 * room::MIDDLE + room::PITCH,
        text: text.to_owned(),
        anchor: Anchor::End,
        ..Label::default()
    });
}

/// How far the numbers at the left axis reach out.
pub(crate) fn reach(y: &Scale) -> f64 {
    TICK + CLEAR + widest(y)
}
