//! Systems of four linear equations.

/// Solves four linear equations in four unknowns, by Gaussian elimination with the largest pivot of each column.
pub(super) fn solved(mut rows: [[f64; 5]; 4]) -> [f64; 4] {
    for i in 0..4 {
        let pivot = (i..4).max_by(|&a, &b| rows[a][i].abs().total_cmp(&rows[b][i].abs())).unwrap_or(i);
        rows.swap(i, pivot);
        let lead = rows[i];
        for row in &mut rows[i + 1..] {
            let factor = row[i] / lead[i];
            for (cell, above) in row.iter_mut().zip(lead) {
                *cell -= factor * above;
            }
        }
    }
    let mut found = [0.0; 4];
    for i in (0..4).rev() {
        let known: f64 = (i + 1..4).map(|j| rows[i][j] * found[j]).sum();
        found[i] = (rows[i][4] - known) / rows[i][i];
    }
    found
}
