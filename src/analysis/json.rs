//! The findings as JSON, for other programs.
//!
#![doc = include_str!("../../docs/json.md")]

use serde_json::{Value, json};

use super::findings::{Caution, Findings};
use crate::log::header::Header;

/// The findings of one log as one JSON object; see the module for its fields.
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
