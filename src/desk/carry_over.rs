//! From the settings sheet to what the controller at home offers.
//!
//! The clinician enters what can be chosen there; each value of the sheet moves to the nearest choice
//! that is not faster. No device is listed or known here. A setting that the controller lacks counts
//! as off, and a way round it is named.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

use crate::settings::{Id, Kind, SettingError, Settings, find, show_value};

/// What a controller at home lets its user choose.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Controller {
    /// What the people at home call it.
    pub name: String,
    /// For each setting that it has, by the setting's name here, what can be chosen.
    pub offers: BTreeMap<String, Choices>,
}

/// What can be chosen for one setting; times in seconds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Choices {
    /// Evenly spaced values.
    Range {
        /// The least.
        from: f64,
        /// The greatest.
        to: f64,
        /// From one to the next.
        step: f64,
    },
    /// These values.
    Numbers(Vec<f64>),
    /// These names, for a setting that is no number.
    Names(Vec<String>),
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

/// A choice as far as this from a value is the value itself: rounding of typed decimals.
const SAME: f64 = 1e-6;

impl Choices {
    /// Checks that something can be chosen.
    ///
    /// # Errors
    /// A sentence that says what to type instead.
    pub fn check(&self, id: Id) -> Result<(), String> {
        let label = id.setting().label;
        let numbers = !matches!(id.setting().kind, Kind::Choice(_));
        match self {
            Choices::Range { from, to, step } => {
                let sound = [*from, *to, *step].iter().all(|value| value.is_finite() && *value >= 0.0);
                match numbers && sound && to >= from && (*step > 0.0 || to == from) {
                    true => Ok(()),
                    false => {
                        Err(format!("{label}: give the least, the greatest and a step above 0, as 0.5 to 5 by 0.5"))
                    }
                }
            }
            Choices::Numbers(values) => {
                match numbers && !values.is_empty() && values.iter().all(|value| value.is_finite() && *value >= 0.0) {
                    true => Ok(()),
                    false => Err(format!("{label}: give the values that can be chosen, as 0.5, 1, 1.5, 2")),
                }
            }
            Choices::Names(names) => {
                let Kind::Choice(known) = id.setting().kind else {
                    return Err(format!("{label}: give numbers"));
                };
                match names.iter().all(|name| known.iter().any(|(one, _)| one == name)) && !names.is_empty() {
                    true => Ok(()),
                    false => {
                        let known: Vec<&str> = known.iter().map(|(one, _)| *one).collect();
                        Err(format!("{label}: choose among {}", known.join(", ")))
                    }
                }
            }
        }
    }

    /// What was typed for a setting: `0.5, 1, 1.5`, `0.5 to 5 by 0.5`, or names; nothing is no offer.
    ///
    /// # Errors
    /// A sentence that says what to type instead.
    pub fn parse(id: Id, typed: &str) -> Result<Option<Choices>, String> {
        let typed = typed.trim();
        if typed.is_empty() {
            return Ok(None);
        }
        let choices = match id.setting().kind {
            Kind::Choice(_) => Choices::Names(typed.split(',').map(|name| name.trim().to_string()).collect()),
            _ if comma_in_number(typed) => {
                return Err(format!(
                    "{}: `{typed}` can be one number or several; write 0.5 with a point, and a space after each comma \
                     between values, as 0.5, 1, 1.5",
                    id.setting().label
                ));
            }
            _ => numbers(typed).ok_or_else(|| {
                format!("{}: `{typed}` cannot be read; type 0.5, 1, 1.5 or 0.5 to 5 by 0.5", id.setting().label)
            })?,
        };
        choices.check(id)?;
        Ok(Some(choices))
    }

    /// As it is typed.
    #[must_use]
    pub fn typed(&self) -> String {
        let list = |values: Vec<String>| values.join(", ");
        match self {
            Choices::Range { from, to, step } => format!("{from} to {to} by {step}"),
            Choices::Numbers(values) => list(values.iter().map(f64::to_string).collect()),
            Choices::Names(names) => list(names.clone()),
        }
    }

    /// The nearest choice that is not below `value`, else the greatest one.
    fn at_least(&self, value: f64) -> Option<f64> {
        match self {
            Choices::Range { from, to, step } => {
                let steps = if *step > 0.0 { libm::ceil((value - from) / step - SAME).max(0.0) } else { 0.0 };
                let last = if *step > 0.0 { libm::floor((to - from) / step + SAME) } else { 0.0 };
                Some(from + steps.min(last) * step)
            }
            Choices::Numbers(values) => {
                let slower = values.iter().copied().filter(|choice| *choice >= value - SAME).reduce(f64::min);
                slower.or_else(|| values.iter().copied().reduce(f64::max))
            }
            Choices::Names(_) => None,
        }
    }
}

/// A comma between two digits: many people write one half as `0,5`.
fn comma_in_number(typed: &str) -> bool {
    typed.as_bytes().windows(3).any(|three| three[1] == b',' && three[0].is_ascii_digit() && three[2].is_ascii_digit())
}

/// `0.5 to 5 by 0.5`, or a list.
fn numbers(typed: &str) -> Option<Choices> {
    let number = |text: &str| text.trim().parse::<f64>().ok();
    if let Some((from, rest)) = typed.split_once("to") {
        let (to, step) = rest.split_once("by")?;
        return Some(Choices::Range { from: number(from)?, to: number(to)?, step: number(step)? });
    }
    typed.split(',').map(number).collect::<Option<Vec<_>>>().map(Choices::Numbers)
}

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
    pub fn values(&self) -> (String, String) {
        (show_value(self.id, self.advised), show_value(self.id, self.taken))
    }
}

fn scale(id: Id) -> f64 {
    match id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => 1e6,
        Kind::Share { .. } | Kind::Angle { .. } => 1e3,
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
    fn a_way_that_is_not_offered_is_named() {
        let offers = [("scan_interval", halves()), ("lockout_from", Choices::Names(vec!["press".into()]))];
        let home = controller(&offers).carry_over(&Settings::default());
        assert_eq!(of(&home, Id::LockoutFrom).how, How::OtherWay);
        assert_eq!(of(&home, Id::LockoutFrom).values().1, show_value(Id::LockoutFrom, 1));
    }

    #[test]
    fn what_is_typed_comes_back_as_it_was_meant() {
        let parse = |id, text: &str| Choices::parse(id, text).unwrap().unwrap();
        assert_eq!(parse(Id::ScanInterval, "0.5 to 5 by 0.5"), halves());
        assert_eq!(parse(Id::ScanInterval, &halves().typed()), halves());
        assert_eq!(parse(Id::Hold, "0.1, 0.2"), Choices::Numbers(vec![0.1, 0.2]));
        assert_eq!(parse(Id::LockoutFrom, "press, release").typed(), "press, release");
        assert_eq!(Choices::parse(Id::Hold, "  "), Ok(None));
        assert!(Choices::parse(Id::Hold, "often").unwrap_err().contains("0.5 to 5 by 0.5"));
    }

    #[test]
    fn a_decimal_comma_is_not_taken_for_a_list() {
        for typed in ["0,5", "0,5, 1", "0,5 to 5 by 0,5", "1,2,3"] {
            let refused = Choices::parse(Id::ScanInterval, typed).unwrap_err();
            assert!(refused.contains(typed) && refused.contains("0.5 with a point"), "{refused}");
        }
        assert_eq!(Choices::parse(Id::Hold, "1 , 2, 3"), Ok(Some(Choices::Numbers(vec![1.0, 2.0, 3.0]))));
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
