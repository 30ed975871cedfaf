//! What the stays of a pointer say of the dwell time at which the wanted share of attempts takes nothing else.
//!
//! Of each attempt the longest stay on a tile that was not asked for counts: any longer dwell time would have let it
//! by. In a share of the attempts there is none; in the others its length is taken for lognormal. A stay that was
//! taken would have lasted longer than it did. The posterior stands on a grid over that share, the median and the
//! spread; each attempt weighs a little less with every one that follows.
//!
//! Stays on the wanted tile that were broken off tell how long a dwell time the client can hold.
//!
//! The model is common practice, no source.

use super::belief::Needed;
use super::start::Start;
use crate::stats::normal;

/// A tile that is left sooner was only passed over.
const PASSED_S: f64 = 0.15;
/// No dwell time is shorter or longer, in seconds.
const DWELLS_S: [f64; 2] = [0.3, 10.0];
/// Shares of attempts with a stay elsewhere.
const SHARES: [f64; 9] = [0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 0.97];
/// Natural logarithm of the least median of such stays in seconds, the step, and how many: 0.12 to 6.4 s.
const LOG_MEDIANS: (f64, f64, usize) = (-2.1, 0.1, 41);
/// Standard deviations of the logarithm.
const SPREADS: [f64; 4] = [0.3, 0.6, 0.9, 1.2];
/// Whatever the law says, an attempt is at least so probable: one stray stay must not rule a law out.
const STRAY: f64 = 1e-3;
/// An attempt weighs this much less with each that follows it.
const MEMORY: f64 = 0.98;

/// What the pointer did in one attempt.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pointed {
    /// Longest stay on a tile that was not wanted, in seconds; 0 where there was none.
    pub elsewhere_s: f64,
    /// That stay ended by taking the tile.
    pub took_it: bool,
    /// Longest stay on the wanted tile that was broken off, in seconds.
    pub broken_off_s: Option<f64>,
}

impl Pointed {
    /// Another stay of the same attempt.
    pub fn add(&mut self, wanted: bool, stay_s: f64, taken: bool) {
        match (wanted, taken) {
            (true, true) => {}
            (true, false) => self.broken_off_s = Some(self.broken_off_s.map_or(stay_s, |longest| longest.max(stay_s))),
            // What is taken at one dwell time is the longest there can be at it.
            (false, true) => (self.elsewhere_s, self.took_it) = (self.elsewhere_s.max(stay_s), true),
            (false, false) => self.elsewhere_s = self.elsewhere_s.max(stay_s),
        }
    }
}

/// One law that stays elsewhere may follow.
#[derive(Clone, Debug)]
struct Law {
    share: f64,
    log_median: f64,
    spread: f64,
    /// Natural logarithm of the dwell time that it needs.
    log_needed: f64,
    /// Natural logarithm of its weight, beforehand and by the attempts.
    log_prior: f64,
    evidence: f64,
}

impl Law {
    fn new((share, log_median, spread): (f64, f64, f64), start: &Start, success: f64) -> Law {
        let may = (1.0 - success) / share;
        let beyond = if may >= 1.0 { f64::NEG_INFINITY } else { log_median + spread * normal::quantile(1.0 - may) };
        let log_needed = beyond.clamp(libm::log(DWELLS_S[0]), libm::log(DWELLS_S[1]));
        Law { share, log_median, spread, log_needed, log_prior: start.log_weight(log_needed), evidence: 0.0 }
    }

    fn likelihood(&self, pointed: &Pointed) -> f64 {
        let z = |stay_s: f64| (libm::log(stay_s) - self.log_median) / self.spread;
        let stay_s = pointed.elsewhere_s;
        if pointed.took_it {
            self.share * (1.0 - normal::cumulative(z(stay_s.max(PASSED_S))))
        } else if stay_s < PASSED_S {
            1.0 - self.share + self.share * normal::cumulative(z(PASSED_S))
        } else {
            let away = z(stay_s);
            self.share * libm::exp(-away * away / 2.0) / (self.spread * libm::sqrt(std::f64::consts::TAU))
        }
    }
}

/// The posterior over the dwell time that one client needs, and what the client can hold.
#[derive(Clone, Debug)]
pub struct Stays {
    laws: Vec<Law>,
    /// Stays on the wanted tile that were broken off, in seconds.
    broken_off: Vec<f64>,
    attempts: usize,
}

impl Stays {
    /// Before the first attempt. `success` is the wanted share of attempts in which nothing else is taken, above 0
    /// and below 1.
    #[must_use]
    pub fn new(start: &Start, success: f64) -> Stays {
        let (least, step, count) = LOG_MEDIANS;
        let medians = (0..count).map(|place| least + step * place as f64);
        let with_share = |share: f64| medians.clone().flat_map(move |median| SPREADS.map(|sd| (share, median, sd)));
        let laws = SHARES.into_iter().flat_map(with_share).map(|law| Law::new(law, start, success)).collect();
        Stays { laws, broken_off: Vec::new(), attempts: 0 }
    }

