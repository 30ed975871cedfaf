//! What works a switch, and its name in files and on the command line.
//!
//! Keys go by their place on the keyboard, not by the letter that a layout puts there. Names are
//! "key Space" (the place's name in the W3C standard "UI Events KeyboardEvent code Values"),
//! "key number 133" for a key that has no name there, "mouse button 1", "mouse wheel up",
//! "touch anywhere", "pad 1 button South", "pad 1 axis LeftStickX +" and "breath soft puff".

use std::fmt;
use std::str::FromStr;

use winit::event::MouseButton;
use winit::keyboard::PhysicalKey;

use super::devices::pads::Control;
use super::devices::touch::Zone;
use super::devices::wheel::Turn;
use super::devices::{KINDS, keyboard, level, mouse, pads, touch, wheel};
use crate::level::Way;

/// Something that can be worked. What each kind of device knows of it stands in `devices`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Binding {
    /// A key, by its place on the keyboard.
    Key(PhysicalKey),
    /// A mouse button.
    Mouse(MouseButton),
    /// A notch of the mouse wheel.
    Wheel(Turn),
    /// A part of a touch screen.
    Touch(Zone),
    /// Something of a pad; pads are counted from 1.
    Pad(u8, Control),
    /// A press of a level, by the number of its source.
    Level(u8, Way),
}

impl fmt::Display for Binding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Binding::Key(key) => out.write_str(&keyboard::name(*key)),
            Binding::Mouse(button) => write!(out, "mouse button {}", mouse::number(*button)),
            Binding::Wheel(turn) => write!(out, "mouse wheel {}", wheel::word(*turn)),
            Binding::Touch(zone) => write!(out, "touch {}", touch::words(*zone)),
            Binding::Pad(pad, control) => out.write_str(&pads::name(*pad, *control)),
            Binding::Level(source, way) => out.write_str(&level::name(*source, *way)),
        }
    }
}

impl FromStr for Binding {
    type Err = String;

    /// Reads what `Display` writes; the word "key" may be left out, and capitals do not matter before
    /// the name of a key.
    fn from_str(text: &str) -> Result<Binding, String> {
        let examples = || KINDS.iter().map(|kind| format!("`{}`", kind.example)).collect::<Vec<_>>().join(", ");
        KINDS
            .iter()
            .find_map(|kind| (kind.read)(text.trim()))
            .ok_or_else(|| format!("cannot use `{text}` as a switch: write it as {}", examples()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use winit::keyboard::KeyCode;

    #[test]
    fn names_are_read_back() {
        let names = [
            "key Space",
            "key KeyA",
            "key F13",
            "mouse button 1",
            "mouse button 9",
            "key number 133",
            "mouse wheel left",
            "touch right half",
            "touch field",
            "pad 1 button number 66000",
            "pad 12 axis DPadY -",
            "pad 3 axis number 196625 +",
        ];
        for text in names {
            assert_eq!(text.parse::<Binding>().map(|binding| binding.to_string()), Ok(text.to_string()));
        }
        assert_eq!("Space".parse(), Ok(Binding::Key(PhysicalKey::Code(KeyCode::Space))));
        assert_eq!("Mouse button 3".parse(), Ok(Binding::Mouse(MouseButton::Right)));
    }

    #[test]
    fn what_is_no_switch_is_refused_with_an_example() {
        let names = [
            "",
            "key",
            "space bar",
            "mouse button 0",
            "mouse button x",
            "key number ",
            "mouse button 70000",
            "pad",
            "pad 0 button South",
            "pad 1 button",
            "pad 1 axis LeftStickX",
            "pad 1 axis LeftStickX *",
            "touch",
            "wheel",
        ];
        for text in names {
            let refusal = text.parse::<Binding>().expect_err(text);
            assert!(refusal.contains("key Space") && refusal.contains("pad 1 button South"), "{refusal}");
        }
    }
}
