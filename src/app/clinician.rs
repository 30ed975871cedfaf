//! From the clinician's keys to inputs, and the line that says which one was taken.

use super::keys::Action;
use crate::session::event::Event;
use crate::session::input::{Input, Interruption, PauseReason, Prompt, Rating};
use crate::session::record::{Record, What};

/// In the order in which the key names them.
const INTERRUPTIONS: [(Interruption, &str); 5] = [
    (Interruption::Cough, "cough"),
    (Interruption::Suction, "suction"),
    (Interruption::Spasm, "spasm"),
    (Interruption::Talk, "talk"),
    (Interruption::Care, "care"),
];

/// The reason that the log gives for a trial left out by the key.
const EXCLUDED: &str = "left out by the clinician";

/// What has to be remembered between two keys.
#[derive(Clone, Debug)]
pub struct Clinician {
    /// The switch is in the assessor's hands: so it is until the first block begins.
    my_presses: bool,
    /// How many interruptions this trial has been given.
    interruptions: usize,
}

impl Default for Clinician {
    fn default() -> Self {
        Clinician { my_presses: true, interruptions: 0 }
    }
}

impl Clinician {
    /// The input that a key stands for and the words that confirm it; `question` is what is being
    /// asked. `None` for a key that asks for nothing now.
    pub fn press(&mut self, action: Action, question: Option<Rating>) -> Option<(Input, String)> {
        let (input, words) = match action {
            Action::Help => return None,
            Action::MyPresses => return Some(self.hand_over()),
            Action::Interruption => return Some(self.interrupt()),
            Action::Next => (Input::Next, ""),
            Action::SkipBlock => (Input::SkipBlock, "Block skipped"),
            Action::PromptSpoken => (Input::Prompt { prompt: Prompt::Spoken }, "Helped by words"),
            Action::PromptTouched => (Input::Prompt { prompt: Prompt::Touched }, "Helped by touch"),
            Action::Exclude => (Input::Exclude { reason: EXCLUDED.into() }, "Last trial left out"),
            Action::Pause => (Input::Pause { why: PauseReason::Clinician }, ""),
            Action::End => (Input::End, ""),
            Action::Rating(value) => (Input::Rate { question: question?, value }, ""),
        };
        Some((input, words.to_string()))
    }

    fn hand_over(&mut self) -> (Input, String) {
        self.my_presses = !self.my_presses;
        let words = if self.my_presses { "My presses: on" } else { "My presses: off" };
        (Input::MyPresses { on: self.my_presses }, words.to_string())
    }

    fn interrupt(&mut self) -> (Input, String) {
        let (interruption, name) = INTERRUPTIONS[self.interruptions % INTERRUPTIONS.len()];
        self.interruptions += 1;
        (Input::Interruption { interruption }, format!("Interruption: {name}"))
    }

    /// Keeps up with what the session did by itself.
    pub fn follow(&mut self, records: &[Record]) {
        for record in records {
            match &record.what {
                What::Event(Event::BlockBegan { block: 0, .. }) | What::Input(Input::Next) => self.my_presses = false,
                What::Event(Event::TrialBegan { .. }) => self.interruptions = 0,
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::event::BlockKind;
    use crate::time::Moment;

    fn event(event: Event) -> Record {
        Record { at: Moment::START, what: What::Event(event) }
    }

    #[test]
    fn the_first_block_takes_the_switch_out_of_the_assessors_hands() {
        let mut clinician = Clinician::default();
        clinician.follow(&[event(Event::BlockBegan { block: 0, kind: BlockKind::Reaction })]);
        let (input, words) = clinician.press(Action::MyPresses, None).unwrap();
        assert_eq!((input, words.as_str()), (Input::MyPresses { on: true }, "My presses: on"));
    }

    #[test]
    fn each_press_names_the_next_interruption_and_a_new_trial_starts_over() {
        let mut clinician = Clinician::default();
        let mut named = || clinician.press(Action::Interruption, None).unwrap().1;
        assert_eq!((named(), named()), ("Interruption: cough".into(), "Interruption: suction".into()));
        clinician.follow(&[event(Event::TrialBegan { block: 1, trial: 2, target: "lamp".into() })]);
        assert_eq!(clinician.press(Action::Interruption, None).unwrap().1, "Interruption: cough");
    }

    #[test]
    fn a_digit_answers_only_what_is_asked() {
        let mut clinician = Clinician::default();
        assert_eq!(clinician.press(Action::Rating(7), None), None);
        let answer = clinician.press(Action::Rating(7), Some(Rating::Effort)).unwrap().0;
        assert_eq!(answer, Input::Rate { question: Rating::Effort, value: 7 });
    }
}
