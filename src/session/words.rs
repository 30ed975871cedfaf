//! Every word that the client's screen shows during a session, in one place.
//!
//! Where a breath or a sound works the menu its verb stands instead of "Press" (`doing.rs`).
//! Cues are imperatives of few words, adult in tone; there is no praise, no score and no countdown.

/// Version of these words; stands in the log's header.
pub const TEXT_VERSION: u32 = 5;
/// Language of these words; stands in the log's header.
pub const LANGUAGE: &str = "en-GB";

/// First contact.
pub const CONTACT: &str = "Press when you like.";
/// Switch check.
pub const CHECK: &str = "Switch check";
/// What to do in it.
pub const CHECK_HOW: &str = "Work the switch ten times, short and long, in no rhythm. F3 ends the check.";
/// Quiet watch.
pub const WATCH: &str = "Rest. Nothing to press.";
/// Reaction.
pub const REACTION: &str = "Press when it lights. Take your time.";
/// Timed press.
pub const TIMED: &str = "Press on the marked tile.";
/// The same with a pointer.
pub const TIMED_POINTER: &str = "Rest on the marked tile.";
/// Timed press with a hold.
pub const TIMED_HOLD: &str = "Press and hold on the marked tile.";
/// The tile that is held.
pub const HOLD: &str = "Press when it lights, and hold.";
/// When it is full.
pub const HOLD_FULL: &str = "Let go.";
/// When it was let go too soon.
pub const HOLD_SHORT: &str = "Hold until the edge is full.";
/// When it was not let go.
pub const HOLD_LONG: &str = "Let go when the edge is full.";
/// Pairs of presses.
pub const REPEAT: &str = "Press twice.";
/// The rest page.
pub const REST: &str = "Resting. Press when you are ready.";
/// The same after many breaths in a row, where the client is alone.
pub const REST_BREATHS: &str = "Breathe as usual. Press when you feel well.";
/// The same where a pointer works the menu.
pub const REST_POINTER: &str = "Resting. Point there when you are ready.";
/// The question after a rest.
pub const QUESTION: &str = "Rest, or carry on?";
/// The question where practice can be ended.
pub const QUESTION_WITH_END: &str = "Rest, carry on, or end?";
/// The question before practice.
pub const QUESTION_START: &str = "Start when you are ready.";
/// The question whether the end was meant.
pub const QUESTION_END: &str = "End now? Doing nothing rests.";
/// The question when a step is over.
pub const QUESTION_NEXT: &str = "What comes next?";
/// The page of the bell.
pub const BELL: &str = "Nobody has been called.";
/// What the bell is.
pub const BELL_MEANS: &str = "This bell rings on this computer only. It is no call system: for help, call as always.";
/// The exit tile of a group.
pub const BACK: &str = "Back";
/// The second choice when a choice needs confirming.
pub const YES: &str = "Yes";
/// The page of a pause.
pub const PAUSED: &str = "One moment, please.";
/// The page of a pause that the client can leave.
pub const PAUSED_ALONE: &str = "Paused. Press to go on.";
/// The page of a stuck switch.
pub const STUCK: &str = "Switch still pressed: check skin and position";
/// The same where a breath or a sound is the switch.
pub const STILL_ON: &str = "Still on: let go, and look at the sensor";
/// The page after the call switch: what a press of the real bell would not leave open.
pub const CALLED: &str = "Practice call: nobody has been called";
/// The page at the end.
pub const FINISHED: &str = "Finished. Thank you.";
/// The page while the switch is in the assessor's hands.
pub const MINE: &str = "Assessor's presses";

/// What a calibration of a breath asks for.
pub const PUFF: &str = "Puff, comfortably.";
/// See there.
pub const SIP: &str = "Sip, comfortably.";
/// Between two efforts.
pub const BREATHE: &str = "Rest. Breathe as usual.";
/// The page before it.
pub const BREATH_BEFORE: &str = "Breath switch: calibration";
/// What to mind with a breath switch.
pub const BREATH_MIND: [&str; 5] = [
    "Rest is measured for 8 s, then three efforts to each side in use, ten seconds apart: comfortable, never the greatest.",
    "Leave ventilator, circuit, cuff and oxygen as they are: nothing here is a reason to change them.",
    "Do without breath where the lips do not seal, a mask covers the mouth, or swallowing is unsafe.",
    "A mouthpiece belongs to one person. Clean or change mouthpiece, tube and filter as your policy says.",
    "Stop at breathlessness, dizziness, tingling or a change of colour.",
];
/// How it begins.
pub const BREATH_BEGINS: &str = "Enter or F3 begins.";
/// Under the waveform.
pub const BREATH_HOW: &str = "F4 begins again, F10 ends.";
/// The page after it.
pub const BREATH_FOUND: &str = "Breath switch: calibrated";
/// How it goes on.
pub const BREATH_GO_ON: &str = "Enter or F3 goes on, F4 calibrates again.";
/// When a calibration that was kept may be used.
pub const KEPT_MIND: &str =
    "Use it again only with the same sensor in the same place, and where nothing else has changed.";
