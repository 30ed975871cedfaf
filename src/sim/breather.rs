//! A virtual breather: the pressure of sips and puffs with noise, a ventilator, drift and leaks.
//!
//! Invented throughout; the ranges only have to hold the difficulties that are known. That the puff is
//! often the weaker side, and by how much, varies between people (Mateus et al. 2007, Spinal Cord 45;
//! Gounden 1997, Spinal Cord 35:43–47), so the two sides are drawn apart.

use crate::level::{Ask, Calibration, Calibrator, Range, Refusal, Side, Strength, Way};
use crate::rng::Stream;
use crate::time::{Moment, Span};

/// What the sensor gives, in pascals.
pub const RANGE: Range = Range { least: -20_000, greatest: 20_000 };
/// From being asked to the beginning of an effort.
const REACTS: Span = Span::from_ms(700);

/// What disturbs the signal; amounts are shares of the weaker side's comfortable effort.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Samples a second.
    pub rate: f64,
    /// Standard deviation of white noise.
    pub noise: f64,
    /// Amplitude of the ventilator's swing.
    pub ventilator: f64,
    /// Greatest drift in a second, either way.
    pub drift: f64,
    /// Greatest step by which rest moves at some time, either way.
    pub step: f64,
    /// Share of the breaths through leaking lips: the pressure sags while it is held, and breaks down for 50 ms.
    pub leaking: f64,
    /// Mean and standard deviation of a soft effort as shares of the comfortable one.
    pub soft: (f64, f64),
    /// Mean and standard deviation of a hard effort, and of those of the calibration.
    pub hard: (f64, f64),
}

impl Default for Conditions {
    fn default() -> Conditions {
        Conditions {
            rate: 100.0,
            noise: 0.02,
            ventilator: 0.03,
            drift: 0.01,
            step: 0.08,
            leaking: 0.3,
            soft: (0.43, 0.05),
            hard: (1.0, 0.1),
        }
    }
}

/// One breath.
#[derive(Clone, Copy, Debug)]
struct Breath {
    began: Moment,
    /// Signed, in pascals.
    peak: f64,
    rise: f64,
    hold: f64,
    fall: f64,
    /// Time constant of the sag, in seconds.
    sag: f64,
    /// When it breaks down, in seconds from its beginning.
    breaks: Option<f64>,
}

/// One virtual breather.
#[derive(Clone, Debug)]
pub struct Breather {
    conditions: Conditions,
    stream: Stream,
    efforts: [f64; 2],
    now: Moment,
    rest: f64,
    drift: f64,
    step: (Moment, f64),
    ventilator: (f64, f64),
    breath: Option<Breath>,
}

impl Breather {
    /// Somebody of this seed.
    #[must_use]
    pub fn new(seed: u64, conditions: Conditions) -> Breather {
        let mut stream = Stream::named(seed, "breather");
        let mut between = |least: f64, greatest: f64| least + (greatest - least) * stream.unit();
        let above = between(1_500.0, 5_000.0);
        let below = above * between(0.7, 2.2);
        let weaker = above.min(below);
        let (rest, drift) = (between(-200.0, 200.0), between(-1.0, 1.0) * conditions.drift * weaker);
        let step = (Moment(between(1e7, 1.2e8) as u64), between(-1.0, 1.0) * conditions.step * weaker);
        let ventilator = (between(0.2, 0.4), conditions.ventilator * weaker);
        let (efforts, now) = ([above, below], Moment::START);
        Breather { conditions, stream, efforts, now, rest, drift, step, ventilator, breath: None }
    }

    /// Breathes as a calibration asks.
    ///
    /// # Errors
    /// As the calibration says.
    pub fn calibrate(&mut self, sides: &[Side]) -> Result<Calibration, Refusal> {
        let mut calibrator = Calibrator::new(self.now, sides, RANGE);
        let mut asked = Ask::Over;
        loop {
            let (at, value) = self.sample();
            calibrator.level(at, value);
            if let Some(outcome) = calibrator.outcome() {
                return outcome.clone();
            }
            if std::mem::replace(&mut asked, calibrator.asks()) != calibrator.asks()
                && let Ask::Effort { side, .. } = asked
            {
                self.breathe(self.now + REACTS, Way { side, strength: Strength::Hard });
            }
        }
    }

