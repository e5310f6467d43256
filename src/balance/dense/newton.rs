//! Solving the rows: at once where they are linear, else by rounds from several
//! starts, since such rows have false solutions in which streams are empty.

use super::super::problem::ExtraId;
use super::{Answer, Dense, Origin, USUAL_DENSITY, USUAL_PRESSURE, USUAL_TEMPERATURE, Unknown};

/// Rounds that look for a solution without negative masses.
const CAREFUL_ROUNDS: usize = 250;
const MOST_ROUNDS: usize = 80;
const POLISHING_ROUNDS: usize = 8;
/// Small enough a residual, relative to the terms of its row.
const POLISHED: f64 = 1e-13;
/// Keeps the normal equations solvable where rows repeat each other.
const LEAST_DAMPING: f64 = 1e-14;
/// Starts that are tried before rows that are not linear count as contradictory.
const STARTS: usize = 4;

impl Dense<'_> {
    /// Solves all rows but those of `without`, from `start` (a value for each column,
    /// NaN where none is known) where the rows are not linear.
    pub(in crate::balance) fn solve(
        &self,
        start: Option<&[f64]>,
        without: Option<Origin>,
    ) -> Answer {
        if start.is_some() && !self.is_linear() {
            let near = self.polished(self.first_guess(start, 0), without);
            if near.misfit < POLISHED && !self.is_empty_somewhere(&near) {
                return near;
            }
        }
        let starts = if self.is_linear() || without.is_some() { 1 } else { STARTS };
        let mut answer = self.solve_from(self.first_guess(start, 0), without);
        for number in 1..starts {
            let is_false = answer.misfit > 1e-10 || self.is_empty_somewhere(&answer);
            if !is_false {
                break;
            }
            answer = self.solve_from(self.first_guess(start, number), without);
        }
        answer
    }

    /// A few plain Newton rounds, for a start that is already near a solution.
    fn polished(&self, mut x: Vec<f64>, without: Option<Origin>) -> Answer {
        let mut answer = self.step(&x, without);
        for _ in 0..POLISHING_ROUNDS {
            if answer.misfit < POLISHED || !answer.misfit.is_finite() {
                break;
            }
            let step = answer.reduced().solution();
            for ((value, step), size) in x.iter_mut().zip(step).zip(&answer.sizes) {
                *value += step * size;
            }
            answer = self.step(&x, without);
        }
        answer
    }

    /// The solution nearest `x`.
    fn solve_from(&self, mut x: Vec<f64>, without: Option<Origin>) -> Answer {
        if self.is_linear() {
            let mut answer = self.step(&x, without);
            // The second round takes away what rounding left, if it left anything.
            for _ in 0..2 {
                if answer.misfit < POLISHED {
                    break;
                }
                let step = answer.reduced().solution();
                for ((value, step), size) in x.iter_mut().zip(step).zip(&answer.sizes) {
                    *value += step * size;
                }
                answer = self.step(&x, without);
            }
            return answer;
        }
        self.approach(&mut x, without);
        let mut damping: f64 = 1e-6;
        let mut best = f64::INFINITY;
        let mut idle = 0;
        for _ in 0..MOST_ROUNDS {
            let sizes = self.sizes(&x);
            let rows = self.sized_rows(&x, &sizes, without);
            let off = sum_of_squares(&rows);
            let worst = rows.iter().map(|(_, residual)| residual.abs()).fold(0.0, f64::max);
            idle = if worst < 0.7 * best { 0 } else { idle + 1 };
            best = best.min(worst);
            if !off.is_finite() || worst < 1e-15 || idle > 2 && worst < 1e-12 || idle > 15 {
                break;
            }
            let Some(step) = least_step(&rows, x.len(), damping.max(LEAST_DAMPING)) else { break };
            let moved: Vec<f64> =
                x.iter().zip(&step).zip(&sizes).map(|((v, s), size)| v + s * size).collect();
            let after = sum_of_squares(&self.sized_rows(&moved, &sizes, without));
            if after <= off * 1.0001 || worst < 1e-10 {
                damping = (damping * 0.1).min(off).max(LEAST_DAMPING);
                x = moved;
            } else {
                damping *= 10.0;
            }
        }
        self.step(&x, without)
    }

    /// Comes near a solution in which all masses are positive, each round changing
    /// every mass by a factor. Judged by shares and proportions alone, emptying the
    /// streams gains nothing, so the search does not drift to a false solution.
    fn approach(&self, x: &mut Vec<f64>, without: Option<Origin>) {
        let least = f64::MIN_POSITIVE.max(1e-12 * self.scale);
        x.iter_mut().for_each(|v| *v = v.abs().max(1e-6 * self.scale));
        let sizes_of = |x: &[f64]| x.iter().map(|v| v.abs().max(least)).collect::<Vec<f64>>();
        let mut rows = self.sized_rows(x, &sizes_of(x), without);
        let mut off = sum_of_squares(&rows);
        let mut damping: f64 = 1e-2;
        for _ in 0..CAREFUL_ROUNDS {
            if !off.is_finite() || off < 1e-16 || damping > 1e6 {
                return;
            }
            let Some(step) = least_step(&rows, x.len(), damping) else { return };
            let moved: Vec<f64> =
                x.iter().zip(&step).map(|(v, s)| v * s.clamp(-1.5, 1.5).exp()).collect();
            let after = self.sized_rows(&moved, &sizes_of(&moved), without);
            let off_after = sum_of_squares(&after);
            if off_after < off {
                damping = (damping * 0.2).max(LEAST_DAMPING);
                (*x, rows, off) = (moved, after, off_after);
            } else {
                damping *= 6.0;
            }
        }
    }

    /// Rows at `x` in terms of unknowns over their sizes, each over its largest
    /// term: what is not zero of the gradient, and the residual.
    fn sized_rows(
        &self,
        x: &[f64],
        sizes: &[f64],
        without: Option<Origin>,
    ) -> Vec<(Vec<(usize, f64)>, f64)> {
        let mut rows = Vec::new();
        let mut gradient = vec![0.0; x.len()];
        for (row, _) in self.rows().filter(|(_, origin)| without != Some(*origin)) {
            gradient.fill(0.0);
            let residual = self.linearised(row, x, &mut gradient);
            let mut entries: Vec<(usize, f64)> = gradient
                .iter()
                .zip(sizes)
                .enumerate()
                .filter(|(_, (g, _))| **g != 0.0)
                .map(|(column, (g, size))| (column, g * size))
                .collect();
            let most = entries.iter().fold(0.0f64, |m, (_, v)| m.max(v.abs()));
            if most == 0.0 && residual == 0.0 {
                continue;
            }
            let most = most.max(f64::MIN_POSITIVE);
            entries.iter_mut().for_each(|(_, v)| *v /= most);
            rows.push((entries, residual / most));
        }
        rows
    }

    /// Positive masses of no particular pattern, alike in the places that share a
    /// composition; off `start` by a few per cent each, so that agreement with the
    /// plan is found and not handed over.
    fn first_guess(&self, start: Option<&[f64]>, number: usize) -> Vec<f64> {
        let mut x = vec![0.0; self.frame.index.len()];
        for (column, unknown) in self.frame.unknowns.iter().enumerate() {
            let usual = match unknown {
                Unknown::Mass(at, c) => {
                    let chief = self.sheet.composition(*at);
                    let uneven = |seed: usize| 0.3 + 0.1 * ((seed * 7 + number * 5) % 11) as f64;
                    let share = uneven(chief.stream * 3 + c * 5 + 1);
                    self.scale * share * uneven(at.stream + 2)
                }
                Unknown::Volume(_) => self.scale / USUAL_DENSITY,
                Unknown::Density(_) => USUAL_DENSITY,
                Unknown::Extra(extra) => self.usual_extra(*extra),
            };
            let known = start.map(|start| start[column]);
            let known = known.filter(|v| v.is_finite() && number.is_multiple_of(2));
            let wobble = 1.0 + 0.01 * (1 + column % 5) as f64;
            x[column] = known.map_or(usual, |v| v * wobble);
        }
        x
    }

    /// The size of an extra, told by its unit: a temperature, a pressure or a number.
    fn usual_extra(&self, extra: ExtraId) -> f64 {
        let dimension = self.problem.extras[extra].unit.dimension();
        if dimension.temperature != 0 {
            USUAL_TEMPERATURE
        } else if dimension.is_none() {
            1.0
        } else {
            USUAL_PRESSURE
        }
    }

    /// How large an unknown is, for judging changes by; never nothing.
    pub(super) fn sizes(&self, x: &[f64]) -> Vec<f64> {
        let mut sizes = vec![0.0; x.len()];
        for (column, unknown) in self.frame.unknowns.iter().enumerate() {
            let usual = match unknown {
                Unknown::Mass(..) => self.scale,
                Unknown::Volume(_) => self.scale / USUAL_DENSITY,
                Unknown::Density(_) => USUAL_DENSITY,
                Unknown::Extra(extra) => self.usual_extra(*extra),
            };
            sizes[column] = x[column].abs().max(1e-3 * usual);
        }
        sizes
    }
}

