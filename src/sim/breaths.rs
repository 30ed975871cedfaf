//! Virtual breathers put through calibration and classification: what they meant beside what was understood.

use super::breather::{Breather, Conditions};
use crate::level::{Level, Refusal, Side, Told, Way};
use crate::rng::Stream;
use crate::settings::Settings;
use crate::time::Span;

/// Breaths of each breather, one a waveform.
pub const EACH: u64 = 10;
/// How long a waveform is.
const LENGTH: Span = Span::from_ms(4_000);

/// What was meant (rows) and what was understood (columns): the four ways in the order of [`Way::ALL`], then
/// nothing, then more than one press.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Confusion {
    /// Counts of waveforms.
    pub counts: [[u64; NOTHING + 2]; NOTHING + 1],
    /// Breathers whose calibration was refused, with all their waveforms.
    pub refused: u64,
}

/// Nothing was meant, or understood.
const NOTHING: usize = Way::ALL.len();

impl Confusion {
    /// All waveforms that were classified.
    #[must_use]
    pub fn waveforms(&self) -> u64 {
        self.counts.iter().flatten().sum()
    }

    /// Those that were understood as they were meant.
    #[must_use]
    pub fn right(&self) -> u64 {
        self.counts.iter().enumerate().map(|(meant, row)| row[meant]).sum()
    }
}

/// So many waveforms of virtual breathers who use both sides, soft and hard.
#[must_use]
pub fn classified(waveforms: u64, seed: u64, conditions: Conditions, settings: &Settings) -> Confusion {
    let mut confusion = Confusion::default();
    for who in 0..waveforms.div_ceil(EACH) {
        if one(seed.wrapping_add(who), conditions, settings, &mut confusion).is_err() {
            confusion.refused += 1;
        }
    }
    confusion
}

fn one(seed: u64, conditions: Conditions, settings: &Settings, confusion: &mut Confusion) -> Result<(), Refusal> {
    let mut breather = Breather::new(seed, conditions);
    let calibration = breather.calibrate(&Side::ALL)?;
    let mut level = Level::new(&calibration, &Way::ALL, settings)?;
    let mut meant = Stream::named(seed, "meant breaths");
    for _ in 0..EACH {
        let kind = meant.below(NOTHING as u64 + 1) as usize;
        let begins = breather.now() + Span::from_ms(500 + meant.below(1_500));
        match Way::ALL.get(kind) {
            Some(way) => breather.breathe(begins, *way),
            None => breather.cough(begins),
        }
        confusion.counts[kind][understood(&mut breather, &mut level)] += 1;
    }
    Ok(())
}

/// What one waveform is taken for.
fn understood(breather: &mut Breather, level: &mut Level) -> usize {
    let (until, mut told) = (breather.now() + LENGTH, Vec::new());
    while breather.now() < until {
        let (at, value) = breather.sample();
        if level.matters(at, value) {
            level.level(at, value, &mut told);
        }
    }
    let presses: Vec<Way> = told
        .iter()
        .filter_map(|(_, told)| if let Told::Edge { way, down: true } = told { Some(*way) } else { None })
        .collect();
    match presses[..] {
        [] => NOTHING,
        [way] => Way::ALL.iter().position(|known| *known == way).unwrap_or(NOTHING),
        _ => NOTHING + 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breaths_are_understood_as_they_were_meant() {
        let confusion = classified(500, 1, Conditions::default(), &Settings::default());
        assert_eq!((confusion.waveforms(), confusion.refused), (500, 0));
        assert!(confusion.right() * 1_000 >= 995 * confusion.waveforms(), "{confusion:?}");
    }

    #[test]
    fn noise_as_large_as_the_thresholds_is_refused() {
        let noisy = Conditions { noise: 0.15, ..Conditions::default() };
        assert_eq!(classified(100, 1, noisy, &Settings::default()).refused, 10);
    }
}
