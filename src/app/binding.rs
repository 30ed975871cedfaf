//! What works a switch: a key or a mouse button, and its name in files and on the command line.
//!
//! Keys go by their place on the keyboard, not by the letter that a layout puts there. Names are
//! "key Space" (the place's name in the W3C standard "UI Events KeyboardEvent code Values"),
//! "key number 133" for a key that has no name there, and "mouse button 1".

use std::fmt;
use std::str::FromStr;

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error as NameError;
use winit::event::MouseButton;
use winit::keyboard::{KeyCode, PhysicalKey};

/// A key or a mouse button.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Binding {
    /// A key, by its place on the keyboard.
    Key(PhysicalKey),
    /// A mouse button.
    Mouse(MouseButton),
}

/// The mouse buttons that have a name, in the order in which they are numbered from 1.
const BUTTONS: [MouseButton; 5] =
    [MouseButton::Left, MouseButton::Middle, MouseButton::Right, MouseButton::Back, MouseButton::Forward];

impl fmt::Display for Binding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Binding::Key(PhysicalKey::Code(code)) => write!(out, "key {code:?}"),
            Binding::Key(PhysicalKey::Unidentified(native)) => {
                write!(out, "key number {}", native_number(*native).unwrap_or(0))
            }
            Binding::Mouse(button) => write!(out, "mouse button {}", button_number(*button)),
        }
    }
}

impl FromStr for Binding {
    type Err = String;

    /// Reads what `Display` writes; the word "key" may be left out, and capitals do not matter in
    /// "key" and "mouse button".
    fn from_str(text: &str) -> Result<Binding, String> {
        parse(text.trim()).ok_or_else(|| {
            format!(
                "cannot use `{text}` as a switch: write a key's place as `key Space` or `key KeyA`, or `mouse button 1`"
            )
        })
    }
}

fn parse(text: &str) -> Option<Binding> {
    if let Some(number) = after(text, "mouse button ") {
        return button(number.parse().ok()?).map(Binding::Mouse);
    }
    let name = after(text, "key ").unwrap_or(text);
    if let Some(number) = after(name, "number ") {
        return Some(Binding::Key(PhysicalKey::Unidentified(native(number.parse().ok()?))));
    }
    let deserializer: serde::de::value::StrDeserializer<'_, NameError> = name.into_deserializer();
    KeyCode::deserialize(deserializer).ok().map(|code| Binding::Key(PhysicalKey::Code(code)))
}

fn after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(start.len())?;
    head.eq_ignore_ascii_case(start).then_some(rest.trim())
}

fn button(number: u16) -> Option<MouseButton> {
    let place = usize::from(number.checked_sub(1)?);
    Some(BUTTONS.get(place).copied().unwrap_or(MouseButton::Other(number)))
}

fn button_number(button: MouseButton) -> u16 {
    match button {
        MouseButton::Other(number) => number,
        named => 1 + BUTTONS.iter().position(|one| *one == named).unwrap_or(0) as u16,
    }
}

fn native_number(native: winit::keyboard::NativeKeyCode) -> Option<u32> {
    use winit::keyboard::NativeKeyCode as Native;
    match native {
        Native::Unidentified => None,
        Native::Android(number) | Native::Xkb(number) => Some(number),
        Native::MacOS(number) | Native::Windows(number) => Some(u32::from(number)),
    }
}

/// The key of that number on this system.
fn native(number: u32) -> winit::keyboard::NativeKeyCode {
    use winit::keyboard::NativeKeyCode as Native;
    if cfg!(target_os = "macos") {
        Native::MacOS(number as u16)
    } else if cfg!(windows) {
        Native::Windows(number as u16)
    } else {
        Native::Xkb(number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_back() {
        for text in ["key Space", "key KeyA", "key F13", "mouse button 1", "mouse button 9", "key number 133"] {
            assert_eq!(text.parse::<Binding>().map(|binding| binding.to_string()), Ok(text.to_string()));
        }
        assert_eq!("Space".parse(), Ok(Binding::Key(PhysicalKey::Code(KeyCode::Space))));
        assert_eq!("Mouse button 3".parse(), Ok(Binding::Mouse(MouseButton::Right)));
    }

    #[test]
    fn what_is_no_switch_is_refused_with_an_example() {
        for text in ["", "key", "space bar", "mouse button 0", "mouse button x", "key number ", "mouse button 70000"] {
            let refusal = text.parse::<Binding>().expect_err(text);
            assert!(refusal.contains("key Space"), "{refusal}");
        }
    }
}
