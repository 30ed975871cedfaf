//! One valid value for each setting.

use super::{Id, REGISTRY, SettingError};
use crate::time::Span;

const COUNT: usize = REGISTRY.len();

/// A full set of valid settings. Every change is checked, so every value is in range.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    raw: [i64; COUNT],
}

macro_rules! choices {
    ($($(#[$doc:meta])* $name:ident, $get:ident, $id:ident { $($(#[$vdoc:meta])* $variant:ident),* $(,)? })*) => {
        $($(#[$doc])* #[derive(Clone, Copy, Debug, PartialEq, Eq)] pub enum $name { $($(#[$vdoc])* $variant),* })*
        impl Settings {
            $($(#[$doc])* #[must_use] pub fn $get(&self) -> $name {
                const ALL: &[$name] = &[$($name::$variant),*];
                ALL[self.raw(Id::$id) as usize]
            })*
        }
        #[cfg(test)]
        fn choice_lengths() -> Vec<(Id, usize)> { vec![$((Id::$id, [$($name::$variant),*].len())),*] }
    };
}

choices! {
    /// How the switch works the menu.
    Technique, technique, Technique {
        /// The highlight moves by itself.
        Automatic,
        /// One switch moves, another takes.
        Step,
        /// One switch moves, a pause takes.
        StepAutoAccept,
        /// Hold to scan, let go to take.
        Inverse,
        /// A pointer rests on an item.
        Dwell,
    }
    /// The order of the highlight.
    PatternChoice, pattern, Pattern {
        /// Linear up to nine items, row-column above.
        BySize,
        /// One item after the other.
        Linear,
        /// Rows, then items.
        RowColumn,
        /// Columns, then items.
        ColumnRow,
        /// The menu's own groups, then items.
        GroupItem,
    }
    /// Which passes wait longer on their first item.
    FirstItemOn, first_item_on, FirstItemOn {
        /// The first pass after a start or an entry.
        FirstPass,
        /// Every pass.
        EveryPass,
    }
    /// Where the scan goes after an item was taken.
    AfterSelection, after_selection, AfterSelection {
        /// To the top.
        Restart,
        /// To the next entry of the same group.
        CarryOn,
        /// Nowhere: it waits for a start.
        Stop,
    }
    /// What starts the scan.
    StartBy, start, Start {
        /// Nothing is needed.
        Itself,
        /// A press.
        Press,
    }
    /// Where a group offers the way back.
    ExitPlace, exit, Exit {
        /// As its last entry.
        Last,
        /// As its first entry.
        First,
        /// Nowhere.
        None,
    }
    /// Which item a held press takes.
    ItemTaken, item_taken, ItemTaken {
        /// The one lit at acceptance.
        Acceptance,
        /// The one lit at the press.
        Press,
    }
    /// Whether the highlight moves while the switch is held.
    ScanWhileHeld, scan_while_held, ScanWhileHeld {
        /// It does.
        RunsOn,
        /// It does not.
        Waits,
    }
    /// From where the lockout counts.
    LockoutFrom, lockout_from, LockoutFrom {
        /// The release.
        Release,
        /// The press.
        Press,
    }
    /// Which edge takes the item.
    ActOn, act_on, ActOn {
        /// The closing one.
        Press,
        /// The opening one.
        Release,
    }
    /// What is heard when the highlight moves, beside the step sound.
    Labels, labels, Labels {
        /// Nothing more.
        Off,
        /// A tone whose pitch says the place.
        Tones,
        /// The label, where there is one; else the tone.
        Spoken,
    }
}

macro_rules! spans {
    ($($(#[$doc:meta])* $get:ident, $id:ident;)*) => {
        impl Settings { $($(#[$doc])* #[must_use] #[inline] pub fn $get(&self) -> Span { Span(self.raw(Id::$id) as u64) })* }
    };
}

spans! {
    /// How long an item stays lit.
    scan_interval, ScanInterval;
    /// Added to the first item after a start or a cue.
    first_after_start, FirstAfterStart;
    /// Added to the first item inside a group.
    first_in_group, FirstInGroup;
    /// Nothing is lit after a selection.
    pause_after_selection, PauseAfterSelection;
    /// The cue stands alone.
    cue_lead, CueLead;
    /// The pause that takes an item in step scanning with one switch.
    auto_accept, AutoAccept;
    /// Contact bounce.
    debounce, Debounce;
    /// Releases shorter than this do not end a press.
    drop_out, DropOut;
    /// A press counts only once held this long; zero is off.
    hold, Hold;
    /// Presses within this time of an accepted one are ignored.
    lockout, Lockout;
    /// A switch held longer is reported; see the registry for inverse scanning.
    stuck_limit, StuckLimit;
    /// Long press; zero is off.
    long_press, LongPress;
    /// Dwell time.
    dwell, Dwell;
    /// Leave tolerance by time.
    leave_time, LeaveTime;
    /// Shorter breaths are none.
    level_least, LevelLeast;
    /// A soft breath is one that has not grown for this long.
    level_settling, LevelSettling;
}

impl Default for Settings {
    fn default() -> Settings {
        Settings::for_technique("automatic")
    }
}

impl Settings {
    /// The pattern in force: a pointer goes straight to its tile, whatever the pattern of a scan.
    #[must_use]
    pub fn pattern_in_force(&self) -> PatternChoice {
        if self.technique() == Technique::Dwell { PatternChoice::Linear } else { self.pattern() }
    }

    /// The defaults under a technique, by its name in the registry.
    #[must_use]
    pub fn for_technique(technique: &str) -> Settings {
        let mut raw = [0; COUNT];
        for (place, setting) in raw.iter_mut().zip(REGISTRY) {
            *place = setting.default_for(technique);
        }
        let mut settings = Settings { raw };
        if let super::Kind::Choice(options) = Id::Technique.setting().kind
            && let Some(index) = options.iter().position(|(name, _)| *name == technique)
        {
            settings.raw[Id::Technique as usize] = index as i64;
        }
        settings
    }

    /// The raw value of a setting: microseconds, count, per mille, thousandths of a degree, choice index.
    #[must_use]
    #[inline]
    pub fn raw(&self, id: Id) -> i64 {
        self.raw[id as usize]
    }

    /// Changes one setting.
    ///
    /// # Errors
    /// When the value is out of range; nothing changes then.
    pub fn set_raw(&mut self, id: Id, raw: i64) -> Result<(), SettingError> {
        if !id.setting().allows(raw) {
            return Err(SettingError::OutOfRange { id, raw });
        }
        self.raw[id as usize] = raw;
        Ok(())
    }

    /// The same settings with one changed; for code that knows the value to be valid.
    ///
    /// # Panics
    /// When the value is out of range.
    #[must_use]
    pub fn with(mut self, id: Id, raw: i64) -> Settings {
        self.set_raw(id, raw).unwrap_or_else(|error| panic!("{error}"));
        self
    }

    /// Passes at the top before the scan stops; `None` is no limit.
    #[must_use]
    pub fn loops_top(&self) -> Option<u32> {
        u32::try_from(self.raw(Id::LoopsTop)).ok().filter(|loops| *loops > 0)
    }

    /// Passes inside a group before the scan goes back; `None` is no limit.
    #[must_use]
    pub fn loops_inside(&self) -> Option<u32> {
        u32::try_from(self.raw(Id::LoopsInside)).ok().filter(|loops| *loops > 0)
    }

    /// Presses in a row before the session rests; `None` is no limit.
    #[must_use]
    pub fn run_limit(&self) -> Option<u32> {
        u32::try_from(self.raw(Id::RunLimit)).ok().filter(|limit| *limit > 0)
    }

    /// Whether an ignored press starts the lockout again.
    #[must_use]
    pub fn lockout_restarts(&self) -> bool {
        self.raw(Id::LockoutRestarts) == 1
    }

    /// The share of presses that may come late, as a fraction.
    #[must_use]
    pub fn late_limit(&self) -> f64 {
        self.share(Id::LateLimit)
    }

    /// Where a soft press of a level begins, as a fraction of a comfortable effort.
    #[must_use]
    pub fn level_soft(&self) -> f64 {
        self.share(Id::LevelSoft)
    }

    /// Where a hard press of a level begins, as a fraction of a comfortable effort.
    #[must_use]
    pub fn level_hard(&self) -> f64 {
        self.share(Id::LevelHard)
    }

    /// Where a press of a level ends, as a fraction of where a soft one begins.
    #[must_use]
    pub fn level_let_go(&self) -> f64 {
        self.share(Id::LevelLetGo)
    }

    fn share(&self, id: Id) -> f64 {
        self.raw(id) as f64 / 1_000.0
    }

    /// A short tone at each step.
    #[must_use]
    pub fn step_sound(&self) -> bool {
        self.raw(Id::StepSound) == 1
    }

    /// A tone at each press that counts.
    #[must_use]
    pub fn select_sound(&self) -> bool {
        self.raw(Id::SelectSound) == 1
    }

    /// A tone when there is something to be read.
    #[must_use]
    pub fn cue_sound(&self) -> bool {
        self.raw(Id::CueSound) == 1
    }

    /// Another tone at a wrong choice.
    #[must_use]
    pub fn error_sound(&self) -> bool {
        self.raw(Id::ErrorSound) == 1
    }

    /// The settings that differ from those of `other`.
    pub fn differences<'a>(&'a self, other: &'a Settings) -> impl Iterator<Item = Id> + 'a {
        REGISTRY.iter().map(|setting| setting.id).filter(|id| self.raw(*id) != other.raw(*id))
    }

    /// All warnings that the values call for, with the setting that causes each.
    #[must_use]
    pub fn cautions(&self) -> Vec<(Id, &'static str)> {
        REGISTRY.iter().filter_map(|setting| Some((setting.id, setting.caution_at(self.raw(setting.id))?))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Kind;

    #[test]
    fn every_choice_has_as_many_variants_as_the_registry_lists() {
        for (id, variants) in choice_lengths() {
            let Kind::Choice(options) = id.setting().kind else { panic!("{id:?} is a choice") };
            assert_eq!(options.len(), variants, "{id:?}");
        }
    }

    #[test]
    fn defaults_follow_the_technique() {
        assert_eq!(Settings::default().lockout(), Span::from_ms(500));
        assert_eq!(Settings::for_technique("step").lockout(), Span::from_ms(200));
        assert_eq!(Settings::for_technique("inverse").drop_out(), Span::from_ms(100));
        assert_eq!(Settings::for_technique("inverse").technique(), Technique::Inverse);
    }

    #[test]
    fn a_value_out_of_range_changes_nothing() {
        let mut settings = Settings::default();
        assert!(settings.set_raw(Id::ScanInterval, 1).is_err());
        assert_eq!(settings, Settings::default());
    }
}
