//! What is plugged in, and what cannot be told apart.

use std::collections::BTreeMap;

use crate::app::binding::Binding;

/// One device that the system knows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// What the system calls it.
    pub name: String,
    /// It has keys, buttons of a mouse, or those of a pad.
    pub kind: FoundKind,
}

/// What a device acts as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FoundKind {
    /// As a keyboard.
    Keyboard,
    /// As a mouse, or another pointer.
    Mouse,
    /// As a gamepad or joystick.
    Pad,
}

impl FoundKind {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            FoundKind::Keyboard => "keyboard",
            FoundKind::Mouse => "mouse or pointer",
            FoundKind::Pad => "pad or joystick",
        }
    }
}

/// The devices in the kernel's own list; `None` where there is no such list.
#[must_use]
pub fn found() -> Option<Vec<Found>> {
    std::fs::read_to_string("/proc/bus/input/devices").ok().map(|text| read(&text))
}

/// Reads the list as Linux writes it: one paragraph a device.
fn read(text: &str) -> Vec<Found> {
    text.split("\n\n").flat_map(device).collect()
}

/// A device may act as more than one thing.
fn device(paragraph: &str) -> Vec<Found> {
    let line = |start: &str| paragraph.lines().find_map(|line| line.strip_prefix(start));
    let name = line("N: Name=").map_or("without a name", |name| name.trim_matches('"'));
    let handlers: Vec<&str> = line("H: Handlers=").unwrap_or_default().split_whitespace().collect();
    let has = |start: &str| handlers.iter().any(|handler| handler.starts_with(start));
    // Buttons of the machine itself act as a keyboard too; only what has keys that repeat is one.
    let keys = has("kbd") && line("B: EV=").is_some_and(|events| events.trim().starts_with("12"));
    let kinds = [(keys, FoundKind::Keyboard), (has("mouse"), FoundKind::Mouse), (has("js"), FoundKind::Pad)];
    let of = |kind| Found { name: name.to_string(), kind };
    kinds.into_iter().filter(|(is, _)| *is).map(|(_, kind)| of(kind)).collect()
}

/// What cannot be told apart, a sentence each.
#[must_use]
pub fn twins(found: &[Found]) -> Vec<String> {
    let mut kinds: BTreeMap<FoundKind, Vec<&str>> = BTreeMap::new();
    found.iter().for_each(|one| kinds.entry(one.kind).or_default().push(&one.name));
    kinds.into_iter().filter_map(|(kind, names)| twin(kind, &names)).collect()
}

/// The same of the devices that this switch may be on.
#[must_use]
pub fn twin_of(found: &[Found], switch: Binding) -> Option<String> {
    let kind = match switch {
        Binding::Key(_) => FoundKind::Keyboard,
        Binding::Mouse(_) | Binding::Wheel(_) => FoundKind::Mouse,
        Binding::Pad(..) => FoundKind::Pad,
        Binding::Touch(_) | Binding::Level(..) => return None,
    };
    let names: Vec<&str> = found.iter().filter(|one| one.kind == kind).map(|one| one.name.as_str()).collect();
    twin(kind, &names)
}

fn twin(kind: FoundKind, names: &[&str]) -> Option<String> {
    let alike = |name: &&&str| names.iter().filter(|other| other == name).count() > 1;
    match kind {
        FoundKind::Keyboard | FoundKind::Mouse if names.len() > 1 => Some(format!(
            "{} devices act as a {} ({}): they cannot be told apart, the same key or button is one switch on all of them.",
            names.len(),
            kind.word(),
            names.join(", ")
        )),
        FoundKind::Pad => names.iter().find(alike).map(|name| {
            format!(
                "Two pads are called `{name}`: once unplugged they cannot be told apart. Learn the switch again then."
            )
        }),
        FoundKind::Keyboard | FoundKind::Mouse => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As Linux writes it; the names are invented.
    const LIST: &str = "\
I: Bus=0019 Vendor=0000 Product=0001 Version=0000
N: Name=\"Power Button\"
H: Handlers=kbd event0
B: EV=3

I: Bus=0003 Vendor=0001 Product=0001 Version=0111
N: Name=\"Desk keyboard\"
H: Handlers=sysrq kbd event1 leds
B: EV=120013

I: Bus=0003 Vendor=0001 Product=0002 Version=0111
N: Name=\"Switch box\"
H: Handlers=sysrq kbd mouse0 event2
B: EV=120017

I: Bus=0003 Vendor=0001 Product=0003 Version=0111
N: Name=\"Chin stick\"
H: Handlers=event3 js0
B: EV=1b

I: Bus=0003 Vendor=0001 Product=0003 Version=0111
N: Name=\"Chin stick\"
H: Handlers=event4 js1
B: EV=1b
";

    #[test]
    fn devices_are_what_they_act_as() {
        let found: Vec<(String, FoundKind)> = read(LIST).into_iter().map(|one| (one.name, one.kind)).collect();
        let expected = [
            ("Desk keyboard", FoundKind::Keyboard),
            ("Switch box", FoundKind::Keyboard),
            ("Switch box", FoundKind::Mouse),
            ("Chin stick", FoundKind::Pad),
            ("Chin stick", FoundKind::Pad),
        ];
        assert_eq!(found, expected.map(|(name, kind)| (name.to_string(), kind)));
    }

    #[test]
    fn what_cannot_be_told_apart_is_said() {
        let said = twins(&read(LIST));
        assert_eq!(said.len(), 2, "{said:?}");
        assert!(said[0].contains("Desk keyboard, Switch box") && said[0].contains("one switch on all of them"));
        assert!(said[1].contains("`Chin stick`"));
        assert_eq!(twins(&read("")), Vec::<String>::new());
    }
}
