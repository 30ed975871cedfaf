//! What works the switch of a set-up: whatever the board learns, a field that is touched, a breath, or a sound.

use egui::{ComboBox, RichText, TextEdit, Ui};

use crate::app::binding::Binding;
use crate::app::breath::source::{EMULATED, Source};
use crate::app::desk::parts::aside;
use crate::app::desk::theme::VERMILLION;
use crate::app::devices::touch::Zone;
use crate::desk::words::Words;
use crate::session::setup::{BREATH_KEYS, MICROPHONE, Setup};

/// An axis as most pads have one, to be written over.
const AXIS: &str = "pad 1 axis LeftStickY +";

#[derive(Clone, Copy, PartialEq, Eq)]
enum By {
    Working,
    Keys,
    Axis,
    Emulator,
    Sound,
    Field,
}

impl By {
    const ALL: [By; 6] = [By::Working, By::Field, By::Keys, By::Axis, By::Emulator, By::Sound];

    fn of(setup: &Setup) -> By {
        match setup.level.as_str() {
            "" if setup.devices.iter().any(|device| *device == field()) => By::Field,
            "" => By::Working,
            BREATH_KEYS => By::Keys,
            EMULATED => By::Emulator,
            MICROPHONE => By::Sound,
            _ => By::Axis,
        }
    }

    fn level(self) -> &'static str {
        match self {
            By::Working | By::Field => "",
            By::Keys => BREATH_KEYS,
            By::Axis => AXIS,
            By::Emulator => EMULATED,
            By::Sound => MICROPHONE,
        }
    }

    /// The switches that are known by it.
    fn devices(self) -> Vec<String> {
        if self == By::Field { vec![field()] } else { Vec::new() }
    }

    fn word(self, words: &Words) -> &str {
        match self {
            By::Field => &words.by_field,
            By::Working => &words.by_working,
            By::Keys => &words.by_keys,
            By::Axis => &words.by_axis,
            By::Emulator => &words.by_emulator,
            By::Sound => &words.by_sound,
        }
    }

    /// What to know of it, and what to mind.
    fn how(self, words: &Words) -> Vec<&String> {
        match self {
            By::Working => Vec::new(),
            By::Field => vec![&words.by_field_how],
            By::Keys => vec![&words.by_keys_how, &words.breath_unsuitable],
            By::Axis => vec![&words.by_axis_how, &words.breath_unsuitable],
            By::Emulator => vec![&words.by_emulator_how],
            By::Sound => vec![&words.by_sound_how],
        }
    }
}

/// The name of the switch that is a field of the screen.
fn field() -> String {
    Binding::Touch(Zone::Field).to_string()
}

pub(super) fn show(ui: &mut Ui, words: &Words, setup: &mut Setup) {
    let before = By::of(setup);
    let mut by = before;
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(RichText::new(&words.switch_by).weak());
        let list = ComboBox::from_id_salt(ui.next_auto_id()).width(330.0).height(330.0);
        let list = list.selected_text(by.word(words));
        let list = list.show_ui(ui, |ui| {
            By::ALL.into_iter().for_each(|one| _ = ui.selectable_value(&mut by, one, one.word(words)));
        });
        list.response.labelled_by(label.id);
    });
    if by != before {
        // What was learned of the one is no switch of the other.
        (setup.level, setup.devices) = (by.level().into(), by.devices());
    }
    if by == By::Axis {
        axis(ui, words, &mut setup.level);
    }
    by.how(words).into_iter().for_each(|how| aside(ui, how));
}

fn axis(ui: &mut Ui, words: &Words, axis: &mut String) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(RichText::new(&words.by_axis_named).weak());
        ui.add(TextEdit::singleline(axis).desired_width(330.0)).labelled_by(label.id);
    });
    if let Err(why) = Source::read(axis) {
        ui.label(RichText::new(why.replace('`', "'")).color(VERMILLION));
    }
}
