//! Sweeps: one or more settings over their values, every combination once.

use std::fmt;

use crate::settings::{Id, Kind, SettingError, Settings, find, parse_value, show_value};

/// A sweep of more points would not end in good time.
pub const MOST_POINTS: usize = 10_000;

/// A setting and the raw values that it takes one after the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Axis {
    /// The setting.
    pub id: Id,
    /// Its raw values; never empty.
    pub values: Vec<i64>,
}

/// Why an axis cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AxisError {
    /// There is no `NAME=VALUES` in it.
    Form(String),
    /// The setting or a value of it.
    Setting(SettingError),
    /// One of several values.
    Listed(SettingError),
    /// The range ends before it begins, or its step is not above zero.
    Range(String),
    /// It would have more than [`MOST_POINTS`] values.
    Long(String),
    /// A setting has two axes.
    Twice(Id),
    /// All axes together have more than [`MOST_POINTS`] points.
    Points,
}

impl fmt::Display for AxisError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AxisError::Form(text) => {
                write!(
                    f,
                    "`{text}` is no setting with its values; write `scan_interval=0.6:2.0:0.1` or `hold=0,0.2,0.4`"
                )
            }
            AxisError::Setting(error) => error.fmt(f),
            AxisError::Listed(error) => write!(f, "{error} (a comma separates values: write 0.5, not 0,5)"),
            AxisError::Range(text) => {
                write!(f, "`{text}` is no range; write the first value, the last one and the step, as `0.6:2.0:0.1`")
            }
            AxisError::Long(text) => {
                write!(f, "`{text}` has more than {MOST_POINTS} values; take a longer step")
            }
            AxisError::Twice(id) => {
                let name = id.setting().name;
                write!(f, "`{name}` is set twice; list its values as one, as in `{name}=FIRST:LAST:STEP`")
            }
            AxisError::Points => {
                write!(f, "the values combine to more than {MOST_POINTS} points; take fewer values or longer steps")
            }
        }
    }
}

impl std::error::Error for AxisError {}

impl From<SettingError> for AxisError {
    fn from(error: SettingError) -> AxisError {
        AxisError::Setting(error)
    }
}

impl Axis {
    /// Reads `NAME=VALUE`, `NAME=VALUE,VALUE…` or `NAME=FIRST:LAST:STEP`, each value as people write it.
    ///
    /// # Errors
    /// When it is none of these, or a value is not allowed.
    pub fn parse(text: &str) -> Result<Axis, AxisError> {
        let (name, values) = text.split_once('=').ok_or_else(|| AxisError::Form(text.into()))?;
        let id = find(name.trim())?;
        let values = match values.split(':').collect::<Vec<_>>()[..] {
            [first, last, step] => range(id, [first, last, step], text)?,
            _ if values.contains(',') => values
                .split(',')
                .map(|value| parse_value(id, value).map_err(AxisError::Listed))
                .collect::<Result<_, _>>()?,
            _ => vec![parse_value(id, values)?],
        };
        Ok(Axis { id, values })
    }
}

fn range(id: Id, [first, last, step]: [&str; 3], text: &str) -> Result<Vec<i64>, AxisError> {
    let (first, last) = (parse_value(id, first)?, parse_value(id, last)?);
    let step = step_of(id, step).filter(|step| *step > 0 && first <= last);
    let step = step.ok_or_else(|| AxisError::Range(text.into()))?;
    if (last - first) / step >= MOST_POINTS as i64 {
        return Err(AxisError::Long(text.into()));
    }
    Ok((0..).map(|count| first + count * step).take_while(|value| *value <= last).collect())
}

/// A difference of two values, in raw units. It need not be a value itself: a step of 0.1 s is none
/// of a setting that begins at 0.3 s.
fn step_of(id: Id, text: &str) -> Option<i64> {
    let text = text.trim();
    let unit = match id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => 1e6,
        Kind::Share { .. } => 10.0,
        Kind::Angle { .. } => 1e3,
        Kind::Count { .. } => 1.0,
        Kind::Choice(_) => return None,
    };
    let (digits, unit) = match text.strip_suffix("ms") {
        Some(digits) => (digits, unit / 1e3),
        None => (text.trim_end_matches([' ', 's', '%', '°']), unit),
    };
    let value: f64 = digits.trim().parse().ok()?;
    let raw = (value * unit).round();
    (raw.is_finite() && raw.abs() < 1e15).then_some(raw as i64)
}

/// One combination of values.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// What is set, in the order of the axes.
    pub values: Vec<(Id, i64)>,
    /// All settings.
    pub settings: Settings,
}

