//! The command `simulate`: what it tells, in every form, whole and in parts, and what it says to bad input.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

fn simulate(folder: &Path, args: &[&str]) -> Output {
    let program = env!("CARGO_BIN_EXE_pacewright");
    Command::new(program).arg("simulate").args(args).current_dir(folder).output().unwrap()
}

/// Standard output of a run that went well.
fn told(folder: &Path, args: &[&str]) -> String {
    let output = simulate(folder, args);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Standard error of a run that did not, with its exit code.
fn refused(folder: &Path, args: &[&str]) -> (String, Option<i32>) {
    let output = simulate(folder, args);
    (String::from_utf8(output.stderr).unwrap(), output.status.code())
}

const SWEEP: [&str; 8] =
    ["--profile", "steady", "--set", "scan_interval=0.8,1.2", "--selections", "2300", "--seed", "4"];

fn with(args: &[&'static str]) -> Vec<&'static str> {
    [&SWEEP[..], args].concat()
}

#[test]
fn the_table_names_client_menu_and_the_best_row() {
    let folder = TempDir::new().unwrap();
    let text = told(folder.path(), &with(&["--pattern", "linear", "--threads", "1"]));
    assert!(text.starts_with("The virtual client `Steady` at the menu `Nine everyday things`: 2300 selections a row"));
    assert!(text.contains("With pattern linear.") && text.contains("\nLeast time: "), "{text}");
    assert_eq!(text.lines().filter(|line| line.starts_with("0.8 s") || line.starts_with("1.2 s")).count(), 2);
    assert_eq!(told(folder.path(), &with(&["--pattern", "linear", "--threads", "3"])), text);
}

#[test]
fn the_comma_separated_form_has_a_number_in_each_cell() {
    let folder = TempDir::new().unwrap();
    let csv = told(folder.path(), &with(&["--pattern", "linear,row-column", "--as", "csv"]));
    let rows: Vec<Vec<&str>> = csv.lines().map(|line| line.split(',').collect()).collect();
    assert_eq!(
        (rows.len(), rows[0][0], rows[0][1], rows[0][4]),
        (5, "pattern", "scan_interval", "seconds_per_selection")
    );
    for row in &rows[1..] {
        assert_eq!(row.len(), rows[0].len());
        let numbers: Vec<f64> = row[1..18].iter().map(|cell| cell.parse().unwrap()).collect();
        assert!(numbers[3] > 2.0 && numbers[4] < numbers[3] && numbers[5] > numbers[3], "{row:?}");
        assert_eq!(row[18..], ["", "", ""]);
    }
}

#[test]
fn parts_put_together_are_the_file_of_one_run() {
    let folder = TempDir::new().unwrap();
    let path = folder.path();
    told(path, &with(&["--as", "json", "--out", "whole.json"]));
    told(path, &with(&["--as", "json", "--out", "1.json", "--shard", "1/2"]));
    told(path, &with(&["--as", "json", "--out", "2.json", "--shard", "2/2", "--threads", "2"]));
    told(path, &["--merge", "2.json", "1.json", "--as", "json", "--out", "merged.json"]);
    let bytes = |name: &str| std::fs::read(path.join(name)).unwrap();
    assert_eq!(bytes("merged.json"), bytes("whole.json"));
    let text = told(path, &["--merge", "1.json", "2.json", "--plot", "sweep.svg"]);
    assert_eq!(text, told(path, &SWEEP));
    assert!(String::from_utf8(bytes("sweep.svg")).unwrap().starts_with("<svg"));
    let (said, code) = refused(path, &["--merge", "1.json", "1.json"]);
    assert!(
        said.contains("`1.json`: it is the same part as `1.json`; give each part once") && code == Some(1),
        "{said}"
    );
}

fn names(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Object(object) => {
            for (name, inner) in object.iter().filter(|(name, _)| *name != "profile" && *name != "menu") {
                found.push(name.clone());
                if name != "settings" {
                    names(inner, found);
                }
            }
        }
        Value::Array(list) => list.iter().for_each(|inner| names(inner, found)),
        _ => {}
    }
}

#[test]
fn every_field_of_the_json_is_documented() {
    let folder = TempDir::new().unwrap();
    let plain = ["scan_interval=1", "lockout=0", "loops_top=no limit", "loops_inside=1", "exit=none"];
    let rest = ["first_after_start=0", "first_in_group=0", "pattern=linear"];
    let sets = plain.iter().chain(&rest).flat_map(|set| ["--set", set]);
    // Without a question before an item a list has an exact solution.
    let menu = r#"{"format": "pacewright menu", "version": 1, "name": "Two", "about": "Invented.", "home": [], "entries":
        [{"id": "a", "label": "Lamp", "icon": "lamp"}, {"id": "b", "label": "Fan", "icon": "fan", "weight": 3}]}"#;
    std::fs::write(folder.path().join("two.json"), menu).unwrap();
    let base = ["--profile", "steady", "--menu", "two.json", "--selections", "2000", "--as", "json"];
    let study: Value =
        serde_json::from_str(&told(folder.path(), &base.into_iter().chain(sets).collect::<Vec<_>>())).unwrap();
    let mut found = Vec::new();
    names(&study, &mut found);
    assert!(found.contains(&"exact".to_string()) && study["points"][0]["exact"].is_object(), "{found:?}");
    let exact = study["points"][0]["exact"]["seconds_per_selection"].as_f64().unwrap();
    let seconds = study["points"][0]["seconds_per_selection"]["value"].as_f64().unwrap();
    assert!((seconds / exact - 1.0).abs() < 0.05, "{seconds} {exact}");
    let documented = include_str!("../../docs/json.md");
    let missing: Vec<_> = found.iter().filter(|name| !documented.contains(&format!("`{name}`"))).collect();
    assert_eq!(missing, Vec::<&String>::new());
}

#[test]
fn bad_input_is_told_with_its_remedy() {
    let folder = TempDir::new().unwrap();
    let absent = r#"{"format": "pacewright client", "version": 1, "name": "Nobody", "traits":
        {"latency": {"law": "gamma", "shift_s": 0.2, "shape": 4, "scale_s": 0.1}, "miss": 1}}"#;
    std::fs::write(folder.path().join("absent.json"), absent).unwrap();
    for (args, wanted) in [
        (&["--profile", "steady", "--set", "scan_interval"][..], "is no setting with its values; write"),
        (&["--profile", "steady", "--set", "hold=0", "--set", "hold=0.1"], "`hold` is set twice"),
        (&["--profile", "steady", "--set", "scan_interval=0.3:20:0.00001"], "take a longer step"),
        (&["--profile", "steady", "--set", "scan_interval=0.1"], "outside the range"),
        (&["--profile", "steady", "--pattern", "diagonal"], "diagonal"),
        (&["--profile", "steady", "--set", "dwell=1"], "`dwell` has no part in counted selections; leave it out"),
        (&["--profile", "nobody.json"], "shipped are steady"),
        (&["--profile", "steady", "--menu", "none.json"], "shipped are"),
        (&["--profile", "steady", "--shard", "3/2", "--out", "f"], "`3/2` is no part of a whole; write `1/3`"),
        (&["--profile", "steady", "--shard", "1/2", "--out", "f"], "add `--as json`"),
        (&["--profile", "steady", "--selections", "50", "--plot", "p.svg"], "nothing varies that could be drawn"),
        (&["--merge", "absent.json"], "it is no result of a study"),
        (
            &["--profile", "absent.json", "--selections", "100"],
            "never gets the wanted item; every selection was given up",
        ),
        (
            &["--profile", "steady", "--set", "hold=0.02,0.1", "--set", "debounce=0.05"],
            "at 0.02 s, 0.05 s: The hold time (0.02 s) is shorter than the debounce (0.05 s). So it is in 1 of 2",
        ),
        (&["--profile", "steady", "--set", "hold=1.5"], "(1.50 s) is longer than this client's presses: none would"),
    ] {
        let (said, code) = refused(folder.path(), args);
        assert!(said.contains(wanted) && code == Some(1), "{args:?}: {code:?} {said}");
    }
}

