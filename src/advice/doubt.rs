//! Presses that may answer the highlight or follow the rhythm of the scan: guesses of both kinds, by their chances.
//!
//! At two scan rates the growth of the latency leaves a chance that the presses are timed; so many of the guesses
//! are timers. The value is then the best for both together, and its interval takes in what would be best for either.
//! At one rate nothing tells: the value is that of a client who reacts, and the interval takes in the rate measured.

use super::optimum::{DRAWS, Optimum, Search, between};
use super::presses::Pressing;
use super::recommendation::{Advice, Recommendation, Remark, Sure};
use super::rhythm::{self, Aim, FEWEST};
use super::task::Task;
use crate::analysis::suggestion::WANTED;
use crate::analysis::words::{self, percent, seconds};
use crate::stats::Sample;
use crate::stats::latency::{Manner, Paced};

/// A smaller chance than this is no doubt: the same as that from which presses are called reactions.
const SMALL: f64 = 0.05;
/// Chance of a timer where so many presses come too early for a reaction that these are no proof of it, whatever the
/// growth says: who aims at the very onset does so at every rate (common practice, no source).
const EVEN: f64 = 0.5;

/// What is open about presses that are taken for reactions.
pub(super) enum Doubt {
    /// Nothing: two rates have told.
    None,
    /// They may be timed, by this chance.
    Timed(f64),
    /// Fewer than two rates were measured.
    OneRate,
}

impl Doubt {
    pub fn of(presses: &[Paced]) -> Doubt {
        match (rhythm::chance(presses), rhythm::manner(presses)) {
            (Some(chance), _) if chance > SMALL => Doubt::Timed(chance),
            (Some(_), Manner::Unclear) => Doubt::Timed(EVEN),
            (Some(_), _) => Doubt::None,
            (None, _) => Doubt::OneRate,
        }
    }

    /// The guesses of timers among those of a client who reacts.
    pub fn timers(&self, presses: &[Paced], omitted: usize) -> Timers {
        let between = rhythm::reach(presses);
        let count = match self {
            Doubt::Timed(chance) => libm::round(chance * DRAWS as f64) as usize,
            _ => 0,
        };
        Timers { aims: if count > 0 { rhythm::draws(presses, omitted, count) } else { Vec::new() }, between }
    }

    /// `told` with what is open.
    pub fn tell(&self, told: Recommendation, presses: &[Paced]) -> Recommendation {
        match self {
            Doubt::None => told,
            Doubt::Timed(chance) => {
                Recommendation { sure: told.sure.min(Sure::Fair), ..unclear(told, presses, *chance) }
            }
            Doubt::OneRate => Recommendation { sure: Sure::Guess, ..one_rate(told, presses) },
        }
    }
}

fn unclear(mut told: Recommendation, presses: &[Paced], chance: f64) -> Recommendation {
    let [fastest, _] = rhythm::reach(presses);
    told.why += &format!(
        " A chance of {} that the presses are timed draws the value towards the rates that were measured.",
        percent(chance)
    );
    told.cautions.push(Remark {
        text: format!(
            "Whether the presses answer the highlight or follow the rhythm of the scan cannot be told yet: the chance \
             that the client times them is {}.",
            percent(chance)
        ),
        remedy: format!(
            "Run {WANTED} more timed presses at about {}, and as many a third slower in the same session.",
            seconds(fastest * rhythm::APART)
        ),
    });
    told
}

/// A timer's best can be anywhere about the rate that was measured.
fn one_rate(mut told: Recommendation, presses: &[Paced]) -> Recommendation {
    let [low, high] = rhythm::reach(presses);
    let Advice::Set { interval, beside, .. } = &mut told.advice else { return told };
    let widen = |interval: &mut Option<[f64; 2]>| *interval = interval.map(|[from, to]| [from.min(low), to.max(high)]);
    widen(interval);
    beside.iter_mut().filter(|named| named.name == "fastest safe").for_each(|named| widen(&mut named.interval));
    told.cautions.push(Remark {
        text: format!(
            "All or nearly all presses came at one scan rate, {}: that cannot tell whether they answer the highlight or \
             follow the rhythm of the scan, and who follows it presses otherwise at another rate.",
            seconds(rhythm::commonest(presses.iter().map(|press| press.interval)).map_or(0.0, |(interval, _)| interval))
        ),
        remedy: match rhythm::second_rate(presses) {
            Some((interval, there)) if there < FEWEST => missing(interval, there),
            _ => format!("Run {WANTED} timed presses a third slower, as the first look and the longer trial do."),
        },
    });
    told
}

