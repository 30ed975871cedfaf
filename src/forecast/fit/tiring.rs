//! Whether latencies grow with the work of a session: a straight line through their logarithms.
//!
//! Time at rest does not count. A line that one in a hundred level clients shows is taken for none, for
//! it would be drawn out far beyond the session. One that falls is practice: the client is then taken
//! as at the session's end.

use super::super::slower::times;
use super::notes::Notes;
use crate::analysis::evidence::Opportunity;
use crate::analysis::set_ups::Session;
use crate::rng::Stream;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::sim::profile::fitted::Draw;
use crate::stats::student;
use crate::time::Moment;

/// A shorter session says nothing of tiring (common practice, no source).
const SHORTEST_MIN: f64 = 2.0;

/// Share left out on either side of an interval that tells growth from none.
const TOLD: f64 = 0.005;

/// The stretches of work of each session, from and to, in seconds since it began.
pub(super) struct Tired {
    work: Vec<Vec<[f64; 2]>>,
}

/// Growth of ln latency in a minute of work.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Slope {
    found: Option<Line>,
    count: usize,
    /// Mean and greatest minutes worked at the presses.
    mean_min: f64,
    end_min: f64,
}

/// A straight line.
#[derive(Clone, Copy, Debug)]
struct Line {
    slope: f64,
    error: f64,
    freedom: f64,
}

impl Line {
    /// The two-sided interval that leaves out the share `tail` on either side.
    fn interval(&self, tail: f64) -> [f64; 2] {
        let half = student::quantile(1.0 - tail, self.freedom) * self.error;
        [self.slope - half, self.slope + half]
    }
}

impl Tired {
    pub fn of(sessions: &[Session]) -> Tired {
        Tired { work: sessions.iter().map(|(_, records)| stretches(records)).collect() }
    }

    /// Minutes of work before this lighting.
    pub fn worked_min(&self, one: &Opportunity) -> f64 {
        let stretches = self.work.get(one.session as usize).into_iter().flatten();
        stretches.map(|[from, to]| (one.at_s.min(*to) - from).max(0.0)).sum::<f64>() / 60.0
    }

    /// The line through all sessions, each with a height of its own.
    pub fn slope(&self, moving: &[Opportunity]) -> Slope {
        let mut points: Vec<Vec<[f64; 2]>> = vec![Vec::new(); self.work.len()];
        for one in moving {
            if let Some(latency) = one.latency_s().filter(|latency| *latency > 0.0) {
                points[one.session as usize].push([self.worked_min(one), libm::log(latency)]);
            }
        }
        Slope::through(&points)
    }
}

/// Work begins with a trial and ends with a rest.
fn stretches(records: &[Record]) -> Vec<[f64; 2]> {
    let seconds = |at: Moment| at.since(Moment::START).as_seconds();
    let (mut all, mut since) = (Vec::new(), None);
    for record in records {
        match &record.what {
            What::Event(Event::TrialBegan { .. }) => since = since.or(Some(seconds(record.at))),
            What::Event(Event::Rest { .. } | Event::Finished { .. }) => {
                all.extend(since.take().map(|from| [from, seconds(record.at)]));
            }
            _ => {}
        }
    }
    all.extend(since.map(|from| [from, f64::INFINITY]));
    all
}

impl Slope {
    fn through(sessions: &[Vec<[f64; 2]>]) -> Slope {
        let all = || sessions.iter().flatten();
        let count = all().count();
        let end_min = all().map(|[minutes, _]| *minutes).fold(0.0, f64::max);
        let mean_min = all().map(|[minutes, _]| minutes).sum::<f64>() / count.max(1) as f64;
        let used = sessions.iter().filter(|points| !points.is_empty()).count();
        let freedom = count as f64 - used as f64 - 1.0;
        let blank = Slope { found: None, count, mean_min, end_min };
        if freedom < 5.0 || end_min < SHORTEST_MIN {
            return blank;
        }
        let centred: Vec<[f64; 2]> = sessions.iter().flat_map(|points| centred(points)).collect();
        let width: f64 = centred.iter().map(|[x, _]| x * x).sum();
        let slope = centred.iter().map(|[x, y]| x * y).sum::<f64>() / width;
        let rest: f64 = centred.iter().map(|[x, y]| libm::pow(y - slope * x, 2.0)).sum();
        let error = libm::sqrt(rest / freedom / width);
        let found = error.is_finite().then_some(Line { slope, error, freedom });
        Slope { found, ..blank }
    }

    /// It rises.
    fn rises(&self) -> Option<Line> {
        self.found.filter(|line| line.interval(TOLD)[0] > 0.0)
    }

    fn falls(&self) -> Option<Line> {
        self.found.filter(|line| line.interval(TOLD)[1] < 0.0)
    }

    /// How many times the latency of the client's law one after so many minutes is.
    pub fn slower(&self, worked_min: f64) -> f64 {
        match (self.rises(), self.falls()) {
            (Some(line), _) => libm::exp(line.slope * worked_min),
            (None, Some(line)) => libm::exp(line.slope * (worked_min - self.end_min)),
            (None, None) => 1.0,
        }
    }

    /// Each guess gets a growth of its own; where it grows more it began lower.
    pub fn into_draws(self, draws: &mut [Draw], notes: &mut Notes) {
        self.note(notes);
        let Some(Line { slope, error, .. }) = self.rises() else { return };
        let mut stream = Stream::named(0, "tiring");
        for draw in draws {
            draw.slower_per_min = (slope + error * stream.normal()).clamp(-1.0, 1.0);
            draw.latency = times(&draw.latency, libm::exp((slope - draw.slower_per_min) * self.mean_min));
        }
        notes.assumed("what a rest undoes", "nothing", "one session has too few rests");
    }

    fn note(&self, notes: &mut Notes) {
        let name = "growth of ln latency with work";
        let Some(line) = self.found else {
            return notes.assumed(name, "none", "less than 2 minutes of work, or too few presses");
        };
        notes.measured(name, "per min", line.slope, line.interval(0.05), self.count);
        if self.falls().is_some() {
            notes.assumed("practice", "as at the end of the sessions", "presses became faster; how far is not known");
        } else if self.rises().is_none() {
            notes.assumed("tiring", "none", "the growth cannot be told from none (99 %)");
        }
    }
}

fn centred(points: &[[f64; 2]]) -> impl Iterator<Item = [f64; 2]> {
    let n = points.len() as f64;
    let mean = |axis: usize| points.iter().map(|point| point[axis]).sum::<f64>() / n;
    let middle = [mean(0), mean(1)];
    points.iter().map(move |[x, y]| [x - middle[0], y - middle[1]])
}
