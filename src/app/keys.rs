//! The keys that are the clinician's, as one table: what each does and what it is called on screen.
//!
//! None of them can be a switch. Keys go by their place on the keyboard.

use winit::keyboard::{KeyCode, PhysicalKey};

use super::binding::Binding;

/// What a clinician's key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Show the keys, or put them away.
    Help,
    /// The switch goes into the assessor's hands, or back.
    MyPresses,
    /// Go on.
    Next,
    /// Leave this block.
    SkipBlock,
    /// The client was helped by words.
    PromptSpoken,
    /// The client was helped by touch.
    PromptTouched,
    /// Something came between; each press names the next kind.
    Interruption,
    /// Leave the last trial out of the findings.
    Exclude,
    /// A slower scan from the next trial on.
    Slower,
    /// A faster scan from the next trial on.
    Faster,
    /// Stop and wait.
    Pause,
    /// End the session.
    End,
    /// The client's answer, 0 to 10.
    Rating(u8),
}

/// A key of the clinician.
#[derive(Clone, Copy, Debug)]
pub struct Reserved {
    /// Its place on the keyboard.
    pub key: KeyCode,
    /// What it asks for.
    pub action: Action,
    /// What stands on it.
    pub label: &'static str,
    /// What it does, in a few words.
    pub does: &'static str,
}

const fn reserved(key: KeyCode, action: Action, label: &'static str, does: &'static str) -> Reserved {
    Reserved { key, action, label, does }
}

/// All of them but the digits, in the order in which the help page shows them.
pub const RESERVED: &[Reserved] = &[
    reserved(KeyCode::F1, Action::Help, "F1", "show these keys, or put them away"),
    reserved(KeyCode::F2, Action::MyPresses, "F2", "my presses: on or off"),
    reserved(KeyCode::F3, Action::Next, "F3", "begin, go on, carry on after a pause"),
    reserved(KeyCode::F4, Action::SkipBlock, "F4", "skip this block"),
    reserved(KeyCode::F5, Action::PromptSpoken, "F5", "helped by words"),
    reserved(KeyCode::F6, Action::PromptTouched, "F6", "helped by touch"),
    reserved(KeyCode::F7, Action::Interruption, "F7", "interruption: each press names the next kind"),
    reserved(KeyCode::F8, Action::Exclude, "F8", "leave out the last trial"),
    reserved(KeyCode::F9, Action::Pause, "F9", "pause"),
    reserved(KeyCode::Escape, Action::Pause, "Esc", "pause"),
    reserved(KeyCode::F10, Action::End, "F10", "end the session"),
    reserved(KeyCode::F11, Action::Slower, "F11", "scan slower from the next trial on"),
    reserved(KeyCode::F12, Action::Faster, "F12", "scan faster from the next trial on"),
    reserved(KeyCode::KeyT, Action::Rating(10), "T", "answer ten"),
];

/// The digits, by the answer they stand for; they are named in one line of the help page.
const DIGITS: [[KeyCode; 2]; 10] = [
    [KeyCode::Digit0, KeyCode::Numpad0],
    [KeyCode::Digit1, KeyCode::Numpad1],
    [KeyCode::Digit2, KeyCode::Numpad2],
    [KeyCode::Digit3, KeyCode::Numpad3],
    [KeyCode::Digit4, KeyCode::Numpad4],
    [KeyCode::Digit5, KeyCode::Numpad5],
    [KeyCode::Digit6, KeyCode::Numpad6],
    [KeyCode::Digit7, KeyCode::Numpad7],
    [KeyCode::Digit8, KeyCode::Numpad8],
    [KeyCode::Digit9, KeyCode::Numpad9],
];

/// The digit on this key.
#[must_use]
pub fn digit(key: KeyCode) -> Option<u8> {
    DIGITS.iter().position(|keys| keys.contains(&key)).map(|digit| digit as u8)
}

/// What this key asks for, if it is the clinician's.
#[must_use]
pub fn action(key: PhysicalKey) -> Option<Action> {
    let PhysicalKey::Code(key) = key else { return None };
    let named = RESERVED.iter().find(|reserved| reserved.key == key).map(|reserved| reserved.action);
    named.or_else(|| digit(key).map(Action::Rating))
}

/// Whether this is one of the keys that say yes everywhere.
#[must_use]
pub fn is_enter(binding: Binding) -> bool {
    [KeyCode::Enter, KeyCode::NumpadEnter].map(|code| Binding::Key(PhysicalKey::Code(code))).contains(&binding)
}

/// Why this cannot be a switch, for the clinician; `None` when it can.
#[must_use]
pub fn refusal(binding: Binding) -> Option<String> {
    let Binding::Key(key @ PhysicalKey::Code(code)) = binding else { return None };
    action(key)?;
    let named = RESERVED.iter().find(|reserved| reserved.key == code);
    let (label, does) = named.map_or(("A digit", "the client's answers"), |one| (one.label, one.does));
    Some(format!("{label} is kept for the clinician ({does}). Use another key."))
}

/// The lines of the help page.
#[must_use]
pub fn help() -> Vec<String> {
    let lines =
        RESERVED.iter().filter(|one| one.key != KeyCode::KeyT).map(|one| format!("{}: {}", one.label, one.does));
    lines.chain(["0 to 9, T for ten: the client's answer".to_string()]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(code: KeyCode) -> Binding {
        Binding::Key(PhysicalKey::Code(code))
    }

    #[test]
    fn every_reserved_key_is_refused_as_a_switch_by_its_label() {
        for one in RESERVED {
            let refusal = refusal(key(one.key)).expect(one.label);
            assert!(refusal.starts_with(one.label) && refusal.contains(one.does), "{refusal}");
        }
        assert!(refusal(key(KeyCode::Numpad7)).is_some_and(|words| words.contains("answers")));
    }

    #[test]
    fn keys_that_switch_interfaces_send_stay_free() {
        // Common practice, no source: such interfaces send space, enter or a mouse button.
        for free in [key(KeyCode::Space), key(KeyCode::Enter), Binding::Mouse(winit::event::MouseButton::Left)] {
            assert_eq!(refusal(free), None, "{free}");
        }
    }

    #[test]
    fn no_key_stands_twice_in_the_table() {
        for (place, one) in RESERVED.iter().enumerate() {
            assert!(RESERVED[place + 1..].iter().all(|other| other.key != one.key), "{}", one.label);
            assert_eq!(digit(one.key), None);
        }
    }

    #[test]
    fn digits_answer() {
        assert_eq!(action(PhysicalKey::Code(KeyCode::Digit0)), Some(Action::Rating(0)));
        assert_eq!(action(PhysicalKey::Code(KeyCode::Numpad9)), Some(Action::Rating(9)));
        assert_eq!(action(PhysicalKey::Code(KeyCode::KeyT)), Some(Action::Rating(10)));
    }
}
