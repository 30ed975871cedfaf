//! Axes: from values to places, and where the marks stand.

/// An axis, linear or logarithmic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    /// Least and greatest value; of a logarithmic axis their logarithms.
    values: (f64, f64),
    logarithmic: bool,
    /// Where they stand.
    places: (f64, f64),
}

impl Scale {
    /// An axis over these values; one without length gets some.
    pub(super) fn new(values: (f64, f64), places: (f64, f64)) -> Scale {
        let sound = values.0.is_finite() && values.1.is_finite() && values.1 > values.0;
        Scale { values: if sound { values } else { (0.0, 1.0) }, places, logarithmic: false }
    }

    /// A logarithmic axis over these values, which are positive.
    pub(super) fn logarithmic((low, high): (f64, f64), places: (f64, f64)) -> Scale {
        Scale { logarithmic: true, ..Scale::new((low.log10(), high.log10()), places) }
    }

    /// Where the axis begins and ends.
    pub(super) fn places(&self) -> (f64, f64) {
        self.places
    }

    /// Whether a value lies on the axis.
    pub(super) fn holds(&self, value: f64) -> bool {
        (self.values.0..=self.values.1).contains(&self.measured(value))
    }

    fn measured(&self, value: f64) -> f64 {
        if self.logarithmic { value.max(f64::MIN_POSITIVE).log10() } else { value }
    }

    /// Where a value stands; one beyond the axis stands at its end.
    pub(super) fn place(&self, value: f64) -> f64 {
        let ((low, high), (start, end)) = (self.values, self.places);
        let value = self.measured(value);
        let value = if value.is_finite() { value.clamp(low, high) } else { low };
        start + (value - low) / (high - low) * (end - start)
    }

    /// Round values for the marks, at most `most` apart from the ends, a multiple of one of `steps`
    /// times a power of `base` apart. Of a logarithmic axis 1, 2 and 5 in each power of ten, or the
    /// powers alone.
    pub(super) fn marks(&self, most: f64, steps: &[f64], base: f64) -> Vec<f64> {
        let (low, high) = self.values;
        if self.logarithmic {
            return self.logarithmic_marks(if high - low > most / 3.0 { &[1.0] } else { &[1.0, 2.0, 5.0] });
        }
        let step = round_step((high - low) / most.max(1.0), steps, base);
        let first = (low / step).ceil();
        let count = ((high / step).floor() - first).clamp(0.0, 100.0) as u32;
        (0..=count).map(|nth| (first + f64::from(nth)) * step).collect()
    }

    fn logarithmic_marks(&self, in_decade: &[f64]) -> Vec<f64> {
        let decades = self.values.0.floor() as i32..=self.values.1.ceil() as i32;
        let all = decades.flat_map(|decade| in_decade.iter().map(move |one| one * 10f64.powi(decade)));
        all.filter(|value| self.holds(*value)).collect()
    }
}

/// The least of `steps`, times a power of `base`, that is not below `least`.
fn round_step(least: f64, steps: &[f64], base: f64) -> f64 {
    let mut unit = base.powf((least.max(1e-9).ln() / base.ln()).floor());
    loop {
        if let Some(step) = steps.iter().map(|step| step * unit).find(|step| *step >= least * (1.0 - 1e-9)) {
            return step;
        }
        unit *= base;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_stand_in_proportion_and_never_beyond_the_ends() {
        let scale = Scale::new((0.0, 2.0), (10.0, 110.0));
        assert_eq!(
            [-1.0, 0.0, 1.0, 2.0, 9.0, f64::NAN].map(|value| scale.place(value)),
            [10.0, 10.0, 60.0, 110.0, 110.0, 10.0]
        );
        assert_eq!(Scale::new((3.0, 3.0), (0.0, 1.0)).place(0.5), 0.5);
    }

    #[test]
    fn marks_are_round_and_few() {
        let marks = |high: f64| Scale::new((0.0, high), (0.0, 1.0)).marks(6.0, &[1.0, 2.0, 5.0], 10.0);
        assert_eq!(marks(1.0), [0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0]);
        assert_eq!(marks(6.0), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
        let minutes = Scale::new((0.0, 480.0), (0.0, 1.0)).marks(8.0, &[1.0, 2.0, 5.0, 10.0, 15.0, 30.0], 60.0);
        assert_eq!(minutes, [0.0, 60.0, 120.0, 180.0, 240.0, 300.0, 360.0, 420.0, 480.0]);
    }

    #[test]
    fn equal_factors_are_equally_long_on_a_logarithmic_axis() {
        let scale = Scale::logarithmic((0.01, 1.0), (0.0, 100.0));
        assert!((scale.place(0.1) - 50.0).abs() < 1e-9 && scale.place(0.0) == 0.0 && scale.place(7.0) == 100.0);
        assert!(scale.holds(0.02) && !scale.holds(2.0) && !scale.holds(0.0));
        let marks = |high: f64| Scale::logarithmic((0.03, high), (0.0, 1.0)).marks(9.0, &[1.0], 10.0).len();
        assert_eq!((marks(1.5), marks(200.0)), (5, 4));
    }
}
