//! A chromatogram: a paper or plate with its start line, the solvent front and spots.
//!
//! Takes distances from the start line; gives a drawing true to scale, so that a ruler
//! laid on it finds the same ratio. Never draws what cannot be: a spot stays between
//! the start line and the front.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{Labelling, capital, counted, letter, listed, pen, room};

/// The front is drawn at most this far from the start line, and at least this far
/// where ratios are measured: half a millimetre is then a hundredth of a ratio.
const FURTHEST: f64 = 100.0;
const NEAREST: f64 = 50.0;
/// From the foot of the sheet to the start line, and from the front to its head.
const FOOT: f64 = 10.0;
const HEAD: f64 = 8.0;
/// From lane to lane, least.
const LANE: f64 = 14.0;
/// A spot's radius, and that of the dot where it began.
const SPOT: f64 = 1.6;
const ORIGIN: f64 = 0.6;
/// From the sheet to the labels beside it.
const BESIDE: f64 = 6.0;
const GAP: f64 = 1.2;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    #[default]
    Paper,
    /// A thin layer on a stiff plate.
    Plate,
}

/// What was put on the start line at one place, and where its spots ended.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lane {
    pub name: String,
    /// Distances from the start line, in the unit of the front's.
    pub spots: Vec<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chromatogram {
    pub sheet: Sheet,
    /// From the start line to the solvent front, in any unit.
    pub front: f64,
    pub lanes: Vec<Lane>,
    /// How the start line and the front are called.
    pub labelling: Labelling,
    /// The most that it may take down, in mm, on a slide; nought: a page.
    pub tallest: f64,
}

impl Chromatogram {
    /// Millimetres on paper for one of the data: one where that fits, for distances in
    /// millimetres, else whatever brings the front within reach of a ruler.
    pub fn scale(&self) -> f64 {
        let reach = self.front.clamp(NEAREST, FURTHEST);
        // Nobody lays a ruler on a slide.
        let room = if self.tallest > 0.0 { self.tallest - HEAD - FOOT } else { reach };
        reach.min(room) / self.front
    }

    /// The drawing; none if there is no lane, no way to the front, or a spot outside.
    pub fn draw(&self) -> Option<Drawing> {
        let inside = |spot: &f64| (0.0..=self.front).contains(spot);
        let spots_inside = self.lanes.iter().all(|lane| lane.spots.iter().all(inside));
        if self.lanes.is_empty() || !(self.front.is_finite() && self.front > 0.0) || !spots_inside {
            return None;
        }
        let front = self.scale() * self.front;
        let pitch = self
            .lanes
            .iter()
            .map(|lane| room::width(&lane.name, Weight::Semibold) + 3.0)
            .fold(LANE, f64::max);
        let width = pitch * self.lanes.len() as f64;
        // The start line is at nought, the front above it.
        let mut drawing = Drawing { words: self.words(), ..Drawing::default() };
        self.draw_sheet(&mut drawing, width, front);
        for (index, lane) in self.lanes.iter().enumerate() {
            self.draw_lane(&mut drawing, lane, pitch * (index as f64 + 0.5));
        }
        self.label(&mut drawing, width, front);
        Some(room::framed(drawing))
    }

    fn draw_sheet(&self, drawing: &mut Drawing, width: f64, front: f64) {
        let role = match self.sheet {
            Sheet::Paper => Role::Thin,
            Sheet::Plate => Role::Wall,
        };
        let path = pen::rectangle(0.0, -front - HEAD, width, front + HEAD + FOOT);
        drawing.shapes.push(Shape { role, path });
        let across = |y| pen::lines(&[(0.0, y), (width, y)]);
        drawing.shapes.push(Shape { role: Role::Thin, path: across(0.0) });
        drawing.shapes.push(Shape { role: Role::Dashed, path: across(-front) });
    }

    fn draw_lane(&self, drawing: &mut Drawing, lane: &Lane, x: f64) {
        drawing.shapes.push(Shape { role: Role::Solid, path: pen::circle(x, 0.0, ORIGIN) });
        for spot in &lane.spots {
            let y = -self.scale() * spot;
            drawing.shapes.push(Shape { role: Role::Outline, path: pen::circle(x, y, SPOT) });
            // A ruler is laid to the middle, which must be seen.
            drawing.shapes.push(Shape { role: Role::Solid, path: pen::circle(x, y, 0.35) });
        }
        drawing.labels.push(Label {
            x,
            y: 0.65 * FOOT,
            text: lane.name.clone(),
            anchor: Anchor::Middle,
            weight: Weight::Semibold,
            ..Label::default()
        });
    }

    fn label(&self, drawing: &mut Drawing, width: f64, front: f64) {
        for (index, (name, y)) in
            [("solvent front", -front), ("start line", 0.0)].iter().enumerate()
        {
            let end = (width + BESIDE, *y);
            drawing.shapes.push(Shape { role: Role::Leader, path: room::leader((width, *y), end) });
            let (text, weight) = match self.labelling {
                // Lanes often have letters of their own: these are from the alphabet's end.
                Labelling::Lettered => (["X", "Y"][index].to_owned(), Weight::Bold),
                _ => ((*name).to_owned(), Weight::Regular),
            };
            let asked = self.labelling == Labelling::Blank;
            let (gap, drop) = if asked { (0.0, -room::UNDER) } else { (GAP, room::MIDDLE) };
            drawing.labels.push(Label {
                x: end.0 + gap,
                y: y + drop,
                text,
                weight,
                asked,
                ..Label::default()
            });
        }
    }

    fn words(&self) -> String {
        let sheet = match self.sheet {
            Sheet::Paper => "paper",
            Sheet::Plate => "thin-layer plate",
        };
        let lanes: Vec<String> = self
            .lanes
            .iter()
            .enumerate()
            .map(|(index, lane)| {
                let name = if lane.name.is_empty() { letter(index) } else { lane.name.clone() };
                let count = counted(lane.spots.len());
                format!("{name} with {count} spot{}", if lane.spots.len() == 1 { "" } else { "s" })
            })
            .collect();
        let lines = match self.labelling {
            Labelling::Named => "A start line near the foot and the solvent front near the head",
            _ => "A line near the foot and a dashed line near the head",
        };
        format!(
            "Chromatogram on a {sheet}, drawn to scale. {lines}. {} place{} along the lower line: {}.",
            capital(&counted(lanes.len())),
            if lanes.len() == 1 { "" } else { "s" },
            listed(&lanes)
        )
    }
}