/// How it is used.
pub const KEPT_GO_ON: &str = "Enter or F3 uses it, F4 calibrates again.";
/// Efforts differ by more than twice.
pub const BREATH_UNEVEN: &str = "These efforts differ by more than twice: better calibrate again.";
/// An effort was cut off.
pub const BREATH_CUT_OFF: &str = "The sensor came to its end: a gentler effort, or less gain, tells more.";
/// The page of a calibration that cannot be used.
pub const BREATH_REFUSED: &str = "This breath cannot be a switch as it is.";
/// What to do then.
pub const BREATH_TRY_AGAIN: &str = "Enter or F3 tries again, F10 ends.";
/// At the edge of every page while breaths are made up.
pub const EMULATED: &str = "Emulated breath: these presses are made with keys.";

/// What that means.
pub const MINE_MEANS: &str = "Try the switch: it lights the picture above. These presses are not counted.";
/// What it means where a pointer works the session.
pub const MINE_POINTER: &str = "The pointer takes nothing yet. Try whether it comes to every corner of the screen.";
/// How the first block begins.
pub const BEGIN: &str = "F3 begins. Hand the switch to the client first.";
/// How it begins where a pointer works it.
pub const BEGIN_POINTER: &str = "F3 begins. Leave the pointer to the client first, outside the tiles.";
/// How it goes on there.
pub const HAND_BACK_POINTER: &str = "F3 goes on with the client's pointer.";
/// How the session goes on with the client's presses.
pub const HAND_BACK: &str = "F3 goes on with the client's presses.";
/// A restarting lockout lets nothing through.
pub const SHUT_OUT: &str = "The repeat lockout has let no press through for 5 s. Shorten it, or let it not restart.";

/// What the protocol asks of the client.
#[must_use]
pub fn cost(cost: &super::cost::Cost) -> String {
    format!("It asks the client for {cost}.")
}

/// The question that the clinician may answer with a digit.
#[must_use]
pub fn rating(question: super::input::Rating) -> &'static str {
    use super::input::Rating;
    match question {
        Rating::Effort => "Effort, 0 none to 10 greatest: type the digit, T for ten, or go on.",
        Rating::Discomfort => "Discomfort, 0 none to 10 greatest: type the digit, T for ten, or go on.",
        Rating::Dizziness => {
            "Ask: does the client feel dizzy? 0 not at all to 10 greatest: type the digit, T for ten. Breathe as usual \
             until it has passed."
        }
        Rating::Preference => "Which did the client prefer? 1 this one, 2 the one before, 0 no preference.",
    }
}

/// What is wrong with the level of a breath or a voice, and what to do.
#[must_use]
pub fn level_trouble(trouble: crate::level::Trouble) -> &'static str {
    use crate::level::Trouble;
    match trouble {
        Trouble::Stands => "The level does not come back to rest. Look at sensor and plug; calibrate again.",
        Trouble::Moved => "The level rests elsewhere than when it was calibrated. Calibrate again.",
        Trouble::Trembles => "The level comes and goes at its threshold, too shortly to count. Calibrate again.",
        Trouble::Unusable => "The device gives something that is no level. Look at its plug.",
    }
}

/// Why a session waits, for the clinician or, where the client works `alone`, for whoever comes by.
#[must_use]
pub fn pause(reason: super::input::PauseReason, alone: bool) -> &'static str {
    use super::input::PauseReason as Reason;
    match reason {
        Reason::Lag if alone => "The screen could not keep up. Close other programs.",
        Reason::Unplugged if alone => "The switch is unplugged. Someone must plug it in.",
        Reason::Clinician => "Paused. F3 carries on, F10 ends the session.",
        Reason::FocusLost => "Someone must click on this window: the switch does not reach it.",
        Reason::Stuck => STUCK,
        Reason::Lag => "The screen could not keep up. Close other programs, then F3.",
        Reason::Unplugged => "The switch is unplugged. Plug it in again, or work another one twice.",
        Reason::Flooded => "The switch changes faster than any hand: check its plug and cable, then F3.",
        Reason::Screen => "The screen has changed. Look whether the client sees it well, then F3.",
        Reason::Call => "The client worked the call switch. Ask what is needed; F3 carries on.",
    }
}

/// What the home says after a wrong choice: what happened, and how on.
#[must_use]
pub fn wrong(taken: &str, wanted: &str) -> String {
    format!("That was {}. {} comes next.", phrase(taken), capital(&phrase(wanted)))
}

/// "Lamp" → "the lamp".
fn phrase(label: &str) -> String {
    let mut letters = label.chars();
    let lower: String = match letters.next() {
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => label.to_string(),
    };
    format!("the {lower}")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_wrong_choice_says_what_happened_and_how_on() {
        assert_eq!(super::wrong("Fan", "Lamp"), "That was the fan. The lamp comes next.");
        assert_eq!(super::wrong("TV", "Lamp"), "That was the TV. The lamp comes next.");
    }
}
