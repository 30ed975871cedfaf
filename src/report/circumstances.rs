//! Who, where and how: the set-up, as the log's header states it.

use super::text::{escape, pairs};
use crate::log::header::Header;

/// The stated circumstances; what was not stated is named at the end.
pub(super) fn list(header: &Header) -> String {
    let (stated, missing): (Vec<_>, Vec<_>) = facts(header).into_iter().partition(|(_, value)| !value.is_empty());
    let names: Vec<String> = missing.iter().map(|(name, _)| name.to_lowercase()).collect();
    let rest = if names.is_empty() { String::new() } else { format!("<p>Not stated: {}.</p>\n", names.join(", ")) };
    // The size of the letters is always stated.
    pairs("pairs", stated.iter().map(|(name, value)| (name, escape(value)))) + &rest
}

fn facts(header: &Header) -> Vec<(&'static str, String)> {
    let setup = &header.setup;
    let texts = [
        ("Body site", &setup.site),
        ("Side", &setup.side),
        ("Switch", &setup.switch),
        ("Mounting", &setup.mounting),
        ("Body position", &setup.position),
        ("Look of the board", &setup.look),
        ("Cue", &setup.cue_kind),
        ("Answer to a press", &setup.feedback),
        ("Breathing support", &setup.breathing),
        ("Time since rest", &setup.since_rest),
        ("Time since medication", &setup.since_medication),
        ("Sounds at the bed", &setup.sound),
        ("Assessor", &setup.assessor),
        ("Language", &setup.language),
    ];
    let mut facts: Vec<_> = texts.into_iter().map(|(name, text)| (name, text.trim().to_string())).collect();
    facts.push(("Input", setup.devices.join(", ")));
    facts.push(("Eye to screen", millimetres(setup.screen_distance_mm)));
    facts.push(("Width of the screen", millimetres(setup.screen_width_mm)));
    facts.push(("Letters", if setup.low_vision { "twice as large, for low vision" } else { "usual size" }.into()));
    facts
}

fn millimetres(length: u32) -> String {
    if length == 0 { String::new() } else { format!("{length} mm") }
}
