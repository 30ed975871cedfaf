//! What a study came to, and the file that keeps it so that parts can be put together.
//!
//! The file is JSON; `docs/json.md` names its fields. Sums are whole numbers and the times a
//! histogram, so that parts of a study add up to the whole bit for bit; figures are worked out from
//! them and only written.

use base64::prelude::{BASE64_STANDARD, Engine as _};
use hdrhistogram::Histogram;
use hdrhistogram::serialization::{Deserializer, Serializer, V2DeflateSerializer};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

use super::blocks::Blocks;
use super::closed::exact;
use super::counts::Counts;
use super::profile::Profile;
use super::study::SITTING;
use super::sweep::{Axis, Point};
use super::tally::{Figure, Measure, Tally};
use crate::menu::Menu;
use crate::settings::{find, value_from_json, value_to_json};

/// What the `format` field holds.
pub const FORMAT: &str = "pacewright study";
/// The version written and read.
pub const VERSION: u64 = 1;

/// A study and what it came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The client.
    pub profile: Profile,
    /// The menu.
    pub menu: Menu,
    /// A wrong item had to be taken once more.
    pub undo: bool,
    /// Seed of all draws.
    pub seed: u64,
    /// How many selections a point, and which of them.
    pub blocks: Blocks,
    /// The sweep.
    pub axes: Vec<Axis>,
    /// The points that were done, in order.
    pub points: Vec<(Point, Tally)>,
    /// Points of the sweep.
    pub of: usize,
}

/// What a file says of the study; the same for all its parts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Head {
    pub format: String,
    pub version: u64,
    pub profile: Profile,
    pub menu: Value,
    pub undo: bool,
    pub seed: u64,
    pub selections: u64,
    pub sitting: u64,
    pub sweep: Vec<Swept>,
}

/// A setting and its values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Swept {
    pub setting: String,
    pub values: Vec<Value>,
}

/// The sums of a point. What may be larger than 2⁵³ stands as text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Sums {
    sittings: u64,
    selections: u64,
    given_up: u64,
    total_us: String,
    total_us_squared: String,
    hits: u64,
    lightings: u64,
    in_time: u64,
    wrong_items: u64,
    wrong_groups: u64,
    left_groups: u64,
    passes: u64,
    stops: u64,
    selections_squared: String,
    spreads: [[String; 2]; 4],
}

impl Outcome {
    /// All points are there.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.points.len() == self.of
    }

    pub(super) fn head(&self) -> Head {
        let swept = |axis: &Axis| Swept {
            setting: axis.id.setting().name.into(),
            values: axis.values.iter().map(|raw| value_to_json(axis.id, *raw)).collect(),
        };
        Head {
            format: FORMAT.into(),
            version: VERSION,
            profile: self.profile.clone(),
            menu: self.menu.to_json(),
            undo: self.undo,
            seed: self.seed,
            selections: self.blocks.selections,
            sitting: SITTING,
            sweep: self.axes.iter().map(swept).collect(),
        }
    }

    /// The file.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let mut object = serde_json::to_value(self.head()).unwrap_or_default();
        object["part"] = json!([self.blocks.part + 1, self.blocks.parts]);
        object["complete"] = self.is_complete().into();
        object["points"] = self.points.iter().map(|(point, tally)| self.point(point, tally)).collect();
        object
    }

    fn point(&self, point: &Point, tally: &Tally) -> Value {
        let settings: Map<String, Value> =
            point.values.iter().map(|(id, raw)| (id.setting().name.to_string(), value_to_json(*id, *raw))).collect();
        let figure = |measure| tally.figure(measure).map(shown);
        let quantile = |share: f64| (tally.counts.selections > 0).then(|| seconds_at(&tally.times, share));
        let exact = exact(&self.profile.traits, &self.menu, &point.settings, self.undo);
        json!({
            "settings": settings,
            "selections": tally.counts.selections,
            "given_up": tally.counts.given_up,
            "seconds_per_selection": figure(Measure::Seconds),
            "error_rate": tally.error_rate().map(shown),
            "hits_per_selection": figure(Measure::Hits),
            "omissions_per_selection": figure(Measure::Omissions),
            "median_s": quantile(0.5),
            "p95_s": quantile(0.95),
            "exact": exact.map(|exact| json!({
                "seconds_per_selection": exact.seconds,
                "error_rate": exact.error_rate(),
                "hits_per_selection": exact.hits,
            })),
            "sums": Sums::of(tally),
            "times_us_hdr": encoded(&tally.times),
        })
    }
}

fn shown(figure: Figure) -> Value {
    let (low, high) = figure.interval.map_or((None, None), |interval| (Some(interval.low), Some(interval.high)));
    json!({ "value": figure.value, "low": low, "high": high })
}

/// The quantile of the times, in seconds.
#[must_use]
pub fn seconds_at(times: &Histogram<u64>, share: f64) -> f64 {
    times.value_at_quantile(share) as f64 / 1e6
}

/// The histogram in the standard form of its family: version 2, compressed, base 64.
fn encoded(times: &Histogram<u64>) -> String {
    let mut bytes = Vec::new();
    // Memory takes every byte.
    let _ = V2DeflateSerializer::new().serialize(times, &mut bytes);
    BASE64_STANDARD.encode(bytes)
}

pub(super) fn decoded(text: &str) -> Option<Histogram<u64>> {
    Deserializer::new().deserialize(&mut BASE64_STANDARD.decode(text).ok()?.as_slice()).ok()
}

impl Sums {
    fn of(tally: &Tally) -> Sums {
        let counts = tally.counts;
        Sums {
            sittings: tally.sittings,
            selections: counts.selections,
            given_up: counts.given_up,
            total_us: counts.total_us.to_string(),
            total_us_squared: counts.total_us_squared.to_string(),
            hits: counts.hits,
            lightings: counts.lightings,
            in_time: counts.in_time,
            wrong_items: counts.wrong_items,
            wrong_groups: counts.wrong_groups,
            left_groups: counts.left_groups,
            passes: counts.passes,
            stops: counts.stops,
            selections_squared: tally.selections_squared.to_string(),
            spreads: tally.spreads.map(|spread| spread.map(|sum| sum.to_string())),
        }
    }

    /// The tally with these times; `None` for what is no whole number.
    pub(super) fn tally(&self, times: Histogram<u64>) -> Option<Tally> {
        let whole = |text: &String| text.parse::<u128>().ok();
        let counts = Counts {
            selections: self.selections,
            given_up: self.given_up,
            total_us: whole(&self.total_us)?,
            total_us_squared: whole(&self.total_us_squared)?,
            hits: self.hits,
            lightings: self.lightings,
            in_time: self.in_time,
            wrong_items: self.wrong_items,
            wrong_groups: self.wrong_groups,
            left_groups: self.left_groups,
            passes: self.passes,
            stops: self.stops,
        };
        let mut spreads = [[0; 2]; 4];
        for (sums, texts) in spreads.iter_mut().zip(&self.spreads) {
            *sums = [whole(&texts[0])?, whole(&texts[1])?];
        }
        let selections_squared = whole(&self.selections_squared)?;
        Some(Tally { counts, sittings: self.sittings, selections_squared, spreads, times })
    }
}

impl Swept {
    pub(super) fn axis(&self) -> Option<Axis> {
        let id = find(&self.setting).ok()?;
        let values = self.values.iter().map(|value| value_from_json(id, value).ok()).collect::<Option<_>>()?;
        Some(Axis { id, values })
    }
}
