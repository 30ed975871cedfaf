//! Keys, by their place on the keyboard, and what most switch interfaces send.

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error as NameError;
use winit::keyboard::{KeyCode, NativeKeyCode, PhysicalKey};

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "keyboard",
    example: "key Space",
    remark: "Two keyboards cannot be told apart: a key is the same switch on each. Nor is it seen that one is unplugged.",
    read,
};

/// The name of a key.
#[must_use]
pub fn name(key: PhysicalKey) -> String {
    match key {
        PhysicalKey::Code(code) => format!("key {code:?}"),
        PhysicalKey::Unidentified(native) => format!("key number {}", native_number(native).unwrap_or(0)),
    }
}

fn read(text: &str) -> Option<Binding> {
    let name = after(text, "key ").unwrap_or(text);
    if let Some(number) = after(name, "number ") {
        return Some(Binding::Key(PhysicalKey::Unidentified(native(number.parse().ok()?))));
    }
    let deserializer: serde::de::value::StrDeserializer<'_, NameError> = name.into_deserializer();
    KeyCode::deserialize(deserializer).ok().map(|code| Binding::Key(PhysicalKey::Code(code)))
}

fn native_number(native: NativeKeyCode) -> Option<u32> {
    match native {
        NativeKeyCode::Unidentified => None,
        NativeKeyCode::Android(number) | NativeKeyCode::Xkb(number) => Some(number),
        NativeKeyCode::MacOS(number) | NativeKeyCode::Windows(number) => Some(u32::from(number)),
    }
}

/// The key of that number on this system.
fn native(number: u32) -> NativeKeyCode {
    if cfg!(target_os = "macos") {
        NativeKeyCode::MacOS(number as u16)
    } else if cfg!(windows) {
        NativeKeyCode::Windows(number as u16)
    } else {
        NativeKeyCode::Xkb(number)
    }
}
