//! A plain dense solve: LU with partial pivoting by scaled rows.
//!
//! Takes a square matrix, row by row, and a right side; solves in place. What
//! anybody would write who knew nothing of the process. Never allocates.

/// Solves in place: the solution stands in `right`. `scales` is room for as many
/// numbers as there are rows.
pub(crate) fn solve(matrix: &mut [f64], right: &mut [f64], scales: &mut [f64]) {
    let count = right.len();
    for (row, scale) in matrix.chunks_exact(count).zip(scales.iter_mut()) {
        *scale = 1.0 / row.iter().fold(0.0f64, |most, v| most.max(v.abs()));
    }
    for k in 0..count {
        let size = |row: usize| matrix[row * count + k].abs() * scales[row];
        let mut best = k;
        for row in k + 1..count {
            if size(row) > size(best) {
                best = row;
            }
        }
        if best != k {
            let (head, tail) = matrix.split_at_mut(best * count);
            head[k * count..(k + 1) * count].swap_with_slice(&mut tail[..count]);
            right.swap(k, best);
            scales.swap(k, best);
        }
        let (above, below) = matrix.split_at_mut((k + 1) * count);
        let own = &above[k * count..];
        let own_right = right[k];
        for (row, right) in below.chunks_exact_mut(count).zip(&mut right[k + 1..]) {
            let factor = row[k] / own[k];
            for (v, p) in row[k + 1..].iter_mut().zip(&own[k + 1..]) {
                *v -= factor * p;
            }
            *right -= factor * own_right;
        }
    }
    for k in (0..count).rev() {
        let row = &matrix[k * count..(k + 1) * count];
        let known: f64 = row[k + 1..].iter().zip(&right[k + 1..]).map(|(a, x)| a * x).sum();
        right[k] = (right[k] - known) / row[k];
    }
}
