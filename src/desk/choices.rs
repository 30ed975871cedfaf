//! What can be chosen for one setting at a controller: a list, or a range and its step, as it is typed and as it is kept.

use serde::{Deserialize, Serialize};

use super::carry_over::How;
use crate::settings::{Id, Kind, show_value};

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

/// What a count without a limit is, here and where choices are typed.
const NO_LIMIT: i64 = 0;

/// A choice as far as this from a value is the value itself: rounding of typed decimals.
pub(super) const SAME: f64 = 1e-6;

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
            Kind::Count { unlimited: true, .. } => {
                let shown = show_value(id, NO_LIMIT);
                numbers(&typed.replace(&shown, &NO_LIMIT.to_string())).ok_or_else(|| {
                    format!("{}: `{typed}` cannot be read; type 1, 2, 3 or {shown}", id.setting().label)
                })?
            }
            _ => numbers(typed).ok_or_else(|| {
                format!("{}: `{typed}` cannot be read; type 0.5, 1, 1.5 or 0.5 to 5 by 0.5", id.setting().label)
            })?,
        };
        choices.check(id)?;
        Ok(Some(choices))
    }

    /// As it is typed for this setting.
    #[must_use]
    pub fn typed(&self, id: Id) -> String {
        let endless = matches!(id.setting().kind, Kind::Count { unlimited: true, .. });
        let number = |value: &f64| {
            if endless && *value == NO_LIMIT as f64 { show_value(id, NO_LIMIT) } else { value.to_string() }
        };
        let list = |values: Vec<String>| values.join(", ");
        match self {
            Choices::Range { from, to, step } => format!("{from} to {to} by {step}"),
            Choices::Numbers(values) => list(values.iter().map(number).collect()),
            Choices::Names(names) => list(names.clone()),
        }
    }

    /// The nearest choice that is not below `value`, else the greatest one.
    pub(super) fn at_least(&self, value: f64) -> Option<f64> {
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

    /// Of counts the nearest that is not fewer, else the most; no limit is more than any count.
    pub(super) fn as_often(&self, advised: i64) -> Option<(i64, How)> {
        let endless = matches!(self, Choices::Numbers(values) if values.contains(&(NO_LIMIT as f64)));
        let counts = match self {
            Choices::Numbers(values) => {
                Choices::Numbers(values.iter().copied().filter(|value| *value != NO_LIMIT as f64).collect())
            }
            other => other.clone(),
        };
        let wanted = if advised == NO_LIMIT { f64::MAX } else { advised as f64 };
        let most = counts.at_least(wanted).map(|most| libm::round(most) as i64);
        let enough = most.filter(|most| *most as f64 >= wanted).or(endless.then_some(NO_LIMIT));
        match enough {
            Some(count) => Some((count, if count == advised { How::Exact } else { How::Slower })),
            None => Some((most?, How::Fewer)),
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

#[cfg(test)]
mod tests {
    use super::*;

    fn halves() -> Choices {
        Choices::Range { from: 0.5, to: 5.0, step: 0.5 }
    }

    #[test]
    fn what_is_typed_comes_back_as_it_was_meant() {
        let parse = |id, text: &str| Choices::parse(id, text).unwrap().unwrap();
        assert_eq!(parse(Id::ScanInterval, "0.5 to 5 by 0.5"), halves());
        assert_eq!(parse(Id::ScanInterval, &halves().typed(Id::ScanInterval)), halves());
        assert_eq!(parse(Id::Hold, "0.1, 0.2"), Choices::Numbers(vec![0.1, 0.2]));
        assert_eq!(parse(Id::LockoutFrom, "press, release").typed(Id::LockoutFrom), "press, release");
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
}