/// What is missing where a second rate was begun.
pub(super) fn missing(interval: f64, there: usize) -> String {
    let [presses, more] = [there, FEWEST - there].map(|count| words::count(count as u32, "press", "presses"));
    format!(
        "At {} there {} {presses}; {FEWEST} are wanted to tell: run {more} more at that rate.",
        seconds(interval),
        if there == 1 { "was" } else { "were" }
    )
}

/// Guesses at the aim of a client who times the presses, known between two intervals.
pub(super) struct Timers {
    aims: Vec<Aim>,
    between: [f64; 2],
}

impl Timers {
    /// The best interval for `guesses`, the first of which are timers instead.
    pub fn optimum(&self, guesses: &[Pressing], latencies: &Sample, task: &Task) -> Option<Optimum> {
        let mut best = self.search(guesses, latencies, task).optimum()?;
        if !self.aims.is_empty() {
            // More than 1 in 20 guesses are timers, whose own best lies between these; the search finds such a corner
            // to a hundredth only.
            let [low, high] = self.between;
            for [from, to] in [&mut best.interval, &mut best.comfortable_interval] {
                (*from, *to) = (from.min(high), to.max(low));
            }
        }
        Some(best)
    }

    /// Nobody knows how a timer fares beyond what was measured; half of what the scan seems to save is taken for lost,
    /// so that an even chance of a timer keeps the value about where it was measured (common practice, no source).
    pub fn search<'a>(
        &'a self,
        guesses: &'a [Pressing],
        latencies: &Sample,
        task: &'a Task,
    ) -> Search<impl Fn(usize, f64) -> f64 + Sync + 'a, impl Fn(usize, f64) -> f64 + Sync + 'a> {
        let [low, high] = self.between;
        let seconds = move |guess: usize, interval: f64| match self.aims.get(guess) {
            Some(aim) => {
                let known = interval.clamp(low, high);
                task.seconds(guess, aim.at(known), known) * libm::sqrt((known / interval).max(interval / known))
            }
            None => task.seconds(guess, guesses[guess], interval),
        };
        let late = move |guess: usize, interval: f64| match self.aims.get(guess) {
            Some(aim) => aim.at(interval.clamp(low, high)).late(interval.clamp(low, high)),
            None => guesses[guess].late(interval),
        };
        Search { guesses: guesses.len(), seconds, late, between: between(latencies), late_limit: task.late_limit }
    }
}

#[cfg(test)]
mod tests {
    use super::super::asked::Asked;
    use super::super::sample::{self, paced};
    use super::*;
    use crate::analysis::gather;
    use crate::log::header::Header;
    use crate::rng::Stream;
    use crate::session::{Plan, Session, shipped};
    use crate::settings::{Id, Settings};
    use crate::sim::client::{Client, STEADY, Traits};
    use crate::sim::sitting::sit;

    /// Presses of a client whose aim moves by `share` of the interval, at these intervals.
    fn presses(share: f64, sd: f64, each: usize) -> Vec<Paced> {
        let mut stream = Stream::named(9, "doubt");
        let press = |interval: f64| paced(interval, 0.6 + share * (interval - 1.5) + sd * stream.normal());
        [1.5, 1.95].into_iter().flat_map(|interval| vec![interval; each]).map(press).collect()
    }

    fn optimum(doubt: &Doubt, presses: &[Paced]) -> Optimum {
        let latencies = Sample::new(presses.iter().map(|press| press.latency).collect()).unwrap();
        let task = Task::of(&sample::evidence(), &Asked::default()).unwrap();
        let guesses = super::super::draws::draws(&latencies, 0, DRAWS).unwrap();
        doubt.timers(presses, 0).optimum(&guesses, &latencies, &task).unwrap()
    }

