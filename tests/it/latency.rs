//! `pacewright latency`: statistics of a plain column, as a researcher would check them.

use std::process::{Command, Output};

use serde_json::Value;

/// Forty invented latencies in milliseconds; the last three are later than 1000.
const FORTY: &str = "423 458 478 493 506 517 527 537 546 554 563 571 580 588 597 605 614 623 633 642 652 663 674 686 \
                     699 712 726 742 758 777 797 819 844 872 906 946 996 1064 1166 1385";

fn latency(text: &str, arguments: &[&str]) -> Output {
    let folder = tempfile::TempDir::new().expect("a folder");
    let file = folder.path().join("column.txt");
    std::fs::write(&file, text).expect("a file");
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    command.arg("latency").arg(&file).args(arguments).output().expect("the program starts")
}

fn json(text: &str, arguments: &[&str]) -> Value {
    let ended = latency(text, &[arguments, &["--json", "--unit", "ms"]].concat());
    assert_eq!(ended.status.code(), Some(0), "{}", String::from_utf8_lossy(&ended.stderr));
    serde_json::from_slice(&ended.stdout).expect("JSON")
}

fn lines() -> String {
    FORTY.replace(' ', "\n")
}

fn near(found: &Value, wanted: f64, tolerance: f64) -> bool {
    (found.as_f64().expect("a number") - wanted).abs() < tolerance
}

#[test]
fn a_plain_column_is_described_and_fitted() {
    // Computed with numpy and scipy; see tests/reference/latency_models.py.
    let found = json(&lines(), &[]);
    assert_eq!((found["n"].as_u64(), found["censored"].as_u64()), (Some(40), Some(0)));
    assert!(near(&found["mean"], 698.475, 1e-9) && near(&found["sd"], 202.7321, 1e-4), "{found}");
    assert!(near(&found["quantiles"]["0.5"], 647.0, 1e-9), "{found}");
    let model = &found["models"][0];
    assert_eq!(model["name"], "exgauss");
    assert!(near(&model["params"]["mu"], 499.129, 6e-3) && near(&model["params"]["tau"], 199.346, 6e-3), "{model}");
    assert!(near(&model["loglik"], -261.42391, 6e-6), "{model}");
}

#[test]
fn late_values_are_censored_where_a_sign_says_so() {
    // Computed with numpy and scipy; see tests/reference/latency_models.py.
    let text = lines().replace("1064", ">1000").replace("1166", ">1000 # missed").replace("1385", "> 1000");
    let found = json(&text, &["--model", "exgauss"]);
    assert_eq!((found["n"].as_u64(), found["censored"].as_u64()), (Some(40), Some(3)));
    assert!(near(&found["models"][0]["params"]["mu"], 499.465, 6e-3), "{found}");
    assert!(near(&found["models"][0]["loglik"], -242.45352, 6e-6), "{found}");
    assert!(found["quantiles"]["0.95"].is_null() && near(&found["quantiles"]["0.5"], 647.0, 1e-9), "{found}");
}

#[test]
fn a_table_is_described_by_group() {
    let row = |(index, value): (usize, &str)| format!("{value},{}\n", if index % 2 == 0 { "foot" } else { "hand" });
    let rows: String = FORTY.split(' ').enumerate().map(row).collect();
    let found = json(&format!("latency,site\n{rows}"), &["--by", "site"]);
    assert_eq!((&found[0]["group"], found[1]["n"].as_u64()), (&Value::from("foot"), Some(20)));
    assert!(found[0]["mean"].as_f64() < found[1]["mean"].as_f64());
}

#[test]
fn bad_lines_are_named_with_a_remedy() {
    let ended = latency("0.5\nsoon\n0.7\n,\n", &[]);
    let words = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert_eq!((ended.status.code(), ended.stdout.len()), (Some(1), 0), "{words}");
    let ended = latency("0.5\nsoon\n0.7\n", &[]);
    let words = words + &String::from_utf8_lossy(&ended.stderr);
    assert!(words.contains("column.txt`, line 2: `soon` is no latency; write a number"), "{words}");
}

#[test]
fn too_few_values_bear_no_fit() {
    let ended = latency("0.5\n0.6\n0.7\n", &[]);
    let words = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert_eq!(ended.status.code(), Some(1), "{words}");
    assert!(words.contains("too few distinct values (3); measure at least 5"), "{words}");
    assert!(String::from_utf8_lossy(&latency("0.5\n0.5\n", &[]).stderr).contains("all values are equal"));
}

#[test]
fn the_text_says_unit_and_parameters() {
    let ended = latency(&lines(), &["--unit", "ms"]);
    let words = String::from_utf8_lossy(&ended.stdout).into_owned();
    assert!(words.contains("in ms") && words.contains("mu 499.1") && words.contains("40 values, 0 of them"), "{words}");
}
