//! Gauss-Jordan elimination with full pivoting: what a set of linear rows
//! determines. Whether they contradict each other shows in the residuals of the
//! solution, which is for the caller to look at.

/// Entries below this share of the largest are taken for zero.
const TINY: f64 = 1e-10;

/// Rows in reduced form.
#[derive(Debug, Clone)]
pub(super) struct Reduced {
    columns: usize,
    /// Pivot column of each kept row.
    pivots: Vec<usize>,
    /// Kept rows, each `columns` entries and its right side.
    rows: Vec<f64>,
}

/// Reduces `matrix` (rows of `columns` entries followed by a right side).
pub(super) fn reduce(mut matrix: Vec<f64>, columns: usize) -> Reduced {
    let width = columns + 1;
    let count = matrix.len() / width;
    // Each row scaled by its largest entry, so that a pivot's size means something.
    for row in matrix.chunks_exact_mut(width) {
        let most = largest_size(&row[..columns]);
        if most > 0.0 {
            row.iter_mut().for_each(|v| *v /= most);
        }
    }
    let mut pivots = Vec::new();
    // The largest entry of each row not yet kept, and its column. Rows are mostly
    // zeros, so a pivot leaves most of them, and what is known of them, alone.
    let mut largest: Vec<(f64, usize)> =
        matrix.chunks_exact(width).map(|row| largest_of(&row[..columns])).collect();
    let mut entries: Vec<(usize, f64)> = Vec::with_capacity(width);
    for rank in 0..count.min(columns) {
        let mut best = (0.0, rank, 0);
        for (row, (size, column)) in largest.iter().enumerate().skip(rank) {
            if *size > best.0 {
                best = (*size, row, *column);
            }
        }
        let (size, row, column) = best;
        if size < TINY {
            break;
        }
        swap_rows(&mut matrix, width, rank, row);
        largest.swap(rank, row);
        pivots.push(column);
        let (above, rest) = matrix.split_at_mut(rank * width);
        let (own, below) = rest.split_at_mut(width);
        let pivot = own[column];
        entries.clear();
        for (place, value) in own.iter_mut().enumerate().filter(|(_, value)| **value != 0.0) {
            *value /= pivot;
            entries.push((place, *value));
        }
        for other in above.chunks_exact_mut(width) {
            take_off(other, &entries, column);
        }
        for (other, largest) in below.chunks_exact_mut(width).zip(&mut largest[rank + 1..]) {
            if take_off(other, &entries, column) {
                *largest = still_largest(&other[..columns], *largest, &entries);
            }
        }
    }
    let rank = pivots.len();
    matrix.truncate(rank * width);
    Reduced { columns, pivots, rows: matrix }
}

/// The size and column of a row's largest entry; the first of equals. Columns that
/// have a pivot are nothing in a row not yet kept.
fn largest_of(row: &[f64]) -> (f64, usize) {
    let size = largest_size(row);
    let column = row.iter().position(|value| value.abs() == size);
    (size, column.unwrap_or(0))
}

/// Entries looked at side by side, since none waits for another.
const LANES: usize = 8;

/// The size of the largest entry; what is no number counts for nothing.
pub(super) fn largest_size(values: &[f64]) -> f64 {
    let larger = |most: f64, value: &f64| if value.abs() > most { value.abs() } else { most };
    let mut lanes = [0.0; LANES];
    let chunks = values.chunks_exact(LANES);
    let rest = chunks.remainder();
    for chunk in chunks {
        for (most, value) in lanes.iter_mut().zip(chunk) {
            *most = larger(*most, value);
        }
    }
    rest.iter().chain(&lanes).fold(0.0, larger)
}

/// The same where only the columns of `entries` have changed.
fn still_largest(row: &[f64], before: (f64, usize), entries: &[(usize, f64)]) -> (f64, usize) {
    let mut best = before;
    if row[best.1].abs() != best.0 {
        return largest_of(row);
    }
    for (column, _) in entries.iter().take_while(|(column, _)| *column < row.len()) {
        let size = row[*column].abs();
        if size > best.0 || size == best.0 && *column < best.1 {
            best = (size, *column);
        }
    }
    best
}

