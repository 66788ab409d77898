//! Symmetric positive matrices taken apart: `S = L Lᵀ`.

/// The lower triangle, row by row, each as long as its number and one.
#[derive(Clone, Debug)]
pub(super) struct Cholesky(Vec<Vec<f64>>);

impl Cholesky {
    /// Takes a matrix apart, of which the lower triangle is read. A diagonal that rounding has
    /// made nothing is taken for next to nothing.
    pub(super) fn of(matrix: &[Vec<f64>]) -> Cholesky {
        const LEAST: f64 = 1e-14;
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
        for (i, line) in matrix.iter().enumerate() {
            let mut row = Vec::with_capacity(i + 1);
            for j in 0..=i {
                let above: &[f64] = if j == i { &row } else { &rows[j] };
                let dot: f64 = row.iter().zip(above).take(j).map(|(a, b)| a * b).sum();
                let left = line[j] - dot;
                row.push(if j == i {
                    left.max(LEAST).sqrt()
                } else {
                    left / rows[j][j]
                });
            }
            rows.push(row);
        }
        Cholesky(rows)
    }

    /// The logarithm of the determinant of `S`.
    pub(super) fn log_determinant(&self) -> f64 {
        let diagonal = self.0.iter().filter_map(|row| row.last());
        2.0 * diagonal.map(|l| l.ln()).sum::<f64>()
    }

    /// `S⁻¹ b`, in place of `b`; also `bᵀ S⁻¹ b`.
    pub(super) fn solve(&self, b: &mut [f64]) -> f64 {
        let rows = &self.0;
        for i in 0..b.len() {
            let dot: f64 = rows[i].iter().zip(&b[..i]).map(|(l, x)| l * x).sum();
            b[i] = (b[i] - dot) / rows[i][i];
        }
        let square = b.iter().map(|x| x * x).sum();
        for i in (0..b.len()).rev() {
            let dot: f64 = (i + 1..b.len()).map(|k| rows[k][i] * b[k]).sum();
            b[i] = (b[i] - dot) / rows[i][i];
        }
        square
    }
}
