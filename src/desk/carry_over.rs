//! From the settings sheet to what the controller at home offers.
//!
//! The clinician enters what can be chosen there; each value of the sheet moves to the nearest choice
//! that is not faster. No device is listed or known here. A setting that the controller lacks counts
//! as off, and a way round it is named.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

use super::choices::{Choices, SAME};
use super::words::Words;
use crate::settings::{Id, Kind, SettingError, Settings, find};

/// What a controller at home lets its user choose.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Controller {
    /// What the people at home call it.
    pub name: String,
    /// For each setting that it has, by the setting's name here, what can be chosen.
    pub offers: BTreeMap<String, Choices>,
}

/// What became of one value of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// Which setting.
    pub id: Id,
    /// What the sheet says, as a raw value.
    pub advised: i64,
    /// What the controller will do, as a raw value.
    pub taken: i64,
    /// How the one became the other.
    pub how: How,
}

/// How a value was carried over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// The controller offers exactly this.
    Exact,
    /// The next slower choice.
    Slower,
    /// No choice is as slow: this is the slowest.
    Fastest,
    /// No choice goes round as often: this is the most.
    Fewer,
    /// The controller does not have it; the words say what can be done instead.
    Lacking(&'static str),
    /// It offers other ways only; the words name the one that the sheet asks for.
    OtherWay,
}

/// The settings as they will be at home, and what became of each value that matters.
#[derive(Clone, Debug, PartialEq)]
pub struct AtHome {
    /// All settings, those that were not carried over as they stood on the sheet.
    pub settings: Settings,
    /// What became of each.
    pub carried: Vec<Carried>,
}

/// Settings that a controller may have, in the order in which they are asked for.
pub const ASKED: &[Id] = &[
    Id::ScanInterval,
    Id::FirstAfterStart,
    Id::FirstInGroup,
    Id::PauseAfterSelection,
    Id::Hold,
    Id::ItemTaken,
    Id::Lockout,
    Id::LockoutFrom,
    Id::Debounce,
    Id::LoopsTop,
    Id::LoopsInside,
    Id::AutoAccept,
    Id::Dwell,
];

impl Controller {
    /// Checks what was typed.
    ///
    /// # Errors
    /// The first thing that is wrong with it, as a sentence.
    pub fn check(&self) -> Result<(), String> {
        for (name, choices) in &self.offers {
            let id = find(name).map_err(|error: SettingError| error.to_string())?;
            choices.check(id)?;
        }
        if self.offers.contains_key(Id::ScanInterval.setting().name) {
            Ok(())
        } else {
            Err("say which scan rates the controller offers: nothing can be carried over without".into())
        }
    }

    /// Moves the values of `sheet` to what is offered.
    #[must_use]
    pub fn carry_over(&self, sheet: &Settings) -> AtHome {
        let mut settings = sheet.clone();
        let mut carried = Vec::new();
        for &id in ASKED {
            let advised = sheet.raw(id);
            let Some((taken, how)) = self.taken(id, advised) else { continue };
            // A choice outside the range of this program is predicted at the end of the range.
            if settings.set_raw(id, taken).is_err() {
                let _ = settings.set_raw(id, clamped(id, taken));
            }
            carried.push(Carried { id, advised, taken, how });
        }
        AtHome { settings, carried }
    }

    /// `None` where the setting does not matter: the sheet has it off, and so has the controller.
    fn taken(&self, id: Id, advised: i64) -> Option<(i64, How)> {
        let Some(choices) = self.offers.get(id.setting().name) else {
            return match way_round(id) {
                Some(words) if advised != 0 => Some((0, How::Lacking(words))),
                _ => None,
            };
        };
        if let Kind::Choice(known) = id.setting().kind {
            let index = |name: &String| known.iter().position(|(one, _)| one == name).map(|index| index as i64);
            let Choices::Names(names) = choices else { return None };
            let offered: Vec<i64> = names.iter().filter_map(index).collect();
            let how = if offered.contains(&advised) { How::Exact } else { How::OtherWay };
            return Some((if how == How::Exact { advised } else { *offered.first()? }, how));
        }
        if matches!(id.setting().kind, Kind::Count { unlimited: true, .. }) {
            return choices.as_often(advised);
        }
        let scale = scale(id);
        let raw = |value: f64| libm::round(value * scale) as i64;
        let wanted = advised as f64 / scale;
        let taken = choices.at_least(wanted)?;
        let how = match taken - wanted {
            more if more.abs() <= SAME => How::Exact,
            more if more > 0.0 => How::Slower,
            _ => How::Fastest,
        };
        Some((raw(taken), how))
    }
}

