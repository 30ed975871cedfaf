//! How well repeated measurements agree: intraclass correlation (Shrout and Fleiss 1979,
//! Psychological Bulletin 86:420–428; from memory).

/// The analysis of a table of subjects by occasions, each measured once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// Mean square between subjects, in the unit squared.
    pub between_subjects: f64,
    /// Mean square between occasions: a shift of all from one time to another.
    pub between_occasions: f64,
    /// Mean square of what is left; its root is the standard error of measurement.
    pub error: f64,
    /// ICC(3,1): consistency, where a shift of all does not count against agreement.
    pub consistency: f64,
    /// ICC(2,1): absolute agreement, where it does.
    pub absolute: f64,
}

/// Analyses one row a subject and one column an occasion.
///
/// `None` unless there are at least two rows of the same length, at least two columns, only finite
/// numbers, and some difference between them.
#[must_use]
pub fn agreement(rows: &[&[f64]]) -> Option<Agreement> {
    let (subjects, occasions) = (rows.len(), rows.first()?.len());
    let whole = rows.iter().all(|row| row.len() == occasions && row.iter().all(|value| value.is_finite()));
    if subjects < 2 || occasions < 2 || !whole {
        return None;
    }
    from_squares(mean_squares(rows), subjects as f64, occasions as f64)
}

/// The mean squares between subjects, between occasions and of what is left.
fn mean_squares(rows: &[&[f64]]) -> [f64; 3] {
    let (n, k) = (rows.len() as f64, rows[0].len() as f64);
    let columns = 0..rows[0].len();
    let row_means: Vec<f64> = rows.iter().map(|row| row.iter().sum::<f64>() / k).collect();
    let column_means: Vec<f64> =
        columns.clone().map(|column| rows.iter().map(|row| row[column]).sum::<f64>() / n).collect();
    let mean = row_means.iter().sum::<f64>() / n;
    let spread = |means: &[f64]| means.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    let left = |row: usize, column: usize| rows[row][column] - row_means[row] - column_means[column] + mean;
    let squares = |row| columns.clone().map(|column| left(row, column).powi(2)).sum::<f64>();
    let error = (0..rows.len()).map(squares).sum::<f64>() / ((n - 1.0) * (k - 1.0));
    [k * spread(&row_means) / (n - 1.0), n * spread(&column_means) / (k - 1.0), error]
}

/// `n` subjects, `k` occasions; `None` where a correlation would divide by zero.
fn from_squares([between_subjects, between_occasions, error]: [f64; 3], n: f64, k: f64) -> Option<Agreement> {
    let signal = between_subjects - error;
    let all = between_subjects + (k - 1.0) * error;
    let all_absolute = all + k * (between_occasions - error) / n;
    (all > 0.0 && all_absolute > 0.0).then(|| Agreement {
        between_subjects,
        between_occasions,
        error,
        consistency: signal / all,
        absolute: signal / all_absolute,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn two_occasions_agree_with_the_mean_squares_by_numpy() {
        let found =
            agreement(&[&[700.0, 680.0], &[650.0, 660.0], &[820.0, 800.0], &[760.0, 790.0], &[900.0, 870.0]]).unwrap();
        assert!(close(found.between_subjects, 17115.0, 1e-12));
        assert!(close(found.between_occasions, 90.0, 1e-10));
        assert!(close(found.error, 315.0, 1e-11));
        assert!(close(found.consistency, 0.963855421686747, 1e-12));
        assert!(close(found.absolute, 0.9688581314878892, 1e-12));
    }

    #[test]
    fn four_judges_agree_as_shrout_and_fleiss_published() {
        // Their table 2, six targets by four judges; ICC(2,1) = 0.29 and ICC(3,1) = 0.71 (from memory).
        let found = agreement(&[
            &[9.0, 2.0, 5.0, 8.0],
            &[6.0, 1.0, 3.0, 2.0],
            &[8.0, 4.0, 6.0, 8.0],
            &[7.0, 1.0, 2.0, 6.0],
            &[10.0, 5.0, 6.0, 9.0],
            &[6.0, 2.0, 4.0, 7.0],
        ])
        .unwrap();
        assert!((found.absolute - 0.29).abs() < 0.005 && (found.consistency - 0.71).abs() < 0.006, "{found:?}");
    }

    #[test]
    fn what_is_no_table_is_refused() {
        assert_eq!(agreement(&[]), None);
        assert_eq!(agreement(&[&[1.0, 2.0]]), None);
        assert_eq!(agreement(&[&[1.0], &[2.0]]), None);
        assert_eq!(agreement(&[&[1.0, 2.0], &[2.0]]), None);
        assert_eq!(agreement(&[&[1.0, 1.0], &[1.0, 1.0]]), None);
        assert_eq!(agreement(&[&[1.0, f64::NAN], &[2.0, 3.0]]), None);
    }
}
