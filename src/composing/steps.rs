//! Worked steps: words, then a chain of formulas with their equals signs aligned.

use super::composer::Composer;
use super::lines::{self, Line};
use super::page::Face;
use super::slab::NEVER;
use crate::document::{Run, Runs, Step, plain};

/// What stands left and right of an equals sign.
struct Equation {
    left: Runs,
    right: Runs,
}

impl Composer<'_> {
    pub(super) fn steps(&mut self, steps: &[Step]) {
        self.keep_with_next_if_led();
        let between = if self.framed { 800.0 } else { 60.0 };
        self.leads = false;
        let edge = self.indent;
        let number_look = self.look(Face::Semibold, 3.0, 4.0);
        if steps.iter().any(|step| step.number.is_some()) {
            // Room for two digits everywhere, so that all parts stand on one line.
            let digits = self.label("00", number_look).width;
            self.indent = self.deeper(digits + 1.6 * self.space());
        }
        for (index, step) in steps.iter().enumerate() {
            // Words without formulas are a remark on the step before.
            if index > 0 && step.chain.is_empty() {
                self.keep_with_next();
            }
            if let Some(number) = step.number {
                self.hang(edge, &number.to_string(), number_look);
            }
            let first = self.slabs.len();
            let space = self.u(if first > 0 { 2.0 } else { 0.0 });
            self.text(&step.says, self.body(), space);
            let before = if self.slabs.len() > first { 0.0 } else { space };
            self.chain(&step.chain, before);
            self.earned(&step.marks, first);
            let count = self.slabs.len();
            for slab in &mut self.slabs[first..count] {
                slab.glue = NEVER;
            }
            if count > first {
                self.glue(between);
            }
        }
        self.indent = edge;
        self.flush_hanging();
    }

    fn keep_with_next_if_led(&mut self) {
        // A label that still waits for its text has no slab of its own: what stands
        // last belongs to the part before.
        if self.leads && self.hanging.is_empty() {
            self.keep_with_next();
        }
    }

    /// What a step earns, at the outer edge beside its last line; the column there
    /// is free of text, and a long entry is set smaller to stay in it.
    fn earned(&mut self, marks: &str, first: usize) {
        if marks.is_empty() || self.slabs.len() <= first {
            return;
        }
        let m = self.measures;
        let mut look = self.look(Face::Semibold, 2.75, 4.0);
        let mut line = self.label(marks, look);
        let room = m.block - m.text - self.space();
        if line.width > room {
            look.size *= room / line.width;
            line = self.label(marks, look);
        }
        let faces = self.faces;
        if let Some(last) = self.slabs.last_mut() {
            let baseline = last.baseline.unwrap_or(last.height);
            let x = m.block - line.width;
            line.draw(x, baseline, look, faces, &mut last.marks);
        }
    }

    fn chain(&mut self, chain: &[Runs], before: f64) {
        if chain.is_empty() {
            return;
        }
        let look = self.body();
        let edge = self.indent;
        // What hangs beside a step without words stands beside its first formula.
        let x = edge + self.measures.mm(8.0);
        let room = self.measures.text - x;
        let equations = self.equations(chain, room);
        let widest = equations
            .iter()
            .map(|equation| lines::one(&equation.left, look, self.faces).width)
            .fold(0.0, f64::max);
        // A long left side would push the signs off the page: it gets a line above.
        let above = widest > 0.5 * room;
        let sign_at = if above { x } else { x + widest + self.space() };
        let sign = Run { text: "=".to_owned(), ..Run::default() };
        let sign = lines::one(&[sign], look, self.faces);
        let right_at = sign_at + sign.width + self.space();
        for (i, equation) in equations.iter().enumerate() {
            let before = if i == 0 { before } else { 0.0 };
            if above && !equation.left.is_empty() {
                self.indent = x;
                self.text(&equation.left, look, before);
            }
            let set = self.set(&equation.right, look, self.measures.text - right_at);
            for (j, line) in set.into_iter().enumerate() {
                let mut slab = self.line_slab(line, look, right_at);
                let baseline = slab.baseline.unwrap_or(0.0);
                if j == 0 {
                    slab.before = before;
                    let left = if above {
                        Line::default()
                    } else {
                        lines::one(&equation.left, look, self.faces)
                    };
                    let at = sign_at - self.space() - left.width;
                    left.draw(at, baseline, look, self.faces, &mut slab.marks);
                    if chain.len() > 1 || !equation.left.is_empty() {
                        sign.clone().draw(sign_at, baseline, look, self.faces, &mut slab.marks);
                    }
                }
                self.push(slab);
            }
        }
        self.indent = edge;
    }

    fn space(&self) -> f64 {
        let look = self.body();
        self.faces.width(Face::Regular, look.size, " ") + 0.06 * look.size
    }

    /// The chain as equations; two last lines that fit on one are set on one.
    fn equations(&self, chain: &[Runs], room: f64) -> Vec<Equation> {
        let mut equations: Vec<Equation> = chain.iter().map(|line| equation(line)).collect();
        if equations.len() > 2 {
            let look = self.body();
            let [.., before, last] = equations.as_slice() else { return equations };
            let width = lines::one(&before.right, look, self.faces).width
                + lines::one(&last.right, look, self.faces).width;
            if last.left.is_empty() && width < 0.45 * room {
                let right = equations.pop().map(|last| last.right).unwrap_or_default();
                if let Some(before) = equations.last_mut() {
                    before.right.push(Run { text: " = ".to_owned(), ..Run::default() });
                    before.right.extend(right);
                }
            }
        }
        equations
    }
}

/// Parts a formula at its first equals sign. A formula with none is a right side.
fn equation(runs: &[Run]) -> Equation {
    let text = plain(runs);
    let Some(at) = text.find('=') else {
        return Equation { left: Runs::new(), right: runs.to_vec() };
    };
    let (mut left, mut right) = (Runs::new(), Runs::new());
    let mut from = 0;
    for run in runs {
        let to = from + run.text.len();
        if to <= at {
            left.push(run.clone());
        } else if from > at {
            right.push(run.clone());
        } else {
            let (before, after) = run.text.split_at(at - from);
            left.push(Run { text: before.to_owned(), ..run.clone() });
            right.push(Run { text: after[1..].to_owned(), ..run.clone() });
        }
        from = to;
    }
    if let Some(last) = left.last_mut() {
        last.text = last.text.trim_end().to_owned();
    }
    if let Some(first) = right.first_mut() {
        first.text = first.text.trim_start().to_owned();
    }
    left.retain(|run| !run.text.is_empty());
    right.retain(|run| !run.text.is_empty());
    Equation { left, right }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_is_parted_at_its_first_equals_sign() {
        let run = |text: &str| Run { text: text.to_owned(), ..Run::default() };
        let parted = equation(&[run("mass of "), run("salt = 2 "), run("= 3")]);
        assert_eq!(plain(&parted.left), "mass of salt");
        assert_eq!(plain(&parted.right), "2 = 3");
        assert_eq!(plain(&equation(&[run("= 3 kg")]).right), "3 kg");
        assert_eq!(plain(&equation(&[run("3 kg")]).right), "3 kg");
    }
}