    #[test]
    fn many_presses_leave_no_doubt_and_few_a_chance() {
        assert!(matches!(Doubt::of(&presses(0.0, 0.1, 100)), Doubt::None));
        assert!(matches!(Doubt::of(&presses(0.0, 0.2, 8)), Doubt::Timed(chance) if (0.05..0.6).contains(&chance)));
        assert!(matches!(Doubt::of(&presses(0.0, 0.1, 7)), Doubt::OneRate));
    }

    #[test]
    fn lapses_in_the_first_look_leave_two_rates() {
        let (protocol, menu) = shipped::find("first-look").unwrap();
        let timed = |seed: u64| {
            let (protocol, menu) = (protocol.clone(), menu.clone());
            let plan = Plan { protocol, menu, settings: Settings::default(), seed };
            let (header, mut records) = (Header::for_plan(&plan), Vec::new());
            let mut client = Client::new(Traits { miss: 0.05, ..STEADY }, seed);
            sit(&mut Session::new(plan), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
            let evidence = gather::evidence(&[(&header, &records)]).unwrap();
            super::super::seen::Seen::of(&evidence, &Asked::default()).timed
        };
        let one_rate = (0..60).filter(|seed| matches!(Doubt::of(&timed(*seed)), Doubt::OneRate)).count();
        // Of ten presses at the slower rate eight are enough: fewer come in 1 of 90 such sessions, by the binomial.
        assert!(one_rate <= 3, "{one_rate} of 60");
    }

    #[test]
    fn presses_about_the_onset_that_do_not_grow_are_no_proof_of_reactions() {
        let about_the_floor =
            presses(0.0, 0.02, 30).into_iter().map(|one| Paced { latency: one.latency - 0.45, ..one });
        assert!(matches!(Doubt::of(&about_the_floor.collect::<Vec<_>>()), Doubt::Timed(chance) if chance == EVEN));
    }

    #[test]
    fn the_caution_tells_the_chance_and_how_many_presses_are_missing() {
        let blank = || Recommendation {
            advice: Advice::Set {
                setting: Id::ScanInterval,
                value: 1.5,
                unit: "s",
                interval: Some([1.4, 1.6]),
                beside: Vec::new(),
            },
            ..Recommendation::keep("a rule", 1, "a test", 40)
        };
        let told = |doubt: Doubt, presses: &[Paced]| doubt.tell(blank(), presses).cautions.pop().unwrap();
        assert!(told(Doubt::Timed(0.57), &presses(0.1, 0.1, 20)).text.ends_with("times them is 57 %."));
        let why = Doubt::Timed(0.57).tell(blank(), &presses(0.1, 0.1, 20)).why;
        assert!(why.contains("A chance of 57 % that the presses are timed draws the value"), "{why}");
        let few = |slow: usize| presses(0.0, 0.1, 20).into_iter().take(20 + slow).collect::<Vec<_>>();
        let remedy = |slow: usize| told(Doubt::of(&few(slow)), &few(slow)).remedy;
        assert_eq!(remedy(5), "At 1.95 s there were 5 presses; 8 are wanted to tell: run 3 presses more at that rate.");
        assert_eq!(remedy(1), "At 1.95 s there was 1 press; 8 are wanted to tell: run 7 presses more at that rate.");
        assert!(remedy(0).starts_with("Run 12 timed presses a third slower"), "{}", remedy(0));
    }

    #[test]
    fn the_more_a_client_may_time_the_more_the_interval_takes_in_what_was_measured() {
        let presses = presses(0.1, 0.1, 20);
        let found = [Doubt::None, Doubt::Timed(0.2), Doubt::Timed(0.8)].map(|doubt| optimum(&doubt, &presses));
        let [none, some, much] = found;
        // Between 1.5 and 1.95 s, a tenth beyond included, the best for one who times is the fastest.
        let edge = 1.5 / rhythm::APART;
        assert!(none.interval[1] < edge - 0.1 && none.exact < some.exact && some.exact < much.exact, "{found:?}");
        assert!((edge..edge + 0.05).contains(&some.interval[1]), "{found:?}");
        assert!((edge..edge + 0.05).contains(&much.interval[1]), "{found:?}");
        assert!((much.exact - edge).abs() < 0.05, "{much:?}");
    }
}