/// Waits until the program has seen to Ctrl-C (signal 2), as Linux tells it.
#[cfg(target_os = "linux")]
fn until_it_listens(program: u32) {
    let listens = || {
        let status = std::fs::read_to_string(format!("/proc/{program}/status")).unwrap();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap().trim();
        u64::from_str_radix(mask, 16).unwrap() & 2 != 0
    };
    while !listens() {
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_done_is_kept_when_it_is_stopped() {
    let folder = TempDir::new().unwrap();
    let many = ["--profile", "steady", "--set", "scan_interval=0.6:2:0.001", "--selections", "20000", "--as", "json"];
    let program = Command::new(env!("CARGO_BIN_EXE_pacewright"))
        .arg("simulate")
        .args(many)
        .args(["--out", "part.json"])
        .current_dir(folder.path())
        .spawn()
        .unwrap();
    until_it_listens(program.id());
    Command::new("kill").args(["-INT", &program.id().to_string()]).status().unwrap();
    let ended = program.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(2));
    let study: Value = serde_json::from_slice(&std::fs::read(folder.path().join("part.json")).unwrap()).unwrap();
    assert_eq!(study["complete"], false);
    let points = study["points"].as_array().unwrap();
    // So fast a scan is given up now and then: those count as well.
    let asked = |point: &Value| point["selections"].as_u64().unwrap() + point["given_up"].as_u64().unwrap();
    assert!(points.len() < 1_401 && points.iter().all(|point| asked(point) == 20_000));
}
