//! What was found out about a client's levels (a breath, a sound), in `CODE.levels.json`: a later session can use it again.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::{Store, problem, read_at_most, write_whole};
use crate::code::ClientCode;
use crate::problem::Problem;
use crate::session::levels::LevelSource;

/// No such file is larger, in bytes.
const LARGEST: u64 = 1 << 20;
/// Devices that are kept; the oldest goes.
const MOST: usize = 20;

/// A calibration, and when it was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptLevel {
    /// Beginning of the session before which it was made, as RFC 3339.
    pub began: String,
    /// The device and what was found.
    pub level: LevelSource,
}

impl Store {
    /// Keeps what was found of this device; what was used again keeps its day.
    ///
    /// # Errors
    /// A warning, when it cannot be written: the session goes on, and has it in its log.
    pub fn keep_level(&self, client: &ClientCode, level: &LevelSource, began: &str) -> Result<(), Problem> {
        let mut all = self.levels(client);
        let same = |kept: &KeptLevel| kept.level.device == level.device;
        if all.iter().any(|kept| same(kept) && kept.level.calibration == level.calibration) {
            return Ok(());
        }
        all.retain(|kept| !same(kept));
        all.insert(0, KeptLevel { began: began.to_string(), level: level.clone() });
        all.truncate(MOST);
        let path = self.path(client);
        let bytes = serde_json::to_vec(&all).map_err(|error| problem(&path, error.to_string(), "calibrate again"))?;
        write_whole(&path, &bytes).map_err(|error| {
            let what = format!("the calibration is not kept for another session: {}", error.what);
            Problem::warning(&path.display().to_string(), None, what, &error.remedy)
        })
    }

    /// What was found of this device the last time; nothing where that cannot be read.
    #[must_use]
    pub fn level(&self, client: &ClientCode, device: &str) -> Option<KeptLevel> {
        self.levels(client).into_iter().find(|kept| kept.level.device == device)
    }

    /// A file that cannot be read is none: everything in it can be measured again.
    fn levels(&self, client: &ClientCode) -> Vec<KeptLevel> {
        let bytes = read_at_most(&self.path(client), LARGEST, "calibrate again").unwrap_or_default();
        serde_json::from_slice(&bytes).unwrap_or_default()
    }

    fn path(&self, client: &ClientCode) -> PathBuf {
        self.folder().join(format!("{client}.levels.json"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level::{Calibration, Range};
    use crate::session::levels::LevelKind;

    fn level(device: &str, effort: u32) -> LevelSource {
        let range = Range { least: 0, greatest: 1_000_000 };
        let calibration = Calibration { rest: 900, noise: 80, above: vec![effort; 3], below: Vec::new(), range };
        LevelSource {
            source: 1,
            kind: LevelKind::Sound,
            device: device.to_string(),
            unit: "Pa".to_string(),
            emulated: false,
            calibration,
            works: Vec::new(),
        }
    }

    #[test]
    fn a_calibration_is_found_again_by_its_client_and_device_with_its_day() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let client: ClientCode = "C1".parse().unwrap();
        assert_eq!(store.level(&client, "microphone"), None);
        store.keep_level(&client, &level("microphone", 50), "2026-03-04T10:00:00Z").unwrap();
        store.keep_level(&client, &level("pad 1", 70), "2026-03-05T10:00:00Z").unwrap();
        // Used again it keeps its day, made again it has a new one.
        store.keep_level(&client, &level("microphone", 50), "2026-03-06T10:00:00Z").unwrap();
        store.keep_level(&client, &level("pad 1", 80), "2026-03-06T10:00:00Z").unwrap();
        let day = |device| store.level(&client, device).map(|kept| (kept.began[..10].to_string(), kept.level));
        assert_eq!(day("microphone"), Some(("2026-03-04".to_string(), level("microphone", 50))));
        assert_eq!(day("pad 1"), Some(("2026-03-06".to_string(), level("pad 1", 80))));
        assert_eq!(store.level(&"C2".parse().unwrap(), "microphone"), None);
        let belongs = store.belongings(&client).unwrap();
        assert_eq!(belongs.files, [folder.path().join("C1.levels.json")], "it goes with the client");
    }

    #[test]
    fn a_file_that_is_none_is_measured_again() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let client: ClientCode = "C1".parse().unwrap();
        std::fs::write(store.path(&client), "[{\"began\": 1").unwrap();
        assert_eq!(store.level(&client, "microphone"), None);
        store.keep_level(&client, &level("microphone", 50), "2026-03-04T10:00:00Z").unwrap();
        assert!(store.level(&client, "microphone").is_some());
    }
}