impl Point {
    /// What is set, for people: "1.2 s, row-column".
    #[must_use]
    pub fn label(&self) -> String {
        self.values.iter().map(|(id, raw)| show_value(*id, *raw)).collect::<Vec<_>>().join(", ")
    }
}

/// All combinations of the values of `axes`, the last axis fastest; what has no axis stands at the
/// default under the technique.
///
/// # Errors
/// For more than [`MOST_POINTS`] points and for a setting with two axes.
pub fn points(axes: &[Axis]) -> Result<Vec<Point>, AxisError> {
    let again = |(nth, axis): &(usize, &Axis)| axes[..*nth].iter().any(|before| before.id == axis.id);
    if let Some((_, axis)) = axes.iter().enumerate().find(again) {
        return Err(AxisError::Twice(axis.id));
    }
    let count = axes.iter().try_fold(1_usize, |count, axis| count.checked_mul(axis.values.len()));
    if count.is_none_or(|count| count > MOST_POINTS) {
        return Err(AxisError::Points);
    }
    let mut combined: Vec<Vec<(Id, i64)>> = vec![Vec::new()];
    for axis in axes {
        let with = |values: &Vec<(Id, i64)>, raw: i64| [&values[..], &[(axis.id, raw)]].concat();
        combined = combined.iter().flat_map(|values| axis.values.iter().map(move |raw| with(values, *raw))).collect();
    }
    Ok(combined.into_iter().map(Point::of).collect())
}

impl Point {
    fn of(values: Vec<(Id, i64)>) -> Point {
        let technique = values.iter().find(|(id, _)| *id == Id::Technique).map_or(0, |(_, raw)| *raw);
        let base = Settings::for_technique(&show_value(Id::Technique, technique));
        let settings = values.iter().fold(base, |settings, (id, raw)| settings.with(*id, *raw));
        Point { values, settings }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_has_both_its_ends() {
        let axis = Axis::parse("scan_interval=0.6:2.0:0.1").unwrap();
        assert_eq!((axis.values.len(), axis.values[0], axis.values[14]), (15, 600_000, 2_000_000));
        assert_eq!(Axis::parse("lockout=0:300 ms:100ms").unwrap().values, [0, 100_000, 200_000, 300_000]);
        assert_eq!(Axis::parse("loops_top=1:3:1").unwrap().values, [1, 2, 3]);
    }

    #[test]
    fn a_list_may_hold_names() {
        let axis = Axis::parse("pattern=linear,row-column").unwrap();
        assert_eq!(axis.values, [1, 2]);
        assert_eq!(Axis::parse("loops_top=no limit").unwrap().values.len(), 1);
    }

    #[test]
    fn every_combination_comes_once() {
        let axes = ["scan_interval=1,2", "hold=0,0.2,0.4"].map(|text| Axis::parse(text).unwrap());
        let points = points(&axes).unwrap();
        let labels: Vec<String> = points.iter().map(Point::label).collect();
        assert_eq!(labels, ["1 s, 0 s", "1 s, 0.2 s", "1 s, 0.4 s", "2 s, 0 s", "2 s, 0.2 s", "2 s, 0.4 s"]);
        assert_eq!(points[4].settings.hold().0, 200_000);
    }

    #[test]
    fn what_is_not_set_follows_the_technique() {
        let points = points(&[Axis::parse("technique=automatic,step").unwrap()]).unwrap();
        let lockouts: Vec<u64> = points.iter().map(|point| point.settings.lockout().0).collect();
        assert_eq!(lockouts, [500_000, 200_000]);
    }

    #[test]
    fn mistakes_name_the_remedy() {
        for (text, part) in [
            ("scan_interval", "is no setting with its values"),
            ("scan_intervall=1", "did you mean"),
            ("scan_interval=2:1:0.1", "is no range"),
            ("scan_interval=1:2:0", "is no range"),
            ("scan_interval=1:2:x", "is no range"),
            ("scan_interval=0.1,1", "outside the range"),
            ("scan_interval=0,5", "a comma separates values"),
            ("scan_interval=0.3:20:0.00001", "more than 10000 values"),
            ("pattern=linear:row-column:1", "is no range"),
        ] {
            let error = Axis::parse(text).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
        let long = vec![Axis::parse("scan_interval=0.3:20:0.05").unwrap(); 3];
        assert!(points(&long).unwrap_err().to_string().contains("is set twice"));
        let many = ["scan_interval=0.3:20:0.05", "first_in_group=0:10:0.05", "hold=0,0.2"];
        let many = many.map(|text| Axis::parse(text).unwrap());
        assert!(points(&many).unwrap_err().to_string().contains("more than 10000 points"));
    }
}
