//! What can work a switch: one file a kind of device, in one list.
//!
//! Whatever the device, only stamped edges leave here: a [`Binding`] went down or up. Keys, mouse
//! buttons, wheel and touch come with the window's events; pads have a thread of their own.

pub mod axis;
pub mod connected;
pub mod flood;
pub mod gather;
pub mod keyboard;
pub mod level;
pub mod mouse;
pub mod pad_thread;
pub mod pads;
pub mod pointer;
pub mod polling;
pub mod touch;
pub mod wheel;

use super::binding::Binding;

/// A kind of device.
pub struct Kind {
    /// What it is called.
    pub name: &'static str,
    /// How one of its switches is written.
    pub example: &'static str,
    /// What the clinician has to know of it.
    pub remark: &'static str,
    /// The switch of that name, if it is of this kind.
    pub read: fn(&str) -> Option<Binding>,
}

/// All of them. The keyboard comes last: its names need no word before them.
pub const KINDS: &[Kind] = &[mouse::KIND, wheel::KIND, touch::KIND, pads::KIND, level::KIND, keyboard::KIND];

/// What follows a word at the beginning of a name, in any case of letters.
fn after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(start.len())?;
    head.eq_ignore_ascii_case(start).then_some(rest.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_reads_its_own_example_back() {
        for kind in KINDS {
            let binding = (kind.read)(kind.example).unwrap_or_else(|| panic!("{}", kind.name));
            assert_eq!(binding.to_string(), kind.example);
            assert_eq!(kind.example.parse(), Ok(binding), "no other kind takes it");
        }
    }
}
