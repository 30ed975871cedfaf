//! What the records tell of the course of a session, gathered for the plots: when, never how much.

use crate::analysis::findings::Findings;
use crate::engine::effect::Effect;
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::Trial;
use crate::time::Moment;

/// From when to when, in seconds since the session began.
pub(in crate::report) type Stretch = (f64, f64);

/// The course of a session.
#[derive(Debug, Default)]
pub(in crate::report) struct Story<'a> {
    /// Length of the session in seconds: never zero.
    pub(super) seconds: f64,
    /// Each block that began, with its place and kind.
    pub(super) blocks: Vec<(u16, BlockKind, Stretch)>,
    /// Every judged trial.
    pub(super) trials: Vec<&'a Trial>,
    /// Accepted presses of the client.
    pub(super) presses: Vec<f64>,
    /// Presses in a quiet watch.
    pub(super) unwanted: Vec<f64>,
    /// Presses of the assessor.
    pub(super) assessor: Vec<f64>,
    /// Rests, until the client carried on.
    pub(super) rests: Vec<Stretch>,
    /// Pauses.
    pub(super) pauses: Vec<Stretch>,
}

/// What is under way while the records are read.
#[derive(Default)]
struct Open {
    mine: bool,
    block: Option<(u16, BlockKind, f64)>,
    rest: Option<f64>,
    pause: Option<f64>,
}

fn at(moment: Moment) -> f64 {
    moment.0 as f64 / 1e6
}

impl<'a> Story<'a> {
    /// The story that the records tell.
    pub(in crate::report) fn told(findings: &Findings, records: &'a [Record]) -> Story<'a> {
        let last = records.last().map_or(0.0, |record| at(record.at));
        let seconds = if findings.seconds.is_finite() { findings.seconds.max(last) } else { last };
        let mut story = Story { seconds: seconds.max(1.0), ..Story::default() };
        let mut open = Open { mine: true, ..Open::default() };
        for record in records {
            story.hear(record, &mut open);
        }
        story.close(&mut open, last);
        story
    }

    fn hear(&mut self, record: &'a Record, open: &mut Open) {
        let now = at(record.at);
        match &record.what {
            What::Input(Input::MyPresses { on: true }) => open.mine = true,
            // A pause keeps the switch where it was; going on hands it to the client.
            What::Input(Input::MyPresses { on: false } | Input::Next | Input::SkipBlock) if open.pause.is_none() => {
                open.mine = false;
            }
            what if open.mine && what.edge().is_some_and(|(_, down)| down) => self.assessor.push(now),
            What::Effect(Effect::Activated(press)) if !open.mine => self.presses.push(at(press.pressed)),
            What::Event(event) => self.hear_event(event, now, open),
            _ => {}
        }
    }

    fn hear_event(&mut self, event: &'a Event, now: f64, open: &mut Open) {
        match event {
            Event::BlockBegan { block, kind } => {
                self.begin(open, now);
                open.block = Some((*block, *kind, now));
            }
            Event::TrialBegan { .. } => self.begin(open, now),
            Event::CarriedOn => self.end_rest(open, now),
            Event::BlockEnded { .. } => self.close_block(open, now),
            Event::Trial(trial) => self.trials.push(trial),
            Event::Unwanted { .. } => self.unwanted.push(now),
            Event::Rest { .. } => drop(open.rest.get_or_insert(now)),
            Event::Paused { .. } => drop(open.pause.get_or_insert(now)),
            Event::Resumed => self.pauses.extend(open.pause.take().map(|from| (from, now))),
            Event::Finished { .. } => self.close(open, now),
            _ => {}
        }
    }

    fn close_block(&mut self, open: &mut Open, now: f64) {
        self.blocks.extend(open.block.take().map(|(block, kind, from)| (block, kind, (from, now))));
    }

    /// A block or a trial begins: the client has the switch and no longer rests.
    fn begin(&mut self, open: &mut Open, now: f64) {
        open.mine = false;
        self.end_rest(open, now);
    }

    fn end_rest(&mut self, open: &mut Open, now: f64) {
        self.rests.extend(open.rest.take().map(|from| (from, now)));
    }

    fn close(&mut self, open: &mut Open, now: f64) {
        self.close_block(open, now);
        self.end_rest(open, now);
        self.pauses.extend(open.pause.take().map(|from| (from, now)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis;
    use crate::engine::effect::{Activation, Switch};
    use crate::log::header::tests::header;
    use crate::session::event::{BlockEnd, RestReason};
    use crate::session::input::PauseReason;

    fn input(second: u64, input: Input) -> Record {
        Record { at: Moment(second * 1_000_000), what: What::Input(input) }
    }

    fn event(second: u64, event: Event) -> Record {
        Record { at: Moment(second * 1_000_000), what: What::Event(event) }
    }

    fn press(second: u64) -> Record {
        let at = Moment(second * 1_000_000);
        let press = Activation { switch: Switch(0), pressed: at, accepted: at };
        Record { at, what: What::Effect(Effect::Activated(press)) }
    }

    const CLOSED: Input = Input::Edge { switch: Switch(0), down: true };

    fn told(records: &[Record]) -> Story<'_> {
        Story::told(&analysis::findings(&header(), records).0, records)
    }

    #[test]
    fn presses_belong_to_whoever_holds_the_switch() {
        let began = Event::BlockBegan { block: 0, kind: BlockKind::FirstContact };
        let records = [
            input(1, CLOSED),
            event(2, began),
            input(3, CLOSED),
            press(3),
            input(4, Input::MyPresses { on: true }),
            input(5, CLOSED),
            press(5),
            input(6, Input::Next),
            press(7),
        ];
        let story = told(&records);
        assert_eq!((story.assessor, story.presses), (vec![1.0, 5.0], vec![3.0, 7.0]));
    }

    #[test]
    fn rests_and_pauses_end_with_what_goes_on_and_a_broken_log_ends_all() {
        let records = [
            event(0, Event::BlockBegan { block: 0, kind: BlockKind::Reaction }),
            event(1, Event::Rest { why: RestReason::NoPress }),
            event(3, Event::TrialBegan { block: 0, trial: 2, target: String::new() }),
            event(4, Event::Paused { why: PauseReason::Clinician }),
            event(6, Event::Resumed),
            event(7, Event::BlockEnded { block: 0, why: BlockEnd::Done }),
            event(8, Event::BlockBegan { block: 1, kind: BlockKind::Repeat }),
            event(9, Event::Rest { why: RestReason::Asked }),
            event(12, Event::Question),
        ];
        let story = told(&records);
        assert_eq!(
            (story.rests.as_slice(), story.pauses.as_slice()),
            (&[(1.0, 3.0), (9.0, 12.0)][..], &[(4.0, 6.0)][..])
        );
        let stretches: Vec<_> = story.blocks.iter().map(|(block, _, stretch)| (*block, *stretch)).collect();
        assert_eq!(stretches, [(0, (0.0, 7.0)), (1, (8.0, 12.0))]);
    }
}
