//! Sums of squares in a few unknowns.

/// A symmetric matrix, as rows.
pub(super) type Square<const N: usize> = [[f64; N]; N];

/// The matrix with these on its diagonal.
pub(super) fn diagonal<const N: usize>(values: [f64; N]) -> Square<N> {
    let mut square = [[0.0; N]; N];
    for (i, value) in values.into_iter().enumerate() {
        square[i][i] = value;
    }
    square
}

/// Each entry of one with a multiple of another's added.
pub(super) fn plus<const N: usize>(a: &Square<N>, times: f64, b: &Square<N>) -> Square<N> {
    let mut sum = *a;
    for (row, other) in sum.iter_mut().zip(b) {
        for (entry, added) in row.iter_mut().zip(other) {
            *entry += times * added;
        }
    }
    sum
}

/// A matrix times a column.
pub(super) fn times<const N: usize>(square: &Square<N>, column: &[f64; N]) -> [f64; N] {
    square.map(|row| row.iter().zip(column).map(|(a, b)| a * b).sum())
}

/// The inverse of a symmetric, positive definite matrix; `None` where it is neither.
///
/// Gauss-Jordan elimination: all pivots of such a matrix are positive, and it has at most four
/// rows.
pub(super) fn inverse<const N: usize>(square: &Square<N>) -> Option<Square<N>> {
    let mut left = *square;
    let mut right = diagonal([1.0; N]);
    for pivot in 0..N {
        let size = left[pivot][pivot];
        if !size.is_finite() || size <= 0.0 {
            return None;
        }
        for column in 0..N {
            left[pivot][column] /= size;
            right[pivot][column] /= size;
        }
        let (pivot_left, pivot_right) = (left[pivot], right[pivot]);
        for row in (0..N).filter(|row| *row != pivot) {
            let factor = left[row][pivot];
            for column in 0..N {
                left[row][column] -= factor * pivot_left[column];
                right[row][column] -= factor * pivot_right[column];
            }
        }
    }
    Some(right)
}

/// The middle of some values; `None` of none.
pub(super) fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let mut sorted: Vec<f64> = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = share * sorted.len().checked_sub(1)? as f64;
    let (low, high) = (place.floor() as usize, place.ceil() as usize);
    Some(sorted[low] + (sorted[high] - sorted[low]) * (place - low as f64))
}

#[cfg(test)]
mod tests;