    /// An attempt is over.
    pub fn add(&mut self, pointed: &Pointed) {
        self.attempts += 1;
        self.broken_off.extend(pointed.broken_off_s);
        for law in &mut self.laws {
            law.evidence = MEMORY * law.evidence + libm::log(law.likelihood(pointed).max(STRAY));
        }
    }

    /// Attempts that counted.
    #[must_use]
    pub fn attempts(&self) -> usize {
        self.attempts
    }

    /// The dwell time at which the wanted share of attempts takes nothing else.
    #[must_use]
    pub fn needed(&self) -> Needed {
        Needed::of(self.sums(|log_needed| [1.0, log_needed, log_needed * log_needed]))
    }

    /// How probable it is that this dwell time, in seconds, is enough for that.
    #[must_use]
    pub fn enough(&self, dwell_s: f64) -> f64 {
        let limit = libm::log(dwell_s) + 1e-9;
        let [mass, below, _] = self.sums(|log_needed| [1.0, f64::from(u8::from(log_needed <= limit)), 0.0]);
        below / mass
    }

    /// The longest dwell time that the client was seen to hold in the share `success` of the attempts, in seconds;
    /// endless where stays on the wanted tile were hardly ever broken off.
    #[must_use]
    pub fn held_s(&self, success: f64) -> f64 {
        let may_break = ((1.0 - success) * self.attempts as f64) as usize;
        let mut broken_off = self.broken_off.clone();
        broken_off.sort_by(f64::total_cmp);
        broken_off.get(may_break).copied().unwrap_or(f64::INFINITY)
    }

    fn sums(&self, terms: impl Fn(f64) -> [f64; 3]) -> [f64; 3] {
        let logs = || self.laws.iter().map(|law| law.log_prior + law.evidence);
        let most = logs().fold(f64::NEG_INFINITY, f64::max);
        let mut sums = [0.0; 3];
        for (law, log) in self.laws.iter().zip(logs()) {
            let weight = libm::exp(log - most);
            sums.iter_mut().zip(terms(law.log_needed)).for_each(|(sum, value)| *sum += weight * value);
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// So many attempts, half of them with a lognormal stay elsewhere of this median and spread 0.5, at this dwell.
    fn after(count: usize, median_s: f64, dwell_s: f64) -> Stays {
        let mut stream = Stream::named(3, "stays");
        let mut stays = Stays::new(&Start::from_advice(1.0, 365), 0.9);
        for _ in 0..count {
            let mut pointed = Pointed::default();
            if stream.unit() < 0.5 {
                let stay_s = median_s * libm::exp(0.5 * stream.normal());
                pointed.add(false, stay_s.min(dwell_s), stay_s >= dwell_s);
            }
            stays.add(&pointed);
        }
        stays
    }

    #[test]
    fn many_attempts_lead_to_the_quantile_of_the_law() {
        // Of half of the attempts a fifth may be longer: 80 % quantile of the lognormal, exp(0.5 · 0.841621) = 1.5233
        // times the median (normal quantile by scipy).
        for median_s in [0.4, 0.8] {
            let needed = after(400, median_s, 3.0).needed();
            assert!((needed.middle_s / (1.5233 * median_s) - 1.0).abs() < 0.15, "{median_s}: {needed:?}");
        }
        // Half of what is longer is never seen in full.
        let cut = after(400, 0.8, 1.0).needed();
        assert!((cut.middle_s / (1.5233 * 0.8) - 1.0).abs() < 0.2, "{cut:?}");
    }

    #[test]
    fn whoever_rests_on_nothing_else_needs_no_long_dwell() {
        let stays = after(60, 0.05, 1.0);
        assert!(stays.needed().middle_s < 0.5 && stays.enough(0.6) > 0.9, "{:?}", stays.needed());
        let before = Stays::new(&Start::from_advice(1.0, 0), 0.9);
        assert!((before.needed().middle_s - 1.0).abs() < 0.2, "{:?}", before.needed());
    }

    #[test]
    fn what_is_broken_off_limits_what_can_be_held() {
        let mut stays = after(19, 0.05, 1.0);
        assert_eq!(stays.held_s(0.9), f64::INFINITY);
        for broken_off_s in [0.7, 0.9, 0.8] {
            stays.add(&Pointed { broken_off_s: Some(broken_off_s), ..Pointed::default() });
        }
        // Of 22 attempts 2 may be broken off.
        assert_eq!(stays.held_s(0.9), 0.9);
    }

    #[test]
    fn no_stay_makes_it_lose_its_numbers() {
        let mut stays = after(3, 0.5, 1.0);
        for stay_s in [0.0, 1e-9, 1e9] {
            let mut pointed = Pointed::default();
            pointed.add(false, stay_s, true);
            stays.add(&pointed);
        }
        assert!(stays.needed().middle_s.is_finite() && stays.needed().log_sd.is_finite());
    }
}
