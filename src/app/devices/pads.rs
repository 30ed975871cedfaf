//! Gamepads, joysticks and the switch interfaces that look like one: buttons, and axes each way.

use gilrs::{Axis, Button};

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "pad",
    example: "pad 1 button South",
    remark: "Two pads of one make are told apart only while both stay plugged in. Unplugging is seen.",
    read,
};

/// Something of a pad that can be worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Control {
    /// A button with a usual place.
    Button(Button),
    /// A button without one, by the number that this system gives it.
    Number(u32),
    /// One side of an axis.
    Axis {
        /// Which axis.
        axis: Axis,
        /// The side of the greater values: right, or up.
        more: bool,
    },
    /// One side of an axis that has no name.
    AxisNumber {
        /// The number that this system gives it.
        number: u32,
        /// The side of the greater values.
        more: bool,
    },
}

const BUTTONS: [Button; 19] = [
    Button::South,
    Button::East,
    Button::North,
    Button::West,
    Button::C,
    Button::Z,
    Button::LeftTrigger,
    Button::LeftTrigger2,
    Button::RightTrigger,
    Button::RightTrigger2,
    Button::Select,
    Button::Start,
    Button::Mode,
    Button::LeftThumb,
    Button::RightThumb,
    Button::DPadUp,
    Button::DPadDown,
    Button::DPadLeft,
    Button::DPadRight,
];
const AXES: [Axis; 8] = [
    Axis::LeftStickX,
    Axis::LeftStickY,
    Axis::LeftZ,
    Axis::RightStickX,
    Axis::RightStickY,
    Axis::RightZ,
    Axis::DPadX,
    Axis::DPadY,
];

/// The name of a control; `pad` counts from 1.
#[must_use]
pub fn name(pad: u8, control: Control) -> String {
    let side = |more: bool| if more { '+' } else { '-' };
    match control {
        Control::Button(button) => format!("pad {pad} button {button:?}"),
        Control::Number(number) => format!("pad {pad} button number {number}"),
        Control::Axis { axis, more } => format!("pad {pad} axis {axis:?} {}", side(more)),
        Control::AxisNumber { number, more } => format!("pad {pad} axis number {number} {}", side(more)),
    }
}

fn read(text: &str) -> Option<Binding> {
    let (pad, rest) = after(text, "pad ")?.split_once(' ')?;
    let pad: u8 = pad.parse().ok().filter(|pad| *pad > 0)?;
    let control = after(rest, "button ").and_then(button).or_else(|| after(rest, "axis ").and_then(axis))?;
    Some(Binding::Pad(pad, control))
}

fn button(name: &str) -> Option<Control> {
    if let Some(number) = after(name, "number ") {
        return number.parse().ok().map(Control::Number);
    }
    BUTTONS.iter().find(|one| format!("{one:?}").eq_ignore_ascii_case(name)).map(|one| Control::Button(*one))
}

fn axis(text: &str) -> Option<Control> {
    let (name, side) = text.rsplit_once(' ')?;
    let more = match side {
        "+" => true,
        "-" => false,
        _ => return None,
    };
    if let Some(number) = after(name, "number ") {
        return number.parse().ok().map(|number| Control::AxisNumber { number, more });
    }
    let axis = AXES.iter().find(|one| format!("{one:?}").eq_ignore_ascii_case(name))?;
    Some(Control::Axis { axis: *axis, more })
}
