//! The findings as JSON, for other programs.
//!
//! # Shape
//!
//! One object a log. Names end in their unit: `_s` is seconds, `_per_minute` a rate; shares run
//! from 0 to 1. What was not measured is `null`.
//!
//! ```text
//! format          "pacewright findings"
//! version         1; a new field may come without a new version
//! program, client, began, seed, invented, protocol      as in the log's header
//! findings
//!   seconds, complete          length of the session; whether all blocks were done
//!   suggestion                 null, or scan_interval_s (rounded up to the setting's step), exact_s,
//!                              low_s and high_s (90 % t interval), count, late, kind, mean_s, held_s, cv
//!   total                      measures of all trials that count
//!   blocks[]                   block (from 0), kind, seconds, ended, scan_interval_s, ratings [[name, value]],
//!                              measures, involuntary
//!   rests, pauses              [[reason, count]]
//! cautions[]                   caution (its name), its values, text, remedy
//! recommendations[]            rule, version, source, advice, why, trials, sure, cautions, next; see
//!                              `advice/recommendation.rs`; added by the command line
//! no_recommendations           null, or why there are none
//!
//! measures          trials, interrupted, left_out {practice, prompted, aborted, excluded},
//!                   outcomes [{outcome, count, share, low, high}] (95 % Wilson interval),
//!                   latency {count, quartiles, median_s, mean_s, sd_s, cv, p90_s, p95_s, p99_s, max_s, negative},
//!                   series [{at_s, latency_s, block, interrupted}], seconds_per_correct, presses_per_correct
//! involuntary       watch, count, seconds, per_minute, low_per_minute, high_per_minute (95 % exact Poisson)
//! ```

use serde_json::{Value, json};

use super::findings::{Caution, Findings};
use crate::log::header::Header;

/// The findings of one log as one JSON object; see the module for its shape.
#[must_use]
pub fn json(header: &Header, findings: &Findings, cautions: &[Caution]) -> Value {
    json!({
        "format": "pacewright findings",
        "version": 1,
        "program": header.program,
        "client": header.client,
        "began": header.began,
        "seed": header.seed,
        "invented": header.invented,
        "protocol": header.protocol.name,
        "findings": findings,
        "cautions": cautions.iter().map(caution).collect::<Vec<_>>(),
    })
}

fn caution(caution: &Caution) -> Value {
    let mut object = json!(caution);
    object["text"] = Value::from(caution.to_string());
    object["remedy"] = Value::from(caution.remedy());
    object
}
