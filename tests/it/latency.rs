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
fn all_models_are_fitted_unless_some_are_named() {
    // Computed with numpy and scipy; see tests/reference/latency_models.py.
    let found = json(&lines(), &[]);
    for (index, name, parameter, value, loglik) in
        [(1, "lognormal", "shift", 336.5484, -261.3926119), (2, "wald", "threshold", 36.39721, -261.3666958)]
    {
        let model = &found["models"][index];
        assert_eq!(model["name"], name);
        assert!(near(&model["params"][parameter], value, 1e-3) && near(&model["loglik"], loglik, 1e-6), "{model}");
        assert!(near(&model["aic"], 6.0 - 2.0 * loglik, 1e-5), "{model}");
        assert!(model["standard_errors"][parameter].as_f64().is_some_and(|error| error > 0.0), "{model}");
    }
    let named = json(&lines(), &["--model", "wald", "--model", "exgauss"]);
    let names: Vec<&Value> = named["models"].as_array().expect("models").iter().map(|model| &model["name"]).collect();
    assert_eq!(names, ["exgauss", "wald"]);
}

#[test]
fn values_that_bear_no_fit_are_described_all_the_same() {
    let found = json("0.5\n0.6\n0.7\n", &[]);
    assert!(near(&found["mean"], 0.6, 1e-12) && near(&found["sd"], 0.1, 1e-12), "{found}");
    assert_eq!(found["models"], Value::Array(Vec::new()));
    assert_eq!(found["no_fit"], "too few distinct values (3); measure at least 5");
    let equal = json("0.5\n0.5\n", &[]);
    assert!(near(&equal["quantiles"]["0.9"], 0.5, 1e-12) && near(&equal["sd"], 0.0, 1e-12), "{equal}");
    assert!(equal["no_fit"].as_str().expect("a reason").contains("all values are equal"));
    let missed = json(">0.5\n", &[]);
    assert!(missed["mean"].is_null() && missed["sd"].is_null() && missed["quantiles"]["0.5"].is_null(), "{missed}");
    let words = String::from_utf8_lossy(&latency("0.5\n", &[]).stdout).into_owned();
    assert!(words.contains("mean 0.500000\n") && words.contains("no distribution fitted: too few"), "{words}");
}

#[test]
fn an_empty_file_is_refused() {
    for text in ["", "# none\n", "latency\n"] {
        let ended = latency(text, &["--json"]);
        let words = String::from_utf8_lossy(&ended.stderr).into_owned();
        assert_eq!((ended.status.code(), ended.stdout.len()), (Some(1), 0), "{words}");
        assert!(words.contains("column.txt") && words.contains("it holds no latencies; write"), "{words}");
    }
    assert!(String::from_utf8_lossy(&latency("0.5\nNaN\n", &[]).stderr).contains("line 2: `NaN` is not finite"));
}

#[test]
fn a_column_of_several_megabytes_is_read() {
    let found = json(&"0.500000000\n".repeat(400_000), &[]);
    assert_eq!(found["n"].as_u64(), Some(400_000));
}

#[test]
fn the_help_explains_the_json() {
    let ended = Command::new(env!("CARGO_BIN_EXE_pacewright")).args(["latency", "--help"]).output().expect("help");
    let words = String::from_utf8_lossy(&ended.stdout).into_owned();
    for key in ["unit", "censored", "quantiles", "standard_errors", "loglik", "aic", "no_fit", "threshold", "tau"] {
        assert!(words.contains(key), "{key}: {words}");
    }
}

#[test]
fn the_text_says_unit_and_parameters() {
    let ended = latency(&lines(), &["--unit", "ms"]);
    let words = String::from_utf8_lossy(&ended.stdout).into_owned();
    assert!(words.contains("in ms") && words.contains("mu 499.1") && words.contains("40 values, 0 of them"), "{words}");
}