impl Carried {
    /// The advised and the taken value, for people.
    #[must_use]
    pub fn values(&self, words: &Words) -> (String, String) {
        (words.value_of(self.id, self.advised), words.value_of(self.id, self.taken))
    }
}

fn scale(id: Id) -> f64 {
    match id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => 1e6,
        Kind::Share { .. } => 10.0,
        Kind::Angle { .. } => 1e3,
        Kind::Count { .. } | Kind::Choice(_) => 1.0,
    }
}

fn clamped(id: Id, raw: i64) -> i64 {
    match id.setting().kind {
        Kind::Time { min, max, .. }
        | Kind::OptionalTime { min, max, .. }
        | Kind::Share { min, max, .. }
        | Kind::Angle { min, max, .. }
        | Kind::Count { min, max, .. } => raw.clamp(min, max),
        Kind::Choice(_) => raw,
    }
}

/// What can be done where a controller lacks a setting (common practice, no source). `None` where the
/// lack changes nothing that could be put right.
fn way_round(id: Id) -> Option<&'static str> {
    Some(match id {
        Id::FirstAfterStart => {
            "leave the first place of the menu empty or give it something harmless: the first item then comes one step later"
        }
        Id::FirstInGroup => {
            "leave the first place of each group empty or put the way back there: the first item then comes one step later"
        }
        Id::PauseAfterSelection => "choose the next slower scan rate if the client presses on into the next group",
        Id::Hold => "keep unwanted touches off at the switch itself: another place, more travel, a guard",
        Id::Lockout => {
            "ask for a switch interface that ignores repeated presses, or place the switch so that it is not struck twice"
        }
        Id::Debounce => "ask for a switch interface that removes contact bounce",
        Id::LoopsTop | Id::LoopsInside => "say to the carers what happens when nothing is pressed",
        Id::AutoAccept => "a second switch that takes the item",
        Id::Dwell => "a switch that takes the item",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::words::Language;

    fn controller(offers: &[(&str, Choices)]) -> Controller {
        let offers = offers.iter().map(|(name, choices)| ((*name).to_string(), choices.clone())).collect();
        Controller { name: "box at home".into(), offers }
    }

    fn halves() -> Choices {
        Choices::Range { from: 0.5, to: 5.0, step: 0.5 }
    }

    fn sheet(values: &[(Id, i64)]) -> Settings {
        let mut settings = Settings::default();
        values.iter().for_each(|(id, raw)| settings.set_raw(*id, *raw).unwrap());
        settings
    }

    fn of(home: &AtHome, id: Id) -> &Carried {
        home.carried.iter().find(|one| one.id == id).unwrap()
    }

    #[test]
    fn steps_of_half_a_second_without_a_first_item_time() {
        let home = controller(&[("scan_interval", halves())]).carry_over(&sheet(&[(Id::ScanInterval, 1_150_000)]));
        assert_eq!(home.settings.raw(Id::ScanInterval), 1_500_000);
        assert_eq!(of(&home, Id::ScanInterval).how, How::Slower);
        assert!(matches!(of(&home, Id::FirstAfterStart).how, How::Lacking(words) if words.contains("first place")));
        assert_eq!(home.settings.raw(Id::FirstAfterStart), 0);
    }

    #[test]
    fn a_value_that_is_offered_stays_and_one_beyond_the_slowest_says_so() {
        let offers =
            [("scan_interval", Choices::Numbers(vec![2.0, 1.0, 0.5])), ("hold", Choices::Numbers(vec![0.1, 0.2]))];
        let home = controller(&offers).carry_over(&sheet(&[(Id::ScanInterval, 1_000_000), (Id::Hold, 300_000)]));
        assert_eq!((of(&home, Id::ScanInterval).how, of(&home, Id::ScanInterval).taken), (How::Exact, 1_000_000));
        assert_eq!((of(&home, Id::Hold).how, of(&home, Id::Hold).taken), (How::Fastest, 200_000));
    }

    #[test]
    fn decimals_that_were_typed_hit_their_own_step() {
        let tenths = Choices::Range { from: 0.1, to: 3.0, step: 0.1 };
        let home = controller(&[("scan_interval", tenths)]).carry_over(&sheet(&[(Id::ScanInterval, 700_000)]));
        assert_eq!((of(&home, Id::ScanInterval).how, of(&home, Id::ScanInterval).taken), (How::Exact, 700_000));
    }

    #[test]
    fn the_last_step_never_passes_the_greatest_value() {
        let uneven = Choices::Range { from: 0.5, to: 2.2, step: 0.5 };
        let home = controller(&[("scan_interval", uneven)]).carry_over(&sheet(&[(Id::ScanInterval, 2_200_000)]));
        assert_eq!((of(&home, Id::ScanInterval).how, of(&home, Id::ScanInterval).taken), (How::Fastest, 2_000_000));
    }

    #[test]
    fn no_limit_is_more_than_any_number_of_loops() {
        let home = |typed: &str, advised| {
            let choices = Choices::parse(Id::LoopsTop, typed).unwrap().unwrap();
            let home = controller(&[("scan_interval", halves()), ("loops_top", choices)])
                .carry_over(&sheet(&[(Id::LoopsTop, advised)]));
            let loops = of(&home, Id::LoopsTop).clone();
            (loops.values(Words::of(Language::English)).1, loops.how)
        };
        assert_eq!(home("1, 2, 3", 0), ("3".into(), How::Fewer));
        assert_eq!(home("1, 2, no limit", 0), ("no limit".into(), How::Exact));
        assert_eq!(home("1, 2, no limit", 3), ("no limit".into(), How::Slower));
        assert_eq!(home("1, 2, no limit", 2), ("2".into(), How::Exact));
        assert_eq!(home("2 to 8 by 2", 3), ("4".into(), How::Slower));
        assert_eq!(home("1, 2", 3), ("2".into(), How::Fewer));
        let typed = Choices::parse(Id::LoopsTop, "1, no limit").unwrap().unwrap().typed(Id::LoopsTop);
        assert_eq!(typed, "1, no limit");
    }

    #[test]
    fn a_way_that_is_not_offered_is_named() {
        let offers = [("scan_interval", halves()), ("lockout_from", Choices::Names(vec!["press".into()]))];
        let home = controller(&offers).carry_over(&Settings::default());
        assert_eq!(of(&home, Id::LockoutFrom).how, How::OtherWay);
        assert_eq!(of(&home, Id::LockoutFrom).values(Words::of(Language::English)).1, "press");
    }

    #[test]
    fn what_was_typed_wrong_is_refused_with_what_to_type() {
        assert!(controller(&[]).check().unwrap_err().contains("scan rates"));
        assert!(controller(&[("scan_rate", halves())]).check().unwrap_err().contains("scan_interval"));
        let bad = |choices| controller(&[("scan_interval", choices)]).check().unwrap_err();
        assert!(bad(Choices::Range { from: 1.0, to: 0.5, step: 0.1 }).contains("step above 0"));
        assert!(bad(Choices::Numbers(vec![])).contains("values"));
        assert!(bad(Choices::Names(vec!["press".into()])).contains("numbers"));
        let names = controller(&[("scan_interval", halves()), ("lockout_from", Choices::Names(vec!["edge".into()]))]);
        assert!(names.check().unwrap_err().contains("release"));
    }
}
