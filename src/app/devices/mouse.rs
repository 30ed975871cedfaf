//! Mouse buttons, numbered from 1.

use winit::event::MouseButton;

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "mouse button",
    example: "mouse button 1",
    remark: "Two mice cannot be told apart: a button is the same switch on each. Nor is it seen that one is unplugged.",
    read,
};

/// The buttons that have a name, in the order in which they are numbered.
const BUTTONS: [MouseButton; 5] =
    [MouseButton::Left, MouseButton::Middle, MouseButton::Right, MouseButton::Back, MouseButton::Forward];

/// The number of a button.
#[must_use]
pub fn number(button: MouseButton) -> u16 {
    match button {
        MouseButton::Other(number) => number,
        named => 1 + BUTTONS.iter().position(|one| *one == named).unwrap_or(0) as u16,
    }
}

fn read(text: &str) -> Option<Binding> {
    let number: u16 = after(text, "mouse button ")?.parse().ok()?;
    let place = usize::from(number.checked_sub(1)?);
    Some(Binding::Mouse(BUTTONS.get(place).copied().unwrap_or(MouseButton::Other(number))))
}
