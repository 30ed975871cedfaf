//! Gathers what the window reports of its devices into changes, and lets raw edges through.

use std::time::Instant;

use winit::dpi::PhysicalPosition;
use winit::event::{ElementState, WindowEvent};

use super::flood::{Floods, Passage};
use super::touch::Touch;
use super::wheel::Wheel;
use crate::app::binding::Binding;
use crate::app::board::Rect;
use crate::app::contacts::{Change, Contacts};

/// All devices of the window, and what they hold down.
#[derive(Clone, Debug, Default)]
pub struct Gather {
    /// What is down.
    pub contacts: Contacts,
    floods: Floods,
    /// The wheel.
    pub wheel: Wheel,
    /// The fingers on the screen.
    pub touch: Touch,
}

impl Gather {
    /// The changes that an event of the window stands for; `None` when it is none of a device. `width`
    /// is that of the window, in pixels; `field` is the one that can be touched.
    pub fn changes(&mut self, event: &WindowEvent, width: u32, field: Rect) -> Option<Vec<Change>> {
        let plain = |binding, down| Change { binding, down, repeat: false, made_up: false };
        match event {
            WindowEvent::KeyboardInput { event, is_synthetic, .. } => {
                let down = event.state == ElementState::Pressed;
                let binding = Binding::Key(event.physical_key);
                Some(vec![Change { binding, down, repeat: event.repeat, made_up: *is_synthetic }])
            }
            WindowEvent::MouseInput { state, button, .. } => {
                Some(vec![plain(Binding::Mouse(*button), *state == ElementState::Pressed)])
            }
            WindowEvent::MouseWheel { delta, .. } => {
                let notches = self.wheel.notches(*delta);
                Some(notches.into_iter().flat_map(|notch| [plain(notch, true), plain(notch, false)]).collect())
            }
            WindowEvent::Touch(touch) => {
                let PhysicalPosition { x, y } = touch.location;
                let (across, on_field) = (x / f64::from(width.max(1)), field.holds(x, y));
                let changed = self.touch.change(touch.id, touch.phase, across, on_field);
                Some(changed.map(|(binding, down)| plain(binding, down)).into_iter().collect())
            }
            _ => None,
        }
    }

    /// What becomes of a change; `None` when it is no raw edge.
    pub fn passage(&mut self, at: Instant, change: Change) -> Option<Passage> {
        self.contacts.edge(change).then(|| self.floods.edge(at, change.binding))
    }
}
