//! Axes: scales at steps of 1, 2 or 5, grids to read from, ticks, and what stands at
//! the ends.
//!
//! Takes the ends of the data; gives a scale that holds them and the shapes and labels
//! around a plot. Never more than six numbers at an axis (seven where values are read,
//! for a finer grid), and none between steps.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{pen, room};

/// Ticks stand out 4 points.
const TICK: f64 = 4.0 * room::POINT;
/// From a tick to its number.
const CLEAR: f64 = 0.8;
/// The most steps along an axis.
const STEPS: usize = 5;
/// The same where values are read.
const READING_STEPS: usize = 6;
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

/// From where to where, and by which steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    pub from: f64,
    pub to: f64,
    pub step: f64,
    /// Decimal places of the numbers at its steps.
    places: usize,
}

impl Scale {
    /// The finest scale of few steps that holds both ends. It begins at nought where
    /// that costs less than half of its length.
    pub(crate) fn over(least: f64, most: f64, nought: bool) -> Option<Scale> {
        Scale::of(least, most, nought, STEPS)
    }

    /// The same for a grid that is read from.
    pub(crate) fn to_read(least: f64, most: f64, nought: bool) -> Option<Scale> {
        Scale::of(least, most, nought, READING_STEPS)
    }

    fn of(least: f64, most: f64, nought: bool, steps: usize) -> Option<Scale> {
        let steps = steps as f64;
        if !(least.is_finite() && most.is_finite()) || least > most {
            return None;
        }
        let low = if least > 0.0 && (nought || least < 0.5 * most) { 0.0 } else { least };
        let high = if nought { most.max(0.0) } else { most };
        let low = if nought { low.min(0.0) } else { low };
        let span = if high > low { high - low } else { low.abs().max(1.0) };
        let high = low + span;
        // A span beyond what numbers can tell apart has no steps.
        let first = (span / steps).log10().floor() as i32 - 1;
        for tens in first..first + 4 {
            for digit in [1, 2, 5] {
                let step = f64::from(digit) * 10f64.powi(tens);
                let first = (low / step + 1e-9).floor();
                let last = (high / step - 1e-9).ceil();
                if last - first <= steps && last > first {
                    let places = usize::try_from(-tens).unwrap_or(0);
                    return Some(Scale { from: first * step, to: last * step, step, places });
                }
            }
        }
        None
    }

    /// The numbers at its steps, from the first to the last.
    pub(crate) fn numbers(&self) -> Vec<f64> {
        (0..=self.steps()).map(|index| self.from + index as f64 * self.step).collect()
    }

    pub(crate) fn steps(&self) -> usize {
        ((self.to - self.from) / self.step).round() as usize
    }

    /// A number as it stands at the axis.
    pub(crate) fn written(&self, number: f64) -> String {
        let written = format!("{number:.*}", self.places);
        match written.strip_prefix('-') {
            // A nought that rounding left with a sign has none.
            Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
            Some(rest) => format!("\u{2212}{rest}"),
            None => written,
        }
    }

    /// How far along the scale a number stands, nought to one.
    pub(crate) fn share(&self, number: f64) -> f64 {
        (number - self.from) / (self.to - self.from)
    }

    /// The widest of its numbers in print.
    pub(crate) fn widest(&self) -> f64 {
        self.numbers()
            .iter()
            .map(|number| room::width(&self.written(*number), Weight::Semibold))
            .fold(0.0, f64::max)
    }
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
            x: -TICK - CLEAR - self.y.widest(),
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
    TICK + CLEAR + y.widest()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(least: f64, most: f64) -> (f64, f64, f64) {
        let found = Scale::over(least, most, false).unwrap();
        (found.from, found.to, found.step)
    }

    #[test]
    fn steps_are_one_two_or_five_and_at_most_five() {
        // Worked by hand: the finest such step that needs no more than five.
        assert_eq!(scale(0.0, 80.0), (0.0, 80.0, 20.0));
        assert_eq!(scale(0.0, 100.0), (0.0, 100.0, 20.0));
        assert_eq!(scale(0.0, 101.0), (0.0, 150.0, 50.0));
        assert_eq!(scale(28.0, 51.3), (20.0, 60.0, 10.0));
        assert_eq!(scale(20.0, 51.3), (0.0, 60.0, 20.0));
        assert_eq!(scale(-20.0, 120.0), (-50.0, 150.0, 50.0));
        let read = Scale::to_read(0.0, 110.0, true).unwrap();
        assert_eq!((read.to, read.step), (120.0, 20.0));
        assert_eq!(scale(7.0, 7.0), (6.0, 14.0, 2.0));
        assert_eq!(Scale::over(f64::NAN, 1.0, false), None);
        assert_eq!(Scale::over(0.0, f64::INFINITY, false), None);
    }

    #[test]
    fn numbers_have_the_places_of_their_step() {
        let fine = Scale::over(0.0, 0.5, false).unwrap();
        let written: Vec<String> = fine.numbers().iter().map(|n| fine.written(*n)).collect();
        assert_eq!(written, ["0.0", "0.1", "0.2", "0.3", "0.4", "0.5"]);
        let cold = Scale::over(-20.0, 20.0, false).unwrap();
        let written: Vec<String> = cold.numbers().iter().map(|n| cold.written(*n)).collect();
        assert_eq!(written, ["−20", "−10", "0", "10", "20"]);
    }

    #[test]
    fn bars_begin_at_nought() {
        let found = Scale::over(40.0, 50.0, true).unwrap();
        assert_eq!((found.from, found.to), (0.0, 50.0));
    }
}