fn sum_of_squares(rows: &[(Vec<(usize, f64)>, f64)]) -> f64 {
    rows.iter().map(|(_, residual)| residual * residual).sum()
}

/// The damped least-squares step: it copes with rows that repeat each other (a
/// split whose parts and balance both say one composition) and moves what nothing
/// settles no farther than it must.
fn least_step(rows: &[(Vec<(usize, f64)>, f64)], columns: usize, damping: f64) -> Option<Vec<f64>> {
    let mut normal = vec![0.0; columns * columns];
    let mut right = vec![0.0; columns];
    for (entries, residual) in rows {
        for (i, a) in entries {
            right[*i] -= a * residual;
            for (j, b) in entries {
                normal[i * columns + j] += a * b;
            }
        }
    }
    for i in 0..columns {
        normal[i * columns + i] += damping;
    }
    cholesky(&mut normal, &mut right, columns).then_some(right)
}

/// Solves a symmetric positive system in place; false if it is not positive.
fn cholesky(matrix: &mut [f64], right: &mut [f64], count: usize) -> bool {
    for i in 0..count {
        let (above, own) = matrix.split_at_mut(i * count);
        let own = &mut own[..count];
        for j in 0..i {
            let other = &above[j * count..j * count + j + 1];
            let sum: f64 = other[..j].iter().zip(&own[..j]).map(|(a, b)| a * b).sum();
            own[j] = (own[j] - sum) / other[j];
        }
        let rest = own[i] - own[..i].iter().map(|v| v * v).sum::<f64>();
        if rest.is_nan() {
            return false;
        }
        own[i] = rest.max(1e-2 * LEAST_DAMPING).sqrt();
        let sum: f64 = own[..i].iter().zip(&right[..i]).map(|(a, b)| a * b).sum();
        right[i] = (right[i] - sum) / own[i];
    }
    for i in (0..count).rev() {
        let sum: f64 = (i + 1..count).map(|k| matrix[k * count + i] * right[k]).sum();
        right[i] = (right[i] - sum) / matrix[i * count + i];
    }
    true
}
