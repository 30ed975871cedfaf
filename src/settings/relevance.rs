//! Which settings have any effect beside the others.

use super::{Id, Settings, Technique};

/// What makes a sound.
const SOUNDS: [Id; 5] = [Id::StepSound, Id::SelectSound, Id::CueSound, Id::ErrorSound, Id::Labels];

impl Settings {
    /// Whether another value of this setting would change anything while the others stay as they are. Of breath and
    /// voice the settings cannot say whether one is used: those have an effect once they differ from their defaults.
    #[must_use]
    pub fn has_effect(&self, id: Id) -> bool {
        let technique = self.technique();
        match id {
            Id::ScanInterval
            | Id::FirstAfterStart
            | Id::FirstInGroup
            | Id::FirstItemOn
            | Id::LoopsTop
            | Id::LoopsInside => matches!(technique, Technique::Automatic | Technique::Inverse),
            Id::AutoAccept => technique == Technique::StepAutoAccept,
            Id::Dwell | Id::LeaveTime | Id::LeaveAngle => technique == Technique::Dwell,
            Id::Debounce | Id::DropOut | Id::Hold | Id::Lockout | Id::ActOn | Id::StuckLimit | Id::LongPress => {
                technique != Technique::Dwell
            }
            Id::ItemTaken | Id::ScanWhileHeld => technique != Technique::Dwell && self.raw(Id::Hold) > 0,
            Id::LockoutFrom | Id::LockoutRestarts => technique != Technique::Dwell && self.raw(Id::Lockout) > 0,
            Id::LevelSoft | Id::LevelHard | Id::LevelLetGo | Id::LevelLeast | Id::LevelSettling | Id::RunLimit => {
                self.raw(id) != Settings::default().raw(id)
            }
            id if SOUNDS.contains(&id) => self.raw(Id::Volume) > 0,
            Id::Volume => SOUNDS.iter().any(|sound| self.raw(*sound) != 0),
            _ => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_that_nothing_asks_for_has_no_effect() {
        let settings = Settings::default();
        assert!(settings.has_effect(Id::ScanInterval) && settings.has_effect(Id::LockoutFrom));
        assert!(!settings.has_effect(Id::AutoAccept) && !settings.has_effect(Id::ItemTaken));
        assert!(settings.clone().with(Id::Hold, 100_000).has_effect(Id::ItemTaken));
        assert!(!settings.clone().with(Id::Lockout, 0).has_effect(Id::LockoutFrom));
        assert!(settings.with(Id::LevelSoft, 300).has_effect(Id::LevelSoft));
    }

    #[test]
    fn without_volume_no_sound_has_an_effect_and_without_a_sound_no_volume() {
        let (heard, silent) = (Settings::default(), Settings::default().with(Id::Volume, 0));
        for sound in SOUNDS {
            assert!(heard.has_effect(sound) && !silent.has_effect(sound), "{sound:?}");
        }
        assert!(silent.has_effect(Id::Volume), "raised, it would let them be heard");
        assert!(!SOUNDS.iter().fold(heard, |settings, sound| settings.with(*sound, 0)).has_effect(Id::Volume));
    }

    #[test]
    fn each_technique_has_its_own() {
        let dwell = Settings::for_technique("dwell");
        assert!(dwell.has_effect(Id::Dwell) && !dwell.has_effect(Id::ScanInterval) && !dwell.has_effect(Id::Hold));
        let step = Settings::for_technique("step-auto-accept");
        assert!(step.has_effect(Id::AutoAccept) && !step.has_effect(Id::ScanInterval) && step.has_effect(Id::Hold));
    }
}
