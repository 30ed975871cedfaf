//! Settings as text and as JSON: seconds, per cent, degrees and names instead of raw values.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use serde_json::{Map, Value};

use super::{Id, Kind, REGISTRY, Setting, Settings, registry::NO_LIMIT};

/// Why a setting could not be understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SettingError {
    /// No setting has this name.
    Unknown {
        /// The name as it was written.
        name: String,
    },
    /// The value is not of the setting's kind.
    NotAValue {
        /// Which setting.
        id: Id,
        /// The value as it was written.
        text: String,
    },
    /// The value is outside its range.
    OutOfRange {
        /// Which setting.
        id: Id,
        /// The raw value.
        raw: i64,
    },
}

impl fmt::Display for SettingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SettingError::Unknown { name } => {
                write!(f, "no setting is called `{name}`")?;
                match nearest(name) {
                    Some(near) => write!(f, "; did you mean `{near}`?"),
                    None => write!(f, "; `pacewright settings` lists them"),
                }
            }
            SettingError::NotAValue { id, text } => {
                write!(f, "`{text}` is no value for `{}`: {}", id.setting().name, allowed(id.setting()))
            }
            SettingError::OutOfRange { id, raw } => write!(
                f,
                "{} is outside the range of `{}`: {}",
                show_value(*id, *raw),
                id.setting().name,
                allowed(id.setting())
            ),
        }
    }
}

impl std::error::Error for SettingError {}

/// The setting with this name.
///
/// # Errors
/// When no setting has it.
pub fn find(name: &str) -> Result<Id, SettingError> {
    REGISTRY
        .iter()
        .find(|setting| setting.name == name)
        .map(|setting| setting.id)
        .ok_or_else(|| SettingError::Unknown { name: name.into() })
}

fn nearest(name: &str) -> Option<&'static str> {
    let wanted = name.to_lowercase().replace(['-', ' '], "_");
    let names = || REGISTRY.iter().map(|setting| setting.name);
    let alike = |known: &&str| {
        known.contains(&wanted)
            || wanted.contains(known)
            || wanted.get(..4).is_some_and(|start| known.starts_with(start))
    };
    names().find(alike).or_else(|| crate::problem::nearest(&wanted, names()))
}

/// What a setting allows, in words: "0.3 to 20 s in steps of 0.05".
#[must_use]
pub fn allowed(setting: &Setting) -> String {
    match setting.kind {
        Kind::Time { min, max, step } => {
            format!("{} to {} s in steps of {}", scaled(min, 6), scaled(max, 6), scaled(step, 6))
        }
        Kind::OptionalTime { min, max, step } => {
            format!("0 (off), or {} to {} s in steps of {}", scaled(min, 6), scaled(max, 6), scaled(step, 6))
        }
        Kind::Count { min, max, unlimited } => {
            format!("{min} to {max}{}", if unlimited { ", or `no limit`" } else { "" })
        }
        Kind::Share { min, max, .. } => format!("{} to {} %", scaled(min, 1), scaled(max, 1)),
        Kind::Angle { min, max, .. } => format!("{} to {} degrees", scaled(min, 3), scaled(max, 3)),
        Kind::Choice(options) => {
            format!("one of {}", options.iter().map(|(name, _)| format!("`{name}`")).collect::<Vec<_>>().join(", "))
        }
    }
}

/// `raw` / 10^digits, exactly, without trailing zeros.
fn scaled(raw: i64, digits: u32) -> String {
    let unit = 10_i64.pow(digits);
    let text = format!("{}.{:0width$}", raw / unit, raw % unit, width = digits as usize);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// A value for people, with its unit: "0.35 s", "3", "no limit", "row-column".
#[must_use]
pub fn show_value(id: Id, raw: i64) -> String {
    match id.setting().kind {
        Kind::Time { .. } => format!("{} s", scaled(raw, 6)),
        Kind::OptionalTime { .. } if raw == 0 => "off".into(),
        Kind::OptionalTime { .. } => format!("{} s", scaled(raw, 6)),
        Kind::Count { .. } if raw == NO_LIMIT => "no limit".into(),
        Kind::Count { .. } => raw.to_string(),
        Kind::Share { .. } => format!("{} %", scaled(raw, 1)),
        Kind::Angle { .. } => format!("{}°", scaled(raw, 3)),
        Kind::Choice(options) => usize::try_from(raw)
            .ok()
            .and_then(|index| options.get(index))
            .map_or_else(|| raw.to_string(), |(name, _)| (*name).into()),
    }
}

/// The same with times to two decimals at least, so that they read alike below one another: "1.10 s".
#[must_use]
pub fn show_evenly(id: Id, raw: i64) -> String {
    let timed = match id.setting().kind {
        Kind::Time { .. } => true,
        Kind::OptionalTime { .. } => raw != 0,
        _ => false,
    };
    if timed && raw % 10_000 == 0 { format!("{:.2} s", raw as f64 / 1e6) } else { show_value(id, raw) }
}

/// Reads a value as a person types it: "0.8", "0.8 s", "800 ms", "no limit", "off", a choice's name.
///
/// # Errors
/// When it is no value of the setting, or out of range.
pub fn parse_value(id: Id, text: &str) -> Result<i64, SettingError> {
    let bad = || SettingError::NotAValue { id, text: text.into() };
    let trimmed = text.trim();
    let number = |unit: &str, scale: f64| -> Result<i64, SettingError> {
        let (digits, scale) = match trimmed.strip_suffix("ms") {
            Some(digits) if unit == "s" => (digits, scale / 1_000.0),
            _ => (trimmed.strip_suffix(unit).unwrap_or(trimmed), scale),
        };
        let value: f64 = digits.trim().parse().map_err(|_| bad())?;
        from_number(value, scale).ok_or_else(bad)
    };
    let raw = match id.setting().kind {
        Kind::Time { .. } => number("s", 1e6)?,
        Kind::OptionalTime { .. } if trimmed == "off" => 0,
        Kind::OptionalTime { .. } => number("s", 1e6)?,
        Kind::Count { unlimited: true, .. } if trimmed == "no limit" => NO_LIMIT,
        Kind::Count { .. } => trimmed.parse().map_err(|_| bad())?,
        Kind::Share { .. } => number("%", 10.0)?,
        Kind::Angle { .. } => number("°", 1e3)?,
        Kind::Choice(options) => options.iter().position(|(name, _)| *name == trimmed).ok_or_else(bad)? as i64,
    };
    if id.setting().allows(raw) { Ok(raw) } else { Err(SettingError::OutOfRange { id, raw }) }
}

fn from_number(value: f64, scale: f64) -> Option<i64> {
    let raw = (value * scale).round();
    (value.is_finite() && raw.abs() < 1e15).then_some(raw as i64)
}

/// A value as it stands in files: seconds, per cent and degrees as numbers; names as strings.
#[must_use]
pub fn value_to_json(id: Id, raw: i64) -> Value {
    match id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => Value::from(raw as f64 / 1e6),
        Kind::Count { .. } if raw == NO_LIMIT => Value::from("no limit"),
        Kind::Count { .. } => Value::from(raw),
        Kind::Share { .. } => Value::from(raw as f64 / 10.0),
        Kind::Angle { .. } => Value::from(raw as f64 / 1e3),
        Kind::Choice(_) => Value::from(show_value(id, raw)),
    }
}

