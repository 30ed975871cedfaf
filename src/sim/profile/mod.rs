//! The profile: the JSON file of a virtual client, with the fields of [`Traits`].
//!
//! ```json
//! {
//!   "format": "pacewright client",
//!   "version": 1,
//!   "name": "Steady",
//!   "about": "An invented person: unhurried, with a light touch of the cheek.",
//!   "traits": {
//!     "latency": { "law": "ex-gaussian", "mu_s": 0.55, "sigma_s": 0.07, "tau_s": 0.16 },
//!     "miss": 0.03, "involuntary_per_s": 0.004, "held_s": 0.22
//!   }
//! }
//! ```
//!
//! What is left out is a trait that the client does not have; the touch is then that of the steady
//! one. Nothing here opens a file, and no profile describes a real person unless it was fitted to
//! one's logs; [`fitted`] then says what it rests on.

pub mod fitted;
mod rules;
mod shapes;
pub mod shipped;

use serde::{Deserialize, Serialize};

use super::traits::Traits;
use crate::json::Located;
use crate::problem::{Findings, Problem};

/// A virtual client with its name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Always [`Profile::FORMAT`].
    pub format: String,
    /// Version of the format; this program reads [`Profile::VERSION`].
    pub version: u32,
    /// What the client is called: "Steady".
    pub name: String,
    /// What kind of client it is, in a sentence or two.
    #[serde(default)]
    pub about: String,
    /// What it is like.
    pub traits: Traits,
    /// What it rests on, where it was fitted to logs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fitted: Option<fitted::Fitted>,
}

impl Profile {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright client";
    /// The version written and read.
    pub const VERSION: u32 = 1;
}

/// Reads a profile; `file` is its name for messages. The profile is there unless a problem is an
/// error; every problem is reported, in the order of lines.
#[must_use]
pub fn read(file: &str, bytes: impl AsRef<[u8]>) -> (Option<Profile>, Vec<Problem>) {
    let root = match crate::json::read(file, bytes) {
        Ok(root) => root,
        Err(problem) => return (None, vec![problem]),
    };
    let mut findings = Findings::of(file);
    shapes::check(&root, &mut findings);
    let profile = if findings.fatal() { None } else { typed(&root, &mut findings) };
    if let Some(profile) = &profile {
        rules::check(profile, &root, &mut findings);
    }
    let whole = profile.filter(|_| !findings.fatal());
    (whole, findings.sorted())
}

/// The tree as a profile; its shape was checked, so this fails on our own mistake only.
fn typed(root: &Located, findings: &mut Findings) -> Option<Profile> {
    serde_json::from_value(root.to_value())
        .map_err(|error| findings.error(root.line, format!("cannot read the profile: {error}"), "correct that field"))
        .ok()
}

#[cfg(test)]
mod tests {
    use super::super::latency::Latency;
    use super::super::traits::STEADY;
    use super::*;

    fn profile(traits: &str) -> String {
        format!("{{\"format\":\"pacewright client\",\"version\":1,\"name\":\"n\",\n\"traits\":{{{traits}}}}}")
    }

    fn said(traits: &str) -> Vec<String> {
        let (read, problems) = read("f", profile(traits));
        let errors = problems.iter().any(|problem| problem.severity == crate::problem::Severity::Error);
        assert_eq!(read.is_none(), errors, "{traits}");
        problems.iter().map(ToString::to_string).collect()
    }

    const LATENCY: &str = "\"latency\":{\"law\":\"gamma\",\"shift_s\":0.2,\"shape\":4,\"scale_s\":0.1}";

    #[test]
    fn the_example_of_the_documentation_is_the_steady_client_but_for_its_rests() {
        let example = crate::json::documented_example(include_str!("mod.rs"));
        let (profile, problems) = read("example", example);
        assert_eq!(problems, []);
        assert_eq!(profile.unwrap().traits, Traits { rests: 0.0, ..STEADY });
    }

    #[test]
    fn what_is_left_out_is_no_trait() {
        let (read, problems) = read("f", profile(LATENCY));
        assert_eq!(problems, []);
        let latency = Latency::Gamma { shift_s: 0.2, shape: 4.0, scale_s: 0.1 };
        assert_eq!(read.unwrap().traits, Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY });
    }

    #[test]
    fn impossible_values_have_a_line_and_a_remedy() {
        let with = |more: &str| format!("{LATENCY},\n{more}");
        for (traits, wanted) in [
            ("", "`f`, line 2: `traits` has no `latency`; add it: an object in curly brackets"),
            (
                "\"latency\":{\"law\":\"gama\"}",
                "`f`, line 2: `law` is the text `gama`; give one of `ex-gaussian`, `lognormal`, `wald`, `gamma`, `quantiles`",
            ),
            (
                "\"latency\":{\"law\":\"wald\",\"shift_s\":0.1,\"mean_s\":0.5}",
                "`f`, line 2: `latency` has no `shape_s`; add it: a number from 0.001 to 1000000",
            ),
            (
                "\"latency\":{\"law\":\"ex-gaussian\",\"mu_s\":0.5,\"sigma_s\":-0.1,\"tau_s\":0}",
                "`f`, line 2: `sigma_s` is `-0.1`; give a number from 0 to 10",
            ),
            (
                "\"latency\":{\"law\":\"quantiles\",\"seconds\":[0.5,0.4]}",
                "`f`, line 2: `seconds` falls; give the quantiles in rising order",
            ),
            (&with("\"miss\":1.2"), "`f`, line 3: `miss` is `1.2`; give a number from 0 to 1"),
            (&with("\"mis\":0.2"), "`f`, line 3: unknown field `mis` in `traits`; did you mean `miss`?"),
            (
                &with("\"tremor\":{\"share\":0.5,\"presses\":4}"),
                "`f`, line 3: `tremor` makes no train; give `hertz`, and 2 `presses` or more",
            ),
            (
                &with("\"spasm\":{\"per_s\":1,\"presses\":9,\"gap_s\":0.5}"),
                "`f`, line 3: involuntary presses take more than half of the time; give fewer or shorter ones",
            ),
            (
                &with("\"contact\":{\"bounces\":3}"),
                "`f`, line 3: `bounces` without `bounce_s` has no effect; give the time within which they are over",
            ),
            (
                &with("\"course\":{\"unpractised\":0.5}"),
                "`f`, line 3: `unpractised` without `practice_presses` has no effect; give the presses that it takes",
            ),
        ] {
            assert_eq!(said(traits), [wanted], "{traits}");
        }
    }

    #[test]
    fn every_trait_has_its_shape() {
        let all = Traits { stops_after_s: Some(9.0), ..STEADY };
        let value = serde_json::to_value(Profile {
            format: Profile::FORMAT.into(),
            version: Profile::VERSION,
            name: "n".into(),
            about: String::new(),
            traits: all,
            fitted: None,
        })
        .unwrap();
        let (_, problems) = read("f", value.to_string());
        assert_eq!(problems, []);
    }
}
