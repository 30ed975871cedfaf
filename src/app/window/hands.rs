//! What the devices did, on its way to the pages or to the session.

use std::time::Instant;

use winit::event_loop::ActiveEventLoop;
use winit::keyboard::PhysicalKey;

use super::{App, Stage};
use crate::app::binding::Binding;
use crate::app::contacts::Change;
use crate::app::devices::flood::Passage;
use crate::app::devices::pad_thread::PadNews;
use crate::app::eye::Eye;
use crate::app::keys::{self, Action};
use crate::app::switches::Carrier;
use crate::session::input::Input;

impl App {
    /// A key or button, already stamped.
    pub(super) fn change(&mut self, at: Instant, change: Change) {
        if change.made_up && !change.down {
            // The keyboard is going away: said first, so that this release takes nothing.
            self.focus_is(at, false);
        }
        match self.devices.passage(at, change) {
            Some(Passage::Through) => {}
            Some(Passage::Again(left_out)) => self.say_left_out(at, change.binding, left_out),
            Some(Passage::ShutOut) => return self.flooded(at, change.binding),
            Some(Passage::LeftOut) | None => return,
        }
        if self.breath_key(at, change.binding, change.down) {
            return;
        }
        match &mut self.stage {
            Stage::Calibrating(_) if change.down && ends(change.binding) => self.stage = Stage::Over,
            Stage::Calibrating(calibrating) if change.down => calibrating.press(at, change.binding),
            Stage::Learning(_) if change.down && ends(change.binding) => self.stage = Stage::Over,
            Stage::Learning(learn) if change.down => learn.press(change.binding),
            Stage::Running(runner) => runner.change(at, change.binding, change.down),
            _ => {}
        }
    }

    /// The pointer is only followed where it works something.
    pub(super) fn pointer(&mut self, at: Instant, place: Option<(f64, f64)>, events: &ActiveEventLoop) {
        let eye = self.eye();
        let Stage::Running(runner) = &mut self.stage else { return };
        if runner.shows_pointer() {
            runner.pointer(at, place.map(|(x, y)| eye.place(x, y)));
            self.settle(events);
        }
    }

    pub(super) fn place_tiles(&mut self, now: Instant) {
        let eye = self.eye();
        let Stage::Running(runner) = &mut self.stage else { return };
        runner.place_tiles(now, &eye);
        let shows = runner.shows_pointer();
        if let Some(open) = &self.open {
            open.window.set_cursor_visible(shows);
        }
    }

    /// What the board looks like from the bed.
    fn eye(&self) -> Eye {
        let (board, width, height) = self.painted();
        Eye::new(board, width, height)
    }

    fn flooded(&mut self, at: Instant, binding: Binding) {
        if let Stage::Running(runner) = &mut self.stage {
            runner.flooded(at, binding);
        }
    }

    fn say_left_out(&mut self, at: Instant, binding: Binding, left_out: u64) {
        if let Stage::Running(runner) = &mut self.stage {
            let text = format!("{left_out} changes of {binding} were left out: they came faster than any hand");
            runner.input(at, Input::Note { text });
        }
    }

    pub(super) fn pad(&mut self, news: PadNews) {
        match news {
            PadNews::Edge { at, before_us, binding, down } => {
                self.change(at, Change { binding, down, repeat: false, made_up: false });
                if let Stage::Running(runner) = &mut self.stage {
                    runner.driver(at, binding, before_us);
                }
            }
            PadNews::Level(at, value) => self.breath_reads(at, value),
            PadNews::Stands(at, binding) => self.stands(at, binding),
            PadNews::Plugged(pad, _) => self.pad_is(Instant::now(), pad, true),
            PadNews::Unplugged(at, pad) => self.pad_is(at, pad, false),
            PadNews::Polled(step) => self.polled_us = Some(step),
            PadNews::None(why) => aside!("warning: {why}"),
        }
    }

    /// Triggers of many pads rest at one end: it concerns only what is to be a switch.
    fn stands(&mut self, at: Instant, binding: Binding) {
        let words =
            format!("{binding} stands at its end and presses nothing until it has been let go: look at its plug.");
        match &mut self.stage {
            Stage::Learning(learn) => learn.refuse(words),
            Stage::Running(runner) if runner.is_switch(binding) => runner.remark(at, words),
            Stage::Calibrating(_) | Stage::Running(_) | Stage::Over => {}
        }
    }

    fn pad_is(&mut self, at: Instant, pad: u8, here: bool) {
        if !here {
            self.devices.contacts.lose(|binding| matches!(binding, Binding::Pad(on, _) if on == pad));
        }
        if let Stage::Running(runner) = &mut self.stage {
            runner.carrier(at, Carrier::Pad(pad), here);
        }
        self.breath_pad(at, pad, here);
    }

    pub(super) fn focus_is(&mut self, at: Instant, here: bool) {
        self.breath_focus(at, here);
        if let Stage::Running(runner) = &mut self.stage {
            runner.focus(at, here);
        }
        if here {
            self.focus.settled()
        } else {
            self.focus.lost(at)
        }
        self.go_on_when_here(at, here);
    }
}

fn ends(binding: Binding) -> bool {
    matches!(binding, Binding::Key(key @ PhysicalKey::Code(_)) if keys::action(key) == Some(Action::End))
}
