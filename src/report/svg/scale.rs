//! A linear axis: where a value lies, and where its ticks stand.

use super::shape::{line, text};
use super::{LEFT, RIGHT};
use crate::analysis::words::decimals;
use crate::report::markup::Html;

/// An axis from one value to another, over the width of the plotting area.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    low: f64,
    high: f64,
}

impl Scale {
    /// An axis that holds both values; never of no length.
    pub fn new(low: f64, high: f64) -> Scale {
        let finite = |value: f64| if value.is_finite() { value } else { 0.0 };
        let (low, high) = (finite(low), finite(high));
        Scale { low, high: if high > low { high } else { low + 1.0 } }
    }

    /// Where `value` lies; values outside lie at the nearer end.
    pub fn at(self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        LEFT + (RIGHT - LEFT) * share
    }

    /// Distance of the ticks: 1, 2 or 5 times a power of ten, four to nine of them.
    fn step(self) -> f64 {
        let rough = (self.high - self.low) / 8.0;
        let power = libm::pow(10.0, libm::floor(libm::log10(rough)));
        let factor = [1.0, 2.0, 5.0].into_iter().find(|factor| factor * power >= rough).unwrap_or(10.0);
        factor * power
    }

    fn ticks(self) -> impl Iterator<Item = f64> {
        let step = self.step();
        let (first, last) = (libm::ceil(self.low / step - 1e-9), libm::floor(self.high / step + 1e-9));
        (0..=(last - first).max(0.0) as u32).map(move |index| (first + f64::from(index)) * step)
    }

    /// The axis with its ticks, faint lines up to `top`, and its unit below.
    pub fn axis(self, top: f64, bottom: f64, unit: &str) -> Html {
        let digits = libm::ceil(-libm::log10(self.step()) - 1e-9).max(0.0) as usize;
        let ticks = self.ticks().flat_map(|tick| {
            let x = self.at(tick);
            [line("#dde3e7", 1.0, (x, top), (x, bottom)), text("middle", (x, bottom + 17.0), &decimals(tick, digits))]
        });
        let unit = text("end", (RIGHT, bottom + 34.0), unit);
        ticks.chain([unit]).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_few() {
        for (low, high) in [(0.0, 1.37), (-0.4, 3.0), (0.0, 440.0), (0.0, 1e-3), (5.0, 5.0)] {
            let ticks: Vec<f64> = Scale::new(low, high).ticks().collect();
            assert!((3..=10).contains(&ticks.len()), "{low} to {high}: {ticks:?}");
        }
    }

    #[test]
    fn nonsense_stays_on_the_paper() {
        let scale = Scale::new(f64::NAN, f64::INFINITY);
        assert_eq!((scale.at(-9.0), scale.at(1e300)), (LEFT, RIGHT));
    }
}
