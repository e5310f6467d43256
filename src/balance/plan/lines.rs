//! What a straight let finds, as straight lines of its unknowns.
//!
//! Takes a let; writes code that carries each inner quantity as base + slope x
//! (+ slope y) through the steps once, settles the unknowns from the closing
//! residuals' own lines, and fills the rest from theirs. No trial values, so none
//! that could be far larger than the unknowns. Where an inner step is no line of
//! the unknowns by its form, nothing is written: the residual alone may still be.

use super::super::relations::{Relation, Shape, Slot, System};
use super::code::{Op, Place, Writer};
use super::{Find, Let};

/// base + slopes x unknowns; what is not there is nothing in every version.
#[derive(Debug, Clone, Copy, Default)]
struct Line {
    base: Option<Place>,
    slopes: [Option<Place>; 2],
}

impl Line {
    fn is_fixed(&self) -> bool {
        self.slopes == [None; 2]
    }

    fn parts(&self) -> [Option<Place>; 3] {
        [self.base, self.slopes[0], self.slopes[1]]
    }

    fn of([base, first, second]: [Option<Place>; 3]) -> Line {
        Line { base, slopes: [first, second] }
    }
}

/// The lines of what a let has found so far.
struct Lines<'a> {
    system: &'a System,
    writer: &'a mut Writer,
    moving: Vec<(Slot, Line)>,
}

/// Writes a step that finds one quantity from slots that are filled.
pub(super) fn write_find(system: &System, writer: &mut Writer, Find { target, relation }: Find) {
    let into = Some(target);
    match &system.relations[relation].shape {
        Shape::Sum { terms, constant } => {
            let (own, rest) = solved_for(terms, target);
            let rest = filled(writer, rest);
            let _ = if own.abs() == 1.0 {
                let rest: Vec<_> = rest.into_iter().map(|(c, place)| (-own * c, place)).collect();
                writer.sum(&rest, -own * constant, into)
            } else {
                let sum = writer.sum(&rest, *constant, None);
                let own = writer.sum(&[], own, None);
                own.and_then(|own| writer.minus_over(sum, own, into))
            };
        }
        Shape::Product { whole, part, factor } if target == *whole => {
            let (part, factor) = (writer.slot(*part), writer.slot(*factor));
            writer.times(part, factor, into);
        }
        Shape::Product { whole, part, factor } => {
            let by = if target == *part { *factor } else { *part };
            let whole = writer.slot(*whole);
            writer.over(whole, by as Place, into);
        }
        _ => writer.write(Op::Relation { to: target as Place, relation: relation as u32 }),
    }
}

/// A slot's coefficient in a sum, and the other terms.
fn solved_for(terms: &[(f64, Slot)], target: Slot) -> (f64, Vec<(f64, Slot)>) {
    let own = terms.iter().find(|(_, slot)| *slot == target).map_or(0.0, |(c, _)| *c);
    (own, terms.iter().copied().filter(|(_, slot)| *slot != target).collect())
}

fn filled(writer: &Writer, terms: Vec<(f64, Slot)>) -> Vec<(f64, Place)> {
    terms.into_iter().filter_map(|(c, slot)| Some((c, writer.slot(slot)?))).collect()
}

/// Writes a straight let whole; false, and nothing written, where a step or a
/// closing relation is no line of the unknowns by its form.
pub(super) fn write_let(system: &System, writer: &mut Writer, letting: &Let) -> bool {
    let mark = writer.mark();
    let mut lines = Lines { system, writer, moving: Vec::new() };
    if lines.settle(letting).is_some() {
        return true;
    }
    writer.back_to(mark);
    false
}

