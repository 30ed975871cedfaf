//! The graded steps: from "anything you press" to the client's own menu, each a small protocol with a
//! rule that says when it is mastered.
//!
//! The order is common practice, no source.

use super::mastery::Mastery;
use crate::menu::{self, Menu};
use crate::session::event::BlockKind;
use crate::session::protocol::Protocol;
use crate::session::protocol_file;
use crate::settings::{Id, Technique};

/// One step.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    /// Its name in plans.
    pub id: &'static str,
    /// When it is mastered.
    pub mastery: Mastery,
    /// There is something to choose from, so the pacing sets how fast.
    pub paced: bool,
    /// The client's own menu takes the place of the protocol's.
    pub own_menu: bool,
    protocol: &'static str,
}

macro_rules! protocol {
    ($id:literal) => {
        include_str!(concat!("../../trials/practice/", $id, ".json"))
    };
}

const PLAIN: Step = Step { id: "", mastery: Mastery::MOST, paced: false, own_menu: false, protocol: "" };

/// All steps, the easiest first.
pub static STEPS: &[Step] = &[
    Step { id: "anything", mastery: Mastery::Presses(8), protocol: protocol!("anything"), ..PLAIN },
    Step { id: "when-lit", protocol: protocol!("when-lit"), ..PLAIN },
    Step { id: "wait-then-press", protocol: protocol!("wait-then-press"), ..PLAIN },
    Step { id: "two-items", paced: true, protocol: protocol!("two-items"), ..PLAIN },
    Step { id: "three-items", paced: true, protocol: protocol!("three-items"), ..PLAIN },
    Step { id: "five-items", paced: true, protocol: protocol!("five-items"), ..PLAIN },
    Step { id: "hold-and-release", protocol: protocol!("hold-and-release"), ..PLAIN },
    Step { id: "row-then-item", paced: true, protocol: protocol!("row-then-item"), ..PLAIN },
    Step { id: "household", mastery: Mastery::MOST_TASKS, paced: true, protocol: protocol!("household"), ..PLAIN },
    Step {
        id: "with-distractions",
        mastery: Mastery::MOST_TASKS,
        paced: true,
        protocol: protocol!("with-distractions"),
        ..PLAIN
    },
    Step { id: "own-menu", mastery: Mastery::MOST_TASKS, paced: true, own_menu: true, protocol: protocol!("own-menu") },
];

/// The step of this name.
#[must_use]
pub fn find(id: &str) -> Option<&'static Step> {
    STEPS.iter().find(|step| step.id == id)
}

impl Step {
    /// There is nothing to choose from, so it is about a press alone.
    #[must_use]
    pub fn needs_a_switch(&self) -> bool {
        let kind = self.protocol().0.blocks.last().map(|block| block.kind);
        matches!(kind, Some(BlockKind::FirstContact | BlockKind::Reaction))
    }

    /// What the pacing sets: the scan interval where the highlight moves by itself, the dwell time where a pointer
    /// works it; nothing where the client moves it.
    #[must_use]
    pub fn paces(&self, technique: Technique) -> Option<Id> {
        let paces = match technique {
            Technique::Automatic | Technique::Inverse => Some(Id::ScanInterval),
            Technique::Dwell => Some(Id::Dwell),
            Technique::Step | Technique::StepAutoAccept => None,
        };
        paces.filter(|_| self.paced)
    }

    /// Its protocol and menu.
    ///
    /// # Panics
    /// Never for steps that passed the tests of this module.
    #[must_use]
    pub fn protocol(&self) -> (Protocol, Menu) {
        let read = protocol_file::read(self.id, self.protocol, menu::shipped::find);
        read.protocol.expect("shipped steps are valid")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::mastery::Whole;
    use crate::session::event::TaskEnd;
    use crate::stats::sequential::Verdict;

    #[test]
    fn every_step_is_a_valid_protocol_of_one_block_that_the_client_can_end() {
        for step in STEPS {
            let read = protocol_file::read(step.id, step.protocol, menu::shipped::find);
            assert_eq!(read.problems, [], "{}", step.id);
            let (protocol, _) = step.protocol();
            assert!(protocol.blocks.len() == 1 && protocol.alone, "{}", step.id);
        }
    }

    #[test]
    fn every_step_has_attempts_enough_to_be_mastered_or_found_too_hard() {
        for step in STEPS {
            let block = &step.protocol().0.blocks[0];
            let attempts = block.trials + block.tasks.iter().map(|task| task.len() as u32).sum::<u32>();
            let drawn = (0..block.trials).step_by(block.together.max(1).into()).map(|_| block.together);
            let choices = block.tasks.iter().map(|task| task.len() as u16).chain(drawn);
            let mut tasks: Vec<Whole> = choices.map(|choices| Whole { choices, end: TaskEnd::Right }).collect();
            // With one error on the way.
            tasks.iter_mut().take(1).for_each(|task| task.end = TaskEnd::Mended);
            let masters = step.mastery.after(attempts.saturating_sub(1), 1, attempts, &tasks) == Verdict::Good;
            assert!(masters || block.kind == BlockKind::FirstContact, "{}: {attempts}", step.id);
        }
    }

    #[test]
    fn only_a_moving_highlight_is_paced() {
        for step in STEPS {
            assert_ne!(step.needs_a_switch(), step.paced, "{}", step.id);
        }
    }
}
