//! Times on the steps of their setting, within its range.

use super::{Id, Kind};

/// The next step at or above `seconds`.
#[must_use]
pub fn up(id: Id, seconds: f64) -> f64 {
    on_step(id, seconds, |steps| libm::ceil(steps - 1e-9))
}

/// The next step at or below `seconds`.
#[must_use]
pub fn down(id: Id, seconds: f64) -> f64 {
    on_step(id, seconds, |steps| libm::floor(steps + 1e-9))
}

/// A setting that is no time has no step: `seconds` comes back as it is.
fn on_step(id: Id, seconds: f64, round: fn(f64) -> f64) -> f64 {
    match id.setting().kind {
        Kind::Time { min, max, step } | Kind::OptionalTime { min, max, step } => {
            let raw = round(seconds * 1e6 / step as f64) * step as f64;
            raw.clamp(min as f64, max as f64) / 1e6
        }
        _ => seconds,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_move_to_the_step_on_the_side_asked_for() {
        assert_eq!((up(Id::Hold, 0.201), down(Id::Hold, 0.249)), (0.25, 0.2));
        assert_eq!((up(Id::Hold, 0.3), down(Id::Hold, 0.3)), (0.3, 0.3));
    }

    #[test]
    fn the_range_of_the_setting_holds() {
        assert_eq!((up(Id::Hold, 9.0), down(Id::Hold, -1.0)), (3.0, 0.0));
        assert_eq!([1.0428, 1.05, 0.01, 99.0].map(|s| up(Id::ScanInterval, s)), [1.05, 1.05, 0.3, 20.0]);
    }
}
