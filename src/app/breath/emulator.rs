//! A breath made with keys, to teach and to try the way of a breath without its hardware.
//!
//! A key that is held draws the pressure towards its goal as a first-order lag does, and lets it
//! fall back as slowly. Everything that comes of it is marked as made up.

use std::time::{Duration, Instant};

use winit::keyboard::{KeyCode, PhysicalKey};

use crate::app::binding::Binding;
use crate::level::Range;

/// What its values can be, in pascals.
pub const RANGE: Range = Range { least: -10_000, greatest: 10_000 };
/// Time constant of the pressure (common practice, no source).
const LAG: f64 = 0.12;
/// From sample to sample while it moves.
const STEP: Duration = Duration::from_millis(10);
/// Nearer than this to its goal it stands, in pascals.
const STANDS: f64 = 1.0;

/// Each key with the pressure that it draws to, in pascals; a soft effort is under half of a comfortable one.
const KEYS: [(KeyCode, f64); 4] = [
    (KeyCode::ArrowUp, 4_000.0),
    (KeyCode::ArrowRight, 1_700.0),
    (KeyCode::ArrowDown, -5_000.0),
    (KeyCode::ArrowLeft, -2_100.0),
];

/// What its keys do, for the clinician.
pub const HOW: &str = "Emulated: hold an arrow key. Right: soft puff, up: hard puff, left: soft sip, down: hard sip.";

/// The pressure, and the keys that are held.
#[derive(Clone, Debug, Default)]
pub struct Emulator {
    held: Vec<KeyCode>,
    pressure: f64,
    /// When it was last worked out; `None` while it stands.
    since: Option<Instant>,
}

impl Emulator {
    /// A key went down or up; says whether it is one of the emulator's.
    pub fn key(&mut self, at: Instant, binding: Binding, down: bool) -> bool {
        let Binding::Key(PhysicalKey::Code(code)) = binding else { return false };
        if !KEYS.iter().any(|(key, _)| *key == code) {
            return false;
        }
        self.held.retain(|held| *held != code);
        if down {
            self.held.push(code);
        }
        self.since.get_or_insert(at);
        true
    }

    /// The keyboard is gone: nothing is held.
    pub fn let_go(&mut self, at: Instant) {
        self.held.clear();
        self.since.get_or_insert(at);
    }

    /// The samples up to `now`.
    pub fn samples(&mut self, now: Instant) -> Vec<(Instant, i32)> {
        let mut samples = Vec::new();
        while let Some(next) = self.deadline().filter(|next| *next <= now) {
            let goal = self.goal();
            self.pressure += (goal - self.pressure) * (1.0 - libm::exp(-STEP.as_secs_f64() / LAG));
            let stands = (goal - self.pressure).abs() < STANDS;
            self.since = (!stands).then_some(next);
            self.pressure = if stands { goal } else { self.pressure };
            samples.push((next, self.pressure as i32));
        }
        samples
    }

    /// When the next sample comes; `None` while the pressure stands.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        self.since.map(|since| since + STEP)
    }

    /// The key that was pressed last draws.
    fn goal(&self) -> f64 {
        let held = self.held.last();
        held.and_then(|held| KEYS.iter().find(|(key, _)| key == held)).map_or(0.0, |(_, goal)| *goal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_that_is_held_draws_the_pressure_and_lets_it_fall_back() {
        let (mut emulator, start) = (Emulator::default(), Instant::now());
        assert!(!emulator.key(start, "Space".parse().unwrap(), true));
        assert!(emulator.key(start, "ArrowUp".parse().unwrap(), true));
        let rise = emulator.samples(start + Duration::from_millis(120));
        // After one time constant a first-order lag has come 1 − 1/e of the way.
        assert_eq!(rise.len(), 12);
        assert!((f64::from(rise[11].1) - 4_000.0 * (1.0 - libm::exp(-1.0))).abs() < 2.0, "{rise:?}");
        assert_eq!(emulator.samples(start + Duration::from_secs(5)).last().unwrap().1, 4_000);
        assert_eq!(emulator.deadline(), None, "it stands");
        emulator.key(start + Duration::from_secs(6), "ArrowUp".parse().unwrap(), false);
        assert_eq!(emulator.samples(start + Duration::from_secs(9)).last().unwrap().1, 0);
    }

    #[test]
    fn the_last_key_draws_and_without_a_keyboard_none_does() {
        let (mut emulator, start) = (Emulator::default(), Instant::now());
        emulator.key(start, "ArrowUp".parse().unwrap(), true);
        emulator.key(start, "ArrowLeft".parse().unwrap(), true);
        assert_eq!(emulator.samples(start + Duration::from_secs(3)).last().unwrap().1, -2_100);
        emulator.let_go(start + Duration::from_secs(4));
        assert_eq!(emulator.samples(start + Duration::from_secs(8)).last().unwrap().1, 0);
    }
}