impl Lines<'_> {
    fn settle(&mut self, letting: &Let) -> Option<()> {
        let one = self.writer.sum(&[], 1.0, None);
        for (number, unknown) in letting.unknowns.iter().enumerate() {
            let mut line = Line::default();
            *line.slopes.get_mut(number)? = one;
            self.moving.push((*unknown, line));
        }
        for find in &letting.inner {
            let relation = &self.system.relations[find.relation];
            let others = relation.slots().into_iter().filter(|slot| *slot != find.target);
            if others.into_iter().any(|slot| self.moving.iter().any(|(moving, _)| *moving == slot))
            {
                let line = self.solved(relation, find.target)?;
                self.moving.push((find.target, line));
            } else {
                write_find(self.system, self.writer, *find);
            }
        }
        let residuals: Vec<Line> = letting
            .closes
            .iter()
            .map(|close| self.residual(&self.system.relations[*close]))
            .collect::<Option<_>>()?;
        match (letting.unknowns.as_slice(), residuals.as_slice()) {
            ([x], [residual]) => {
                self.writer.minus_over(residual.base, residual.slopes[0]?, Some(*x));
            }
            ([x, y], [first, second]) => self.settle_two([*x, *y], [first, second]),
            _ => return None,
        }
        let found = std::mem::take(&mut self.moving);
        for (slot, line) in &found[letting.unknowns.len()..] {
            match letting.unknowns.as_slice() {
                [x] => self.writer.line(line.base, line.slopes[0], *x as Place, Some(*slot)),
                [x, y] => {
                    let on = self.writer.line(line.base, line.slopes[0], *x as Place, None);
                    self.writer.line(on, line.slopes[1], *y as Place, Some(*slot))
                }
                _ => None,
            };
        }
        Some(())
    }

    fn line(&self, slot: Slot) -> Line {
        let moving = self.moving.iter().find(|(moving, _)| *moving == slot);
        moving.map_or_else(
            || Line { base: self.writer.slot(slot), ..Line::default() },
            |(_, line)| *line,
        )
    }

    fn sum(&mut self, terms: &[(f64, Slot)], constant: f64) -> Line {
        let lines: Vec<(f64, Line)> =
            terms.iter().map(|(c, slot)| (*c, self.line(*slot))).collect();
        Line::of([0, 1, 2].map(|part| {
            let own: Vec<(f64, Place)> =
                lines.iter().filter_map(|(c, line)| Some((*c, line.parts()[part]?))).collect();
            self.writer.sum(&own, if part == 0 { constant } else { 0.0 }, None)
        }))
    }

    /// A product of lines of which one is the same whatever the unknowns.
    fn product(&mut self, a: Line, b: Line) -> Option<Line> {
        let (line, by) = if b.is_fixed() { (a, b) } else { (b, a) };
        let times = |part| self.writer.times(part, by.base, None);
        by.is_fixed().then(|| Line::of(line.parts().map(times)))
    }

    /// What a relation makes of one of its slots.
    fn solved(&mut self, relation: &Relation, target: Slot) -> Option<Line> {
        match &relation.shape {
            Shape::Sum { terms, constant } => {
                let (own, rest) = solved_for(terms, target);
                if own.abs() == 1.0 {
                    let rest: Vec<_> = rest.into_iter().map(|(c, slot)| (-own * c, slot)).collect();
                    return Some(self.sum(&rest, -own * constant));
                }
                let sum = self.sum(&rest, *constant);
                let own = self.writer.sum(&[], own, None)?;
                Some(Line::of(sum.parts().map(|part| self.writer.minus_over(part, own, None))))
            }
            Shape::Product { whole, part, factor } if target == *whole => {
                let (part, factor) = (self.line(*part), self.line(*factor));
                self.product(part, factor)
            }
            Shape::Product { whole, part, factor } => {
                let by = self.line(if target == *part { *factor } else { *part });
                let divisor = by.base.filter(|_| by.is_fixed())?;
                let whole = self.line(*whole);
                Some(Line::of(whole.parts().map(|part| self.writer.over(part, divisor, None))))
            }
            _ => None,
        }
    }

    /// By how much a closing relation fails to hold.
    fn residual(&mut self, relation: &Relation) -> Option<Line> {
        match &relation.shape {
            Shape::Sum { terms, constant } => Some(self.sum(terms, *constant)),
            Shape::Product { whole, part, factor } => {
                let whole = self.line(*whole);
                let (part, factor) = (self.line(*part), self.line(*factor));
                let (line, by) = if factor.is_fixed() { (part, factor) } else { (factor, part) };
                if !by.is_fixed() {
                    return None;
                }
                let mut parts = whole.parts();
                for (own, part) in parts.iter_mut().zip(line.parts()) {
                    *own = self.writer.less(*own, part, by.base);
                }
                Some(Line::of(parts))
            }
            _ => None,
        }
    }

    /// Both unknowns, and once more from what is left there: a quotient of
    /// determinants alone may lose figures.
    fn settle_two(&mut self, unknowns: [Slot; 2], residuals: [&Line; 2]) {
        let writer = &mut *self.writer;
        let [[a, b], [c, d]] = residuals.map(|residual| residual.slopes);
        let across = writer.times(b, c, None);
        let along = writer.times(a, d, None);
        let determinant = difference(writer, along, across);
        // A determinant that is nothing leaves the unknowns without values.
        let determinant = determinant.unwrap_or(super::super::relations::ZERO as Place);
        let step = |writer: &mut Writer, left: [Option<Place>; 2]| {
            let along = writer.times(left[0], d, None);
            let first = writer.times(left[1], b, None);
            let first = difference(writer, along, first);
            let along = writer.times(left[1], a, None);
            let second = writer.times(left[0], c, None);
            let second = difference(writer, along, second);
            [first, second].map(|part| writer.minus_over(part, determinant, None))
        };
        let near = step(writer, residuals.map(|residual| residual.base));
        let left = residuals.map(|residual| {
            let mut left = residual.base;
            for (slope, at) in residual.slopes.iter().zip(near) {
                if let Some(at) = at {
                    left = writer.line(left, *slope, at, None);
                }
            }
            left
        });
        let more = step(writer, left);
        for ((slot, near), more) in unknowns.into_iter().zip(near).zip(more) {
            let terms: Vec<(f64, Place)> =
                [near, more].into_iter().flatten().map(|place| (1.0, place)).collect();
            writer.sum(&terms, 0.0, Some(slot));
        }
    }
}

fn difference(writer: &mut Writer, a: Option<Place>, b: Option<Place>) -> Option<Place> {
    let terms: Vec<(f64, Place)> =
        [a.map(|a| (1.0, a)), b.map(|b| (-1.0, b))].into_iter().flatten().collect();
    writer.sum(&terms, 0.0, None)
}
