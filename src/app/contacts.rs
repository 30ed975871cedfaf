//! From what the window system reports to raw edges: key repeat never becomes one.
//!
//! A key that was already down when the keyboard came to the window has not been pressed here, so
//! neither it nor its repeats nor its release are edges. A key that is down when the keyboard goes
//! away is released then, because nobody will say when it really is.

use super::binding::Binding;

/// One change of a key or button, as the window system reports it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// What changed.
    pub binding: Binding,
    /// It is down now.
    pub down: bool,
    /// The window system says that it repeats by itself.
    pub repeat: bool,
    /// Made up by the window system when the keyboard came or went.
    pub made_up: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Held {
    /// Its press was an edge.
    Here,
    /// Down since before anyone here looked.
    Before,
}

/// All keys and buttons that are down.
#[derive(Clone, Debug, Default)]
pub struct Contacts {
    down: Vec<(Binding, Held)>,
}

impl Contacts {
    /// Whether this change is a raw edge.
    pub fn edge(&mut self, change: Change) -> bool {
        let place = self.down.iter().position(|(binding, _)| *binding == change.binding);
        match (place, change.down) {
            (None, true) => {
                let held = if change.made_up || change.repeat { Held::Before } else { Held::Here };
                self.down.push((change.binding, held));
                held == Held::Here
            }
            (Some(place), false) => self.down.swap_remove(place).1 == Held::Here,
            (None, false) | (Some(_), true) => false,
        }
    }

    /// What can no longer say that it is let go is down no more.
    pub fn lose(&mut self, lost: impl Fn(Binding) -> bool) {
        self.down.retain(|(binding, _)| !lost(*binding));
    }

    /// What is down now has been pressed for somebody else: its release is no edge.
    pub fn forget(&mut self) {
        self.down.iter_mut().for_each(|(_, held)| *held = Held::Before);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use winit::event::MouseButton;

    fn change(down: bool) -> Change {
        Change { binding: Binding::Mouse(MouseButton::Left), down, repeat: false, made_up: false }
    }

    #[test]
    fn repeats_are_no_edges_whether_marked_or_not() {
        let mut contacts = Contacts::default();
        assert!(contacts.edge(change(true)));
        assert!(!contacts.edge(Change { repeat: true, ..change(true) }));
        assert!(!contacts.edge(change(true)));
        assert!(contacts.edge(change(false)));
        assert!(!contacts.edge(change(false)));
    }

    #[test]
    fn a_key_held_from_before_is_not_pressed_here() {
        let mut contacts = Contacts::default();
        assert!(!contacts.edge(Change { made_up: true, ..change(true) }));
        assert!(!contacts.edge(change(true)), "its repeat, which nobody marks");
        assert!(!contacts.edge(change(false)));
        assert!(contacts.edge(change(true)));
    }

    #[test]
    fn a_key_down_when_the_keyboard_goes_is_released() {
        let mut contacts = Contacts::default();
        contacts.edge(change(true));
        assert!(contacts.edge(Change { made_up: true, ..change(false) }));
    }

    #[test]
    fn the_press_that_ended_one_page_is_not_released_on_the_next() {
        let mut contacts = Contacts::default();
        contacts.edge(change(true));
        contacts.forget();
        assert!(!contacts.edge(change(false)));
        assert!(contacts.edge(change(true)));
    }
}