/// Clears a row's entry in the pivot column by what the pivot row holds; false if
/// there was none.
fn take_off(row: &mut [f64], entries: &[(usize, f64)], column: usize) -> bool {
    let factor = row[column];
    if factor == 0.0 {
        return false;
    }
    for (place, value) in entries {
        row[*place] -= factor * value;
    }
    row[column] = 0.0;
    true
}

fn swap_rows(matrix: &mut [f64], width: usize, a: usize, b: usize) {
    if a != b {
        let (low, high) = (a.min(b), a.max(b));
        let (head, tail) = matrix.split_at_mut(high * width);
        head[low * width..(low + 1) * width].swap_with_slice(&mut tail[..width]);
    }
}

impl Reduced {
    /// The smallest solution: what nothing determines moves only as far as it helps.
    pub(super) fn solution(&self) -> Vec<f64> {
        let width = self.columns + 1;
        let free: Vec<usize> = (0..self.columns).filter(|c| !self.pivots.contains(c)).collect();
        // With pivots p = b - F f the sum of squares is least where (I + F'F) f = F'b.
        let count = free.len();
        let mut matrix = vec![0.0; count * (count + 1)];
        for (i, row) in matrix.chunks_exact_mut(count + 1).enumerate() {
            row[i] = 1.0;
        }
        for row in self.rows.chunks_exact(width) {
            for (i, a) in free.iter().enumerate().filter(|(_, a)| row[**a] != 0.0) {
                let normal = &mut matrix[i * (count + 1)..(i + 1) * (count + 1)];
                for (j, b) in free.iter().enumerate() {
                    normal[j] += row[*a] * row[*b];
                }
                normal[count] += row[*a] * row[self.columns];
            }
        }
        let mut solution = vec![0.0; self.columns];
        if count > 0 {
            let least = reduce(matrix, count);
            for (row, pivot) in least.rows.chunks_exact(count + 1).zip(&least.pivots) {
                solution[free[*pivot]] = row[count];
            }
        }
        for (row, pivot) in self.rows.chunks_exact(width).zip(&self.pivots) {
            let moved: f64 = free.iter().map(|c| row[*c] * solution[*c]).sum();
            solution[*pivot] = row[self.columns] - moved;
        }
        solution
    }

    /// True if the rows settle the value of the linear form `form`.
    pub(super) fn settles(&self, form: &[f64]) -> bool {
        is_nothing(&self.remainder(form), form)
    }

    /// True if the rows and one more, `extra`, settle `form`.
    pub(super) fn settles_with(&self, extra: &[f64], form: &[f64]) -> bool {
        let mut left = self.remainder(form);
        let more = self.remainder(extra);
        let square: f64 = more.iter().map(|m| m * m).sum();
        if square > 0.0 {
            let factor = left.iter().zip(&more).map(|(l, m)| l * m).sum::<f64>() / square;
            left.iter_mut().zip(&more).for_each(|(l, m)| *l -= factor * m);
        }
        is_nothing(&left, form)
    }

    /// What of `form` the rows leave open.
    fn remainder(&self, form: &[f64]) -> Vec<f64> {
        let mut left = form.to_vec();
        for (row, pivot) in self.rows.chunks_exact(self.columns + 1).zip(&self.pivots) {
            let factor = left[*pivot];
            if factor != 0.0 {
                for (l, r) in left.iter_mut().zip(row) {
                    *l -= factor * r;
                }
            }
        }
        left
    }
}

fn is_nothing(left: &[f64], form: &[f64]) -> bool {
    let size = form.iter().fold(0.0f64, |m, v| m.max(v.abs())).max(f64::MIN_POSITIVE);
    left.iter().all(|l| l.abs() <= 1e-7 * size)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn determines_what_can_be_determined() {
        // a + b = 3, c + d = 1, a - b = 1
        let rows = vec![
            1.0, 1.0, 0.0, 0.0, 3.0, //
            0.0, 0.0, 1.0, 1.0, 1.0, //
            1.0, -1.0, 0.0, 0.0, 1.0,
        ];
        let reduced = reduce(rows, 4);
        assert!((reduced.solution()[0] - 2.0).abs() < 1e-12);
        assert!(reduced.settles(&[1.0, 0.0, 0.0, 0.0]));
        assert!(!reduced.settles(&[0.0, 0.0, 1.0, 0.0]));
        assert!(reduced.settles(&[0.0, 0.0, 2.0, 2.0]));
    }
}
