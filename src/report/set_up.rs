//! Settings in force at the start, and the circumstances of the session.

use super::Material;
use super::markup::{Html, element, facts, plain, section};
use crate::session::setup::Setup;
use crate::settings::{Id, REGISTRY, Setting, Settings, show_value};

/// All settings, with those that differ from the defaults of the technique marked by a word.
pub(super) fn settings(material: &Material) -> Html {
    let settings = &material.header.settings;
    let defaults = Settings::for_technique(&show_value(Id::Technique, settings.raw(Id::Technique)));
    let rows: Vec<Html> =
        REGISTRY.iter().map(|setting| row(setting, settings.raw(setting.id), defaults.raw(setting.id))).collect();
    let columns = ["Setting", "Value", "Default"].map(|name| element("th", &[("scope", "col")], &[Html::text(name)]));
    let head = element("thead", &[], &[element("tr", &[], &columns)]);
    let note = "A block or the clinician may have changed some on the way; the log holds each change.";
    section("Settings at the start", &[plain("p", note), element("table", &[], &[head, element("tbody", &[], &rows)])])
}

fn row(setting: &Setting, raw: i64, default: i64) -> Html {
    let (value, changed) = if raw == default {
        ("span", String::new())
    } else {
        ("strong", format!("changed from {}", show_value(setting.id, default)))
    };
    let heading = element("th", &[("scope", "row")], &[Html::text(setting.label)]);
    let cell = |text: &str| element("td", &[], &[plain(value, text)]);
    element("tr", &[], &[heading, cell(&show_value(setting.id, raw)), cell(&changed)])
}

/// Who, where and how, as far as it was told.
pub(super) fn circumstances(material: &Material) -> Html {
    let mut told = told(&material.header.setup);
    told.retain(|(_, fact)| !fact.is_empty());
    if told.is_empty() {
        return section("Set-up", &[plain("p", "Nothing was told about the set-up.")]);
    }
    section("Set-up", &[facts(&told)])
}

fn told(setup: &Setup) -> Vec<(&'static str, String)> {
    let length = |millimetres: u32| if millimetres == 0 { String::new() } else { format!("{millimetres} mm") };
    vec![
        ("Body site", setup.site.clone()),
        ("Side", setup.side.clone()),
        ("Switch", setup.switch.clone()),
        ("Mounting", setup.mounting.clone()),
        ("Body position", setup.position.clone()),
        ("Eye to screen", length(setup.screen_distance_mm)),
        ("Width of the screen", length(setup.screen_width_mm)),
        ("Low vision", if setup.low_vision { "letters twice as large".into() } else { String::new() }),
        ("Look of the board", setup.look.clone()),
        ("Cue", setup.cue_kind.clone()),
        ("Answer to a press", setup.feedback.clone()),
        ("Breathing support", setup.breathing.clone()),
        ("Since the last rest", setup.since_rest.clone()),
        ("Since the last medication", setup.since_medication.clone()),
        ("Assessor", setup.assessor.clone()),
        ("Input", setup.devices.join(", ")),
        ("Words on the screen", words_on_screen(setup)),
    ]
}

fn words_on_screen(setup: &Setup) -> String {
    if setup.language.is_empty() {
        String::new()
    } else {
        format!("{}, version {}", setup.language, setup.text_version)
    }
}