/// Reads a value as it stands in files; a string is read as [`parse_value`] does.
///
/// # Errors
/// When it is no value of the setting, or out of range.
pub fn value_from_json(id: Id, value: &Value) -> Result<i64, SettingError> {
    match value {
        Value::String(text) => parse_value(id, text),
        Value::Number(number) => parse_value(id, &number.to_string()),
        other => Err(SettingError::NotAValue { id, text: other.to_string() }),
    }
}

impl Settings {
    /// All values as one JSON object, in registry order.
    #[must_use]
    pub fn to_json(&self) -> Map<String, Value> {
        REGISTRY
            .iter()
            .map(|setting| (setting.name.to_string(), value_to_json(setting.id, self.raw(setting.id))))
            .collect()
    }

    /// Reads the values named in a JSON object; all others take the default of its technique.
    ///
    /// # Errors
    /// At the first name or value that is not valid.
    pub fn from_json(object: &Map<String, Value>) -> Result<Settings, SettingError> {
        let technique = match object.get(Id::Technique.setting().name) {
            Some(value) => show_value(Id::Technique, value_from_json(Id::Technique, value)?),
            None => show_value(Id::Technique, Id::Technique.setting().default),
        };
        Settings::for_technique(&technique).overlaid(object)
    }

    /// These settings with the values named in a JSON object instead.
    ///
    /// # Errors
    /// At the first name or value that is not valid.
    pub fn overlaid(&self, object: &Map<String, Value>) -> Result<Settings, SettingError> {
        let mut settings = self.clone();
        for (name, value) in object {
            let id = find(name)?;
            settings.set_raw(id, value_from_json(id, value)?)?;
        }
        Ok(settings)
    }
}

impl Serialize for Settings {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.to_json().serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Settings {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Settings, D::Error> {
        let object = Map::deserialize(deserializer)?;
        Settings::from_json(&object).map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_go_to_text_and_back() {
        for setting in REGISTRY {
            let text = show_value(setting.id, setting.default);
            assert_eq!(parse_value(setting.id, &text), Ok(setting.default), "{}", setting.name);
            assert_eq!(value_from_json(setting.id, &value_to_json(setting.id, setting.default)), Ok(setting.default));
        }
    }

    #[test]
    fn times_below_one_another_have_two_decimals() {
        let shown = [(Id::ScanInterval, 1_100_000), (Id::ScanInterval, 2_000_000), (Id::Debounce, 25_000)];
        assert_eq!(shown.map(|(id, raw)| show_evenly(id, raw)), ["1.10 s", "2.00 s", "0.025 s"]);
        let others = [(Id::LongPress, 0), (Id::LoopsTop, 3), (Id::LoopsTop, NO_LIMIT), (Id::Technique, 0)];
        assert!(others.iter().all(|(id, raw)| show_evenly(*id, *raw) == show_value(*id, *raw)));
    }

    #[test]
    fn people_may_write_milliseconds() {
        assert_eq!(parse_value(Id::Lockout, "350 ms"), Ok(350_000));
        assert_eq!(parse_value(Id::Lockout, "0.35"), Ok(350_000));
    }

    #[test]
    fn mistakes_name_the_remedy() {
        let error = parse_value(Id::ScanInterval, "60").unwrap_err().to_string();
        assert_eq!(error, "60 s is outside the range of `scan_interval`: 0.3 to 20 s in steps of 0.05");
        assert_eq!(
            find("scan-interval").unwrap_err().to_string(),
            "no setting is called `scan-interval`; did you mean `scan_interval`?"
        );
        assert!(parse_value(Id::Hold, "NaN").is_err());
    }

    #[test]
    fn a_file_may_name_only_what_differs() {
        let settings: Settings = serde_json::from_str(r#"{"technique":"step","scan_interval":1.2}"#).unwrap();
        assert_eq!(settings.scan_interval().0, 1_200_000);
        assert_eq!(settings.lockout().0, 200_000);
        assert!(serde_json::from_str::<Settings>(r#"{"loops":3}"#).is_err());
    }
}
