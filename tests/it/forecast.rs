//! `fit`, `replay --set` and `predict` as a program: what they print and write, and what they refuse.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

use pacewright::analysis::gather;
use pacewright::analysis::refiltered::refiltered;
use pacewright::forecast::fit::fit;
use pacewright::forecast::home::at_home;
use pacewright::forecast::selections::{NAMES, Outcomes, selections};
use pacewright::forecast::tried::{How, tried};
use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::session::record::Record;
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::Client;
use pacewright::sim::profile::{Profile, shipped as clients};
use pacewright::sim::sitting::sit;
use serde_json::Value;
use tempfile::TempDir;

/// A session of the shipped protocol by a shipped client.
fn session(client: &str, protocol: &str, seed: u64) -> (Header, Vec<Record>) {
    let (protocol, menu) = shipped::find(protocol).unwrap();
    let settings = Settings::from_json(&protocol.settings).unwrap();
    let plan = Plan { protocol, menu, settings, seed };
    let mut records = Vec::new();
    let mut client = Client::new(clients::find(client).unwrap().traits, seed);
    sit(&mut Session::new(plan.clone()), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    (Header { client: "A1".into(), invented: true, ..Header::for_plan(&plan) }, records)
}

/// A folder in which the program runs.
struct Folder(TempDir);

impl Folder {
    fn new() -> Folder {
        Folder(TempDir::new().unwrap())
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn log(&self, name: &str, (header, records): &(Header, Vec<Record>)) {
        let mut writer = Writer::begin(Vec::new(), header).unwrap();
        records.iter().for_each(|record| writer.add(record).unwrap());
        writer.end(records.last().unwrap().at).unwrap();
        fs::write(self.path(name), writer.into_sink()).unwrap();
    }

    fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_pacewright")).current_dir(self.0.path()).args(args).output().unwrap()
    }

    fn said(&self, args: &[&str]) -> String {
        let output = self.run(args);
        assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    fn refused(&self, args: &[&str]) -> String {
        let output = self.run(args);
        assert_eq!(output.status.code(), Some(1), "{args:?}");
        String::from_utf8(output.stderr).unwrap()
    }
}

/// Every name in it, in any depth.
fn names(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Object(object) => object.iter().for_each(|(name, value)| {
            found.push(name.clone());
            names(value, found);
        }),
        Value::Array(list) => list.iter().for_each(|value| names(value, found)),
        _ => {}
    }
}

fn documented(value: &Value, but: &[&str]) {
    let mut value = value.clone();
    but.iter().for_each(|name| _ = value.as_object_mut().unwrap().remove(*name));
    let mut found = Vec::new();
    names(&value, &mut found);
    let documentation = include_str!("../../docs/json.md");
    let missing: Vec<_> = found.iter().filter(|name| !documentation.contains(&format!("`{name}`"))).collect();
    assert_eq!(missing, Vec::<&String>::new());
}

#[test]
fn a_fitted_profile_demonstrates_and_predicts() {
    let folder = Folder::new();
    folder.log("a.jsonl", &session("steady", "longer-trial", 3));
    let said = folder.said(&["fit", "a.jsonl", "--out", "a.json"]);
    assert!(said.contains("- latency, mean: 0.") && said.contains("Assumed, for these logs cannot tell:"), "{said}");
    let profile: Value = serde_json::from_slice(&fs::read(folder.path("a.json")).unwrap()).unwrap();
    documented(&profile, &["traits"]);
    let said = folder.said(&["demo", "--profile", "a.json", "--protocol", "demonstration", "--out", "demo"]);
    assert!(said.contains("Fitted to A1"), "{said}");
    let said = folder.said(&["predict", "--profile", "a.json", "--menu", "six"]);
    for part in ["Let the visitor in (Front door): 2 presses", "  now ", "  50 % slower ", "100 guesses"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // A profile may be written over.
    folder.said(&["fit", "a.jsonl", "--out", "a.json"]);
}

#[test]
fn the_json_of_a_prediction_is_documented_and_the_same_each_time() {
    let folder = Folder::new();
    let args = ["predict", "--profile", "steady", "--menu", "six", "--set", "scan_interval=1.4", "--json"];
    let said = folder.said(&args);
    let object: Value = serde_json::from_str(&said).unwrap();
    documented(&object, &["settings"]);
    assert_eq!(object["settings"]["scan_interval"], 1.4);
    assert_eq!(said, folder.said(&args));
    assert_ne!(said, folder.said(&[&args[..], &["--seed", "2"]].concat()));
}

#[test]
fn the_json_of_settings_tried_is_documented() {
    let folder = Folder::new();
    folder.log("a.jsonl", &session("steady", "longer-trial", 3));
    let args = ["replay", "a.jsonl", "--set", "hold=0.2", "--set", "scan_interval=1.4", "--json"];
    let object: Value = serde_json::from_str(&folder.said(&args)).unwrap();
    documented(&object, &[]);
    assert_eq!((&object["changes"][0]["how"], &object["changes"][1]["how"]), (&"exact".into(), &"simulated".into()));
    let text = folder.said(&args[..args.len() - 1]);
    for part in ["which presses count is exact", "(simulated)", "asked for: ", "time per right choice"] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

#[test]
fn what_is_wrong_is_said_with_its_remedy() {
    let folder = Folder::new();
    folder.log("a.jsonl", &session("steady", "demonstration", 3));
    fs::write(folder.path("notes.txt"), "mine").unwrap();
    let long = session("steady", "longer-trial", 3);
    folder.log("long.jsonl", &long);
    folder.log("other.jsonl", &(Header { client: "B2".into(), ..long.0.clone() }, long.1));
    for (args, parts) in [
        (&["replay", "a.jsonl", "--set", "lokout=1"][..], &["lockout", "--set"][..]),
        (&["replay", "a.jsonl", "--set", "lockout"], &["write `name=value`"]),
        (&["replay", "a.jsonl", "--set", "lockout=9"], &["0 to 3"]),
        (&["replay", "none.jsonl", "--set", "lockout=1"], &["none.jsonl"]),
        (&["predict", "--profile", "stedy", "--menu", "six"], &["shipped are steady"]),
        (&["predict", "--profile", "steady", "--menu", "sixx"], &["shipped are six"]),
        (&["predict", "--profile", "steady", "--menu", "six", "--set", "scan_interval=0.1"], &["scan_interval"]),
        (&["fit", "long.jsonl", "--out", "notes.txt"], &["no profile", "give another file"]),
        (&["fit", "long.jsonl", "--out", "long.jsonl"], &["no profile", "give another file"]),
        (&["fit", "long.jsonl", "other.jsonl", "--out", "p.json"], &["`A1` and `B2`", "one client at a time"]),
        (&["fit", "none.jsonl", "--out", "p.json"], &["none.jsonl"]),
    ] {
        let said = folder.refused(args);
        assert!(parts.iter().all(|part| said.contains(part)), "{args:?}: {said}");
    }
    let said = folder.refused(&["fit", "a.jsonl", "--out", "p.json"]);
    assert!(said.contains("a.jsonl") && said.contains("timed presses"), "{said}");
    assert!(!folder.path("p.json").exists());
    // The presses can still be told, and why the choices cannot.
    let said = folder.said(&["replay", "a.jsonl", "--set", "lockout=1"]);
    assert!(said.contains("asked for: ") && said.contains("Choices: not told"), "{said}");
}

#[test]
fn what_is_exact_is_what_the_filter_makes_of_the_edges() {
    let (header, records) = session("tremor", "longer-trial", 2);
    let changes = [(Id::Lockout, 0), (Id::Debounce, 50_000)];
    let found = tried(&header, &records, &changes).unwrap();
    let evidence = gather::evidence(&[(&header, &records)]).unwrap();
    assert_eq!(found.presses, Some(refiltered(&header, &records, &evidence, &changes)));
    assert!(found.changes.iter().all(|change| change.how == How::Exact));
    // Half of the presses are trains of four: without a lockout more of them count.
    let presses = found.presses.unwrap();
    assert!(presses.unwanted.would_count > presses.unwanted.counted, "{presses:?}");
}

#[test]
fn unchanged_settings_change_nothing_and_a_scan_that_is_too_fast_goes_wrong() {
    let (header, records) = session("steady", "longer-trial", 2);
    let same = tried(&header, &records, &[(Id::ScanInterval, 2_000_000)]).unwrap();
    assert_eq!(same.presses, None);
    let selections = same.selections.unwrap();
    assert_eq!(selections.values.iter().map(|one| one.name).collect::<Vec<_>>(), NAMES);
    for one in &selections.values {
        assert_eq!(one.client, one.tried, "{}", one.name);
        assert!(one.difference.is_none_or(|figure| figure.value == 0.0), "{one:?}");
    }
    let fast = tried(&header, &records, &[(Id::ScanInterval, 700_000)]).unwrap().selections.unwrap();
    let difference = |place: usize| fast.values[place].difference.unwrap();
    assert!(difference(0).high < 0.0 && difference(1).low > 0.0, "{fast:?}");
}

#[test]
fn the_client_as_it_was_does_what_the_log_says() {
    // The range holds nine sessions in ten: of ten sessions, at least seven (P < 0.02 below, binomial).
    let mut within = 0;
    for seed in 100..110 {
        let (header, records) = session("steady", "longer-trial", seed);
        let mut profile = fit(&[(&header, &records)]).unwrap();
        profile.fitted.as_mut().unwrap().draws.truncate(20);
        let (plan, logged) = (header.plan("log").unwrap(), Outcomes::of(&header, &records));
        let time = selections(&logged, &profile, &plan, &plan).values[3];
        let client = time.client.unwrap();
        within += u32::from((client.low..=client.high).contains(&time.logged.unwrap()));
    }
    assert!(within >= 7, "{within}");
}

#[test]
fn the_time_at_home_that_is_predicted_holds_the_true_one() {
    // The truth is what the client who sat the session takes, errors included. Of twenty 90 % intervals
    // at least fourteen hold it (P = 0.002 below, binomial).
    let truth = clients::find("steady").unwrap();
    let menu = pacewright::menu::shipped::find("six").unwrap();
    let settings = Settings::default().with(Id::ScanInterval, 1_200_000);
    let seconds = |profile: &Profile, runs, seed| -> Vec<[f64; 3]> {
        let found = at_home(profile, &menu, &settings, runs, seed);
        let states = found.tasks.iter().map(|task| task.states[0].seconds.unwrap());
        states.map(|figure| [figure.value, figure.low, figure.high]).collect()
    };
    let wanted = seconds(&truth, 4_000, 9);
    let mut covered = [0; 3];
    for seed in 0..20 {
        let (header, records) = session("steady", "longer-trial", 200 + seed);
        let found = seconds(&fit(&[(&header, &records)]).unwrap(), 1_000, seed);
        for (place, [value, ..]) in wanted.iter().enumerate() {
            covered[place] += u32::from((found[place][1]..=found[place][2]).contains(value));
        }
    }
    assert!(covered.iter().all(|count| *count >= 14), "{covered:?} of {wanted:?}");
}

#[test]
fn a_report_and_the_findings_say_what_tasks_take_at_home() {
    let folder = Folder::new();
    folder.log("a.jsonl", &session("steady", "longer-trial", 3));
    let object: Value = serde_json::from_str(&folder.said(&["analyse", "a.jsonl", "--json"])).unwrap();
    documented(&object[0]["at_home"], &[]);
    assert_eq!(object[0]["at_home"]["tasks"][1]["task"], "Call for help");
    assert!(folder.said(&["analyse", "a.jsonl"]).contains("At home, at these settings"));
    folder.said(&["report", "a.jsonl", "--out", "a.html"]);
    let html = fs::read_to_string(folder.path("a.html")).unwrap();
    assert!(html.contains(">At home</h2>") && html.contains("Let the visitor in (Front door)"), "no table");
    // Too few presses bear no client, and say nothing.
    folder.log("b.jsonl", &session("steady", "demonstration", 3));
    folder.said(&["report", "b.jsonl", "--out", "b.html"]);
    assert!(!fs::read_to_string(folder.path("b.html")).unwrap().contains("At home"));
}
