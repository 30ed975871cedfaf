//! The circumstances of a session that no switch can tell: they stand in the log's header.

use serde::{Deserialize, Serialize};

use crate::engine::effect::Role;

/// Who, where and how. All free texts may be empty; codes, never names.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Setup {
    /// Body site, for example "right cheek".
    pub site: String,
    /// Side of the body.
    pub side: String,
    /// Kind of switch.
    pub switch: String,
    /// How it is mounted.
    pub mounting: String,
    /// Body position.
    pub position: String,
    /// Eye to screen, in millimetres; 0 when it was not asked.
    pub screen_distance_mm: u32,
    /// Visible width of the screen, in millimetres; 0 when it was not asked.
    pub screen_width_mm: u32,
    /// Low vision: letters twice as large.
    pub low_vision: bool,
    /// Look of the board: "dark", "light" or "black-yellow".
    pub look: String,
    /// How the target is told: "words and picture", "spoken".
    pub cue_kind: String,
    /// What answers a press: "home", "mark".
    pub feedback: String,
    /// Breathing support, and its rate where known.
    pub breathing: String,
    /// Time since the last rest.
    pub since_rest: String,
    /// Time since the last medication.
    pub since_medication: String,
    /// What came of the sounds when they were tried at the bed; empty when they were not.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub sound: String,
    /// Code of the assessor.
    pub assessor: String,
    /// Version of the words on the screen.
    pub text_version: u32,
    /// Language of the words on the screen.
    pub language: String,
    /// What each switch is: "key Space", "mouse button 1", "pad 1 button South".
    pub devices: Vec<String>,
    /// Where the level comes from that works them, as `--breath` names it, or [`MICROPHONE`]; [`BREATH_KEYS`] where a
    /// breath works keys; else empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub level: String,
    /// What each does, where it is not left to the technique.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub roles: Vec<Role>,
}

/// [`Setup::level`] of a sound switch.
pub const MICROPHONE: &str = "microphone";
/// [`Setup::level`] of a breath whose interface sends keys or buttons: no level reaches this computer.
pub const BREATH_KEYS: &str = "keys";

/// Words by which a breath switch is known.
const BREATH: [&str; 5] = ["breath", "sip", "puff", "blow", "suck"];
/// Word before what an emulator works.
const EMULATED: &str = "emulated";

impl Setup {
    /// A breath works it, as was chosen or by what was typed: an interface that sends keys or buttons does not say.
    #[must_use]
    pub fn is_breath(&self) -> bool {
        if !self.level.is_empty() {
            return self.level != MICROPHONE;
        }
        let words = [&self.switch, &self.site].map(|text| text.to_lowercase());
        BREATH.iter().any(|word| words.iter().any(|text| text.contains(word)))
    }

    /// What works it was made up with keys.
    #[must_use]
    pub fn is_emulated(&self) -> bool {
        self.devices.iter().any(|device| device.starts_with(EMULATED))
    }
}
