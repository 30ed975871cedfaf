//! The timing settings: their description, their values and how they are read and written.
//!
//! [`REGISTRY`] describes each setting once; [`Settings`] holds one valid value for each. Times are
//! whole microseconds inside and seconds in files and text.

mod registry;
mod relevance;
pub mod rounding;
mod text;
mod values;

pub use registry::{Id, REGISTRY};
pub use text::{SettingError, allowed, find, parse_value, show_evenly, show_value, value_from_json, value_to_json};
pub use values::{
    ActOn, AfterSelection, ExitPlace, FirstItemOn, ItemTaken, Labels, LockoutFrom, PatternChoice, ScanWhileHeld,
    Settings, StartBy, Technique,
};

/// The description of one setting.
#[derive(Debug)]
pub struct Setting {
    /// Which one.
    pub id: Id,
    /// Its name in files, on the command line and in exports.
    pub name: &'static str,
    /// Its name for people.
    pub label: &'static str,
    /// Unit, range and step.
    pub kind: Kind,
    /// The raw default: microseconds, count, per mille, thousandths of a degree, or choice index.
    pub default: i64,
    /// Other defaults for some techniques, by the technique's name.
    pub by_technique: &'static [(&'static str, i64)],
    /// One line.
    pub short: &'static str,
    /// A few sentences.
    pub long: &'static str,
    /// What to warn of at some values.
    pub caution: Option<Caution>,
}

/// Unit, range and step of a setting. Bounds are raw values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A time; raw microseconds, shown in seconds.
    Time {
        /// Least value.
        min: i64,
        /// Greatest value.
        max: i64,
        /// Step that a form offers.
        step: i64,
    },
    /// A time that may be off; off is 0.
    OptionalTime {
        /// Least value when on.
        min: i64,
        /// Greatest value.
        max: i64,
        /// Step that a form offers.
        step: i64,
    },
    /// A count; 0 stands for no limit where that is allowed.
    Count {
        /// Least value.
        min: i64,
        /// Greatest value.
        max: i64,
        /// Whether "no limit" is allowed.
        unlimited: bool,
    },
    /// A share; raw per mille, shown in per cent.
    Share {
        /// Least value.
        min: i64,
        /// Greatest value.
        max: i64,
        /// Step that a form offers.
        step: i64,
    },
    /// An angle; raw thousandths of a degree, shown in degrees.
    Angle {
        /// Least value.
        min: i64,
        /// Greatest value.
        max: i64,
        /// Step that a form offers.
        step: i64,
    },
    /// One of a list of (name, label).
    Choice(&'static [(&'static str, &'static str)]),
}

/// A warning that a value calls for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caution {
    /// It applies to raw values below this one.
    pub below: i64,
    /// What to say.
    pub text: &'static str,
}

impl Setting {
    /// The default raw value under a technique, given by its name.
    #[must_use]
    pub fn default_for(&self, technique: &str) -> i64 {
        self.by_technique.iter().find(|(name, _)| *name == technique).map_or(self.default, |(_, raw)| *raw)
    }

    /// Whether `raw` is a valid value.
    #[must_use]
    pub fn allows(&self, raw: i64) -> bool {
        match self.kind {
            Kind::Time { min, max, .. } | Kind::Share { min, max, .. } | Kind::Angle { min, max, .. } => {
                (min..=max).contains(&raw)
            }
            Kind::OptionalTime { min, max, .. } => raw == 0 || (min..=max).contains(&raw),
            Kind::Count { min, max, unlimited } => {
                (min..=max).contains(&raw) || (unlimited && raw == registry::NO_LIMIT)
            }
            Kind::Choice(options) => usize::try_from(raw).is_ok_and(|index| index < options.len()),
        }
    }

    /// The warning that `raw` calls for, if any.
    #[must_use]
    pub fn caution_at(&self, raw: i64) -> Option<&'static str> {
        self.caution.filter(|caution| raw < caution.below).map(|caution| caution.text)
    }
}

impl Id {
    /// The description of this setting.
    #[must_use]
    pub fn setting(self) -> &'static Setting {
        &REGISTRY[self as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_registry_is_in_order_and_every_default_is_allowed() {
        for (index, setting) in REGISTRY.iter().enumerate() {
            assert_eq!(setting.id as usize, index, "{}", setting.name);
            assert!(setting.allows(setting.default), "{}", setting.name);
            for (technique, raw) in setting.by_technique {
                assert!(setting.allows(*raw), "{} under {technique}", setting.name);
            }
        }
    }

    #[test]
    fn the_scan_interval_can_be_made_ten_times_the_default() {
        // WCAG 2.2 success criterion 2.2.1.
        let Kind::Time { max, .. } = Id::ScanInterval.setting().kind else { panic!("a time") };
        assert!(max >= 10 * Id::ScanInterval.setting().default);
    }

    #[test]
    fn the_lockout_can_be_set_to_half_a_second() {
        // EN 301 549 v3.2.1 clause 5.8.
        assert!(Id::Lockout.setting().allows(0) && Id::Lockout.setting().allows(500_000));
    }
}