    /// Begins a breath at `at`; it replaces the one before.
    pub fn breathe(&mut self, at: Moment, way: Way) {
        let (mean, spread) = if way.strength == Strength::Soft { self.conditions.soft } else { self.conditions.hard };
        let share = mean + spread * self.stream.normal().clamp(-2.0, 2.0);
        let [above, below] = self.efforts;
        let peak = if way.side == Side::Above { above } else { -below } * share;
        let leaks = self.stream.unit() < self.conditions.leaking;
        let mut between = |least: f64, greatest: f64| least + (greatest - least) * self.stream.unit();
        let (rise, hold, fall) = (between(0.08, 0.3), between(0.08, 0.8), between(0.05, 0.2));
        let sag = if leaks { between(0.6, 2.0) } else { f64::INFINITY };
        let breaks = (leaks && hold > 0.4).then(|| rise + between(0.1, hold - 0.2));
        self.breath = Some(Breath { began: at, peak, rise, hold, fall, sag, breaks });
    }

    /// Swallows or coughs at `at`: as far as a hard puff, but for less than 60 ms.
    pub fn cough(&mut self, at: Moment) {
        let peak = self.efforts[0] * (0.3 + 0.7 * self.stream.unit());
        let hold = 0.02 * self.stream.unit();
        self.breath = Some(Breath { began: at, peak, rise: 0.02, hold, fall: 0.02, sag: f64::INFINITY, breaks: None });
    }

    /// The next sample.
    pub fn sample(&mut self) -> (Moment, i32) {
        let tremble = 1.0 + 0.1 * (self.stream.unit() - 0.5);
        self.now += Span::nearest(1e6 / self.conditions.rate * tremble);
        let seconds = self.now.0 as f64 / 1e6;
        let (rate, swing) = self.ventilator;
        let weaker = self.efforts[0].min(self.efforts[1]);
        let moved = if self.now >= self.step.0 { self.step.1 } else { 0.0 };
        let ventilator = swing * libm::sin(std::f64::consts::TAU * rate * seconds);
        let noise = self.conditions.noise * weaker * self.stream.normal();
        let breath = self.breath.map_or(0.0, |breath| breath.pressure(self.now));
        let level = self.rest + self.drift * seconds + moved + ventilator + noise + breath;
        (self.now, level.clamp(f64::from(RANGE.least), f64::from(RANGE.greatest)) as i32)
    }

    /// The instant of the last sample.
    #[must_use]
    pub fn now(&self) -> Moment {
        self.now
    }
}

impl Breath {
    /// The pressure at `now`: a smooth rise, a plateau that may sag or break down, a smooth fall, and a swing
    /// to the other side as the tube relaxes.
    fn pressure(&self, now: Moment) -> f64 {
        if now < self.began {
            return 0.0;
        }
        let since = now.since(self.began).as_seconds();
        if self.breaks.is_some_and(|at| (at..at + 0.05).contains(&since)) {
            return 0.0;
        }
        let smooth = |share: f64| 0.5 - 0.5 * libm::cos(std::f64::consts::PI * share);
        let (held, over) = (self.rise + self.hold, self.rise + self.hold + self.fall);
        let left = libm::exp(-self.hold / self.sag);
        self.peak
            * match since {
                _ if since < self.rise => smooth(since / self.rise),
                _ if since < held => libm::exp(-(since - self.rise) / self.sag),
                _ if since < over => left * smooth(1.0 - (since - held) / self.fall),
                _ if since < over + 0.1 => -0.15 * left * libm::sin(std::f64::consts::PI * (since - over) / 0.1),
                _ => 0.0,
            }
    }
}
