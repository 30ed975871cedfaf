//! From the clinician's keys to inputs, and the line that says which one was taken.

use super::keys::Action;
use super::pace::{faster, set, slower};
use crate::session::event::Event;
use crate::session::input::{Input, Interruption, PauseReason, Prompt, Rating};
use crate::session::record::{Record, What};
use crate::time::Span;

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

/// What stands when a key is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Now {
    /// The question that a digit answers.
    pub question: Option<Rating>,
    /// The switch is in the assessor's hands.
    pub my_presses: bool,
    /// The scan interval from the next trial on, where the clinician may change it.
    pub interval: Option<Span>,
}

/// What has to be remembered between two keys.
#[derive(Clone, Debug, Default)]
pub struct Clinician {
    /// How many interruptions this trial has been given.
    interruptions: usize,
}

impl Clinician {
    /// The input that a key stands for and the words that confirm it. `None` for a key that asks
    /// for nothing now.
    pub fn press(&mut self, action: Action, now: Now) -> Option<(Input, String)> {
        let (input, words) = match action {
            Action::Help => return None,
            Action::Interruption => return Some(self.interrupt()),
            Action::MyPresses if now.my_presses => (Input::MyPresses { on: false }, "My presses: off"),
            Action::MyPresses => (Input::MyPresses { on: true }, "My presses: on"),
            Action::Next => (Input::Next, ""),
            Action::SkipBlock => (Input::SkipBlock, "Block skipped"),
            Action::Slower => return Some(set(slower(now.interval?))),
            Action::Faster => return Some(set(faster(now.interval?))),
            Action::PromptSpoken => (Input::Prompt { prompt: Prompt::Spoken }, "Helped by words"),
            Action::PromptTouched => (Input::Prompt { prompt: Prompt::Touched }, "Helped by touch"),
            Action::Exclude => (Input::Exclude { reason: EXCLUDED.into() }, "Last trial left out"),
            Action::Pause => (Input::Pause { why: PauseReason::Clinician }, ""),
            Action::End => (Input::End, ""),
            Action::Rating(value) => (answer(now.question?, value)?, ""),
        };
        Some((input, words.to_string()))
    }

    fn interrupt(&mut self) -> (Input, String) {
        let (interruption, name) = INTERRUPTIONS[self.interruptions % INTERRUPTIONS.len()];
        self.interruptions += 1;
        (Input::Interruption { interruption }, format!("Interruption: {name}"))
    }

    /// Starts over with each trial.
    pub fn follow(&mut self, records: &[Record]) {
        let began = |record: &Record| matches!(record.what, What::Event(Event::TrialBegan { .. }));
        if records.iter().any(began) {
            self.interruptions = 0;
        }
    }
}

/// Whether the clinician may ask for this from elsewhere than the board; what the switch, the screen and the
/// devices do is never asked for.
#[must_use]
pub fn is_clinicians(input: &Input) -> bool {
    match input {
        Input::Pause { why } => *why == PauseReason::Clinician,
        Input::MyPresses { .. }
        | Input::Next
        | Input::SkipBlock
        | Input::End
        | Input::Prompt { .. }
        | Input::Interruption { .. }
        | Input::Exclude { .. }
        | Input::Rate { .. }
        | Input::Set { .. }
        | Input::Note { .. } => true,
        _ => false,
    }
}

/// The answer, when the question has one of that value.
fn answer(question: Rating, value: u8) -> Option<Input> {
    (value <= question.greatest()).then_some(Input::Rate { question, value })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Moment;

    const NOW: Now = Now { question: None, my_presses: false, interval: None };

    #[test]
    fn the_switch_goes_into_the_other_hands() {
        let mut clinician = Clinician::default();
        let mut turned = |my_presses| clinician.press(Action::MyPresses, Now { my_presses, ..NOW }).unwrap().0;
        assert_eq!(turned(true), Input::MyPresses { on: false });
        assert_eq!(turned(false), Input::MyPresses { on: true });
    }

    #[test]
    fn each_press_names_the_next_interruption_and_a_new_trial_starts_over() {
        let mut clinician = Clinician::default();
        let mut named = || clinician.press(Action::Interruption, NOW).unwrap().1;
        assert_eq!((named(), named()), ("Interruption: cough".into(), "Interruption: suction".into()));
        let began = Event::TrialBegan { block: 1, trial: 2, target: "lamp".into() };
        clinician.follow(&[Record { at: Moment::START, what: What::Event(began) }]);
        assert_eq!(clinician.press(Action::Interruption, NOW).unwrap().1, "Interruption: cough");
    }

    #[test]
    fn the_scan_is_made_slower_only_where_the_clinician_sets_it() {
        let mut clinician = Clinician::default();
        assert_eq!(clinician.press(Action::Slower, NOW), None);
        let now = Now { interval: Some(Span::from_ms(1_200)), ..NOW };
        let (input, words) = clinician.press(Action::Slower, now).unwrap();
        assert_eq!(input, Input::Set { name: "scan_interval".into(), value: 1.3.into() });
        assert_eq!(words, "1.3 s per item from the next trial on");
    }

    #[test]
    fn a_digit_answers_only_what_is_asked() {
        let mut clinician = Clinician::default();
        let mut answered = |question, value| clinician.press(Action::Rating(value), Now { question, ..NOW });
        assert_eq!(answered(None, 7), None);
        let effort = Input::Rate { question: Rating::Effort, value: 10 };
        assert_eq!(answered(Some(Rating::Effort), 10).unwrap().0, effort);
        assert_eq!(answered(Some(Rating::Preference), 3), None);
    }
}
