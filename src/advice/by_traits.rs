//! The presses of a virtual client, for the expected time: what the traits say, without sampling.
//!
//! It is the client fresh from a rest: neither fatigue nor practice nor trains of tremor are reckoned
//! with. A client who times its presses is taken to do so for first entries too. The simulation knows
//! all of these; where the two part, it is right.

use super::expected_time::Presses;
use crate::settings::{ActOn, LockoutFrom, Settings};
use crate::sim::traits::{Aim, Traits};
use crate::stats::normal;

/// A virtual client under settings.
#[derive(Clone, Copy, Debug)]
pub struct ByTraits<'a> {
    traits: &'a Traits,
    /// The scan interval, in seconds.
    interval: f64,
    /// From the press until it counts, in seconds.
    delay: f64,
    /// Share of presses that are held long enough to count.
    held: f64,
    /// Share of presses that come and are not given up.
    made: f64,
    lockout: f64,
    /// From the press that counts to the end of the lockout.
    deaf: f64,
}

impl<'a> ByTraits<'a> {
    /// The client with these traits under automatic scanning with these settings.
    #[must_use]
    pub fn new(traits: &'a Traits, settings: &Settings) -> ByTraits<'a> {
        let hold = settings.hold().as_seconds();
        let released = if settings.act_on() == ActOn::Release { traits.held_s } else { 0.0 };
        let mut client = ByTraits {
            traits,
            interval: settings.scan_interval().as_seconds(),
            delay: hold.max(released),
            held: traits.lasts(hold),
            made: 1.0,
            lockout: settings.lockout().as_seconds(),
            deaf: deaf(traits, settings),
        };
        client.made = 1.0 - traits.gives_up_late * (1.0 - client.law(client.interval));
        client
    }

    /// Chance that a press which is meant comes within `seconds`, given up or not.
    fn law(&self, seconds: f64) -> f64 {
        let seconds = seconds - self.delay;
        match &self.traits.aim {
            None => self.traits.latency.within(seconds),
            Some(aim) => {
                let (mean, sd) = self.timed(aim);
                if sd > 0.0 { normal::cumulative((seconds - mean) / sd) } else { f64::from(u8::from(seconds >= mean)) }
            }
        }
    }

    /// Mean and standard deviation of a press that is planned while the entry before is lit.
    fn timed(&self, aim: &Aim) -> (f64, f64) {
        let mean = aim.share * self.interval + aim.offset_s;
        (mean, libm::hypot(aim.sd_s, aim.sd_share * (self.interval + mean)))
    }
}

/// A lockout of none shuts nothing out.
fn deaf(traits: &Traits, settings: &Settings) -> f64 {
    let lockout = settings.lockout();
    let held = if settings.lockout_from() == LockoutFrom::Release { traits.held_s } else { 0.0 };
    if lockout.is_zero() { 0.0 } else { held + lockout.as_seconds() }
}

impl Presses for ByTraits<'_> {
    fn within(&self, seconds: f64) -> f64 {
        let on_time = self.law(seconds.min(self.interval));
        let late = self.law(seconds) - on_time;
        (on_time + (1.0 - self.traits.gives_up_late) * late) / self.made.max(f64::MIN_POSITIVE)
    }

    fn mean(&self) -> f64 {
        let law = self.traits.aim.as_ref().map_or_else(|| self.traits.latency.mean(), |aim| self.timed(aim).0);
        self.delay + law
    }

    fn lapses(&self) -> f64 {
        let stopped = self.traits.stops_after_s.is_some_and(|seconds| seconds <= 0.0);
        if stopped { 1.0 } else { 1.0 - (1.0 - self.traits.miss) * self.held * self.made }
    }

    /// Presses of a burst that fall into the lockout of the one before count for nothing.
    fn unwanted(&self) -> f64 {
        let spasm = &self.traits.spasm;
        let further = f64::from(spasm.presses.max(1)) - 1.0;
        let free = if spasm.gap_s > 0.0 { libm::exp(-self.lockout / spasm.gap_s) } else { 0.0 };
        self.held * (self.traits.involuntary_per_s + spasm.per_s * (1.0 + further * free))
    }

    /// The press is judged when it begins, so the delay until it counts does not matter.
    fn deaf(&self) -> f64 {
        self.deaf
    }

    fn first_item(&self) -> f64 {
        self.traits.first_item_s
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Id;
    use crate::sim::traits::{STEADY, Spasm};

    fn settings() -> Settings {
        Settings::default().with(Id::ScanInterval, 1_000_000)
    }

    #[test]
    fn a_plain_client_presses_by_its_law() {
        let client = ByTraits::new(&STEADY, &settings());
        // scipy 1.17.1: exponnorm(16/7, loc 0.55, scale 0.07) at 1 s.
        assert!((client.within(1.0) - 0.933_913_902_2).abs() < 1e-9);
        // Held for 0.22 s, then locked out for 0.5 s.
        assert!((client.deaf() - 0.72).abs() < 1e-12);
        assert!((client.mean() - 0.71).abs() < 1e-12 && (client.lapses() - 0.03).abs() < 1e-12);
        assert!((client.unwanted() - 0.004).abs() < 1e-12);
    }

    #[test]
    fn late_presses_that_are_given_up_become_lapses() {
        let traits = Traits { gives_up_late: 0.5, ..STEADY };
        let client = ByTraits::new(&traits, &settings());
        // Half of 6.608609780 % of presses: by hand.
        let made = 1.0 - 0.5 * 0.066_086_097_8;
        assert!((client.lapses() - (1.0 - 0.97 * made)).abs() < 1e-9);
        assert!((client.within(1.0) - 0.933_913_902_2 / made).abs() < 1e-9);
        assert!((client.within(60.0) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_hold_time_delays_presses_and_loses_the_short_ones() {
        let held = settings().with(Id::Hold, 220_000);
        let client = ByTraits::new(&STEADY, &held);
        // Half of the presses last the median time.
        assert!((client.lapses() - (1.0 - 0.97 * 0.5)).abs() < 1e-12);
        assert!((client.mean() - 0.93).abs() < 1e-12 && (client.unwanted() - 0.002).abs() < 1e-12);
        assert!((client.within(1.22) - 0.933_913_902_2).abs() < 1e-9);
    }

    #[test]
    fn timers_follow_the_interval_and_bursts_the_lockout() {
        let aim = Aim { share: 0.4, offset_s: 0.05, sd_s: 0.1, sd_share: 0.0 };
        let traits = Traits { aim: Some(aim), spasm: Spasm { per_s: 0.01, presses: 3, gap_s: 0.5 }, ..STEADY };
        let client = ByTraits::new(&traits, &settings());
        assert!((client.within(0.45) - 0.5).abs() < 1e-12 && (client.mean() - 0.45).abs() < 1e-12);
        // 0.004 + 0.01 (1 + 2 exp(-1)), a lockout of 0.5 s: by hand.
        assert!((client.unwanted() - (0.014 + 0.02 * (-1.0_f64).exp())).abs() < 1e-12);
    }
}
