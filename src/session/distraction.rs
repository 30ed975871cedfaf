//! Something else in the simulated home changes while a task is under way: a lamp goes on, the music stops.
//!
//! Nobody pressed for it, and nothing is asked about it. It stands in the log, so that presses around it can be told.
//! Where sound is on a short tone goes with it (`sound/cue.rs`); what is heard is always seen too.

use super::Session;
use super::course::Target;
use super::event::Event;
use super::record::Record;
use crate::rng::Stream;
use crate::time::{Moment, Span};

/// Earliest and latest instant after the cue, in seconds: while the scan runs. Common practice, no source.
const AFTER_CUE: [f64; 2] = [1.5, 6.0];

/// A change to come.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Distraction {
    /// When.
    pub at: Moment,
    /// Id of the thing in the simulated home.
    thing: String,
}

impl Session {
    /// What distracts from the trial that begins now, in a block with distractions and a home with something harmless
    /// in it. Each trial draws from a stream of its own.
    pub(super) fn draw_distraction(&self, target: Target) -> Option<Distraction> {
        let progress = self.progress.as_ref().filter(|progress| progress.block.distractions)?;
        let Target::Item(item) = target else { return None };
        let things = self.home.bystanders(self.item(item));
        if things.is_empty() {
            return None;
        }
        let name = format!("distraction {} of block {}", progress.number, progress.index);
        let mut stream = Stream::named(self.plan.seed, &name);
        let thing = things[stream.below(things.len() as u64) as usize].to_string();
        let [from, to] = AFTER_CUE;
        let after = Span::from_seconds(from + (to - from) * stream.unit()).unwrap_or(Span::ZERO);
        Some(Distraction { at: self.now + after, thing })
    }

    /// It happens.
    pub(super) fn distract(&mut self, distraction: &Distraction, out: &mut Vec<Record>) {
        self.home.turn(&distraction.thing);
        self.tell(Event::Distracted { thing: distraction.thing.clone() }, out);
        self.show_again(out);
    }
}
