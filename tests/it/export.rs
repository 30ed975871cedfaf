//! Tables and data sets of sessions whose content is known.

use std::collections::{BTreeMap, BTreeSet};

use pacewright::analysis::findings;
use pacewright::engine::effect::Switch;
use pacewright::export::bids::{About, Dataset};
use pacewright::export::csv::Tables;
use pacewright::export::table::Shown;
use pacewright::export::{File, Session, Whose};
use pacewright::log::header::{Header, Measured};
use pacewright::session::event::{BlockKind, Event};
use pacewright::session::input::{Input, Prompt};
use pacewright::session::protocol::Block;
use pacewright::session::record::Record;
use pacewright::session::trial::Outcome;
use pacewright::session::{Plan, Session as Sitting, shipped};
use pacewright::settings::Settings;
use pacewright::sim::client::{Client, STEADY, Traits};
use pacewright::sim::sitting::sit;
use pacewright::time::Moment;

use crate::made::Made;
use crate::samples;

const ALL: Shown = Shown { free_text: true, identifying: true };

fn session<'a>(header: &'a Header, records: &'a [Record]) -> Session<'a> {
    let whose = Whose { client: "P001".into(), session: 1 };
    Session { whose, began: Some("1900-01-01T09:00:00".into()), log: "A1.jsonl", whole: true, header, records }
}

fn csv(header: &Header, records: &[Record], shown: Shown) -> BTreeMap<String, Vec<BTreeMap<String, String>>> {
    let mut tables = Tables::new(shown);
    tables.add(&session(header, records));
    tables.into_files().into_iter().map(|file| (file.path.replace(".csv", ""), rows(&file.text))).collect()
}

fn bids(header: &Header, records: &[Record], free_text: bool) -> Vec<File> {
    let mut dataset = Dataset::new(About::default(), free_text);
    dataset.add(&session(header, records));
    dataset.into_files()
}

/// The rows of a CSV text by column. Reads what RFC 4180 calls a file with quoted fields.
fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut lines = records_of(text).into_iter();
    let names = lines.next().expect("a header");
    lines
        .map(|cells| {
            assert_eq!(cells.len(), names.len(), "{cells:?}");
            names.iter().cloned().zip(cells).collect()
        })
        .collect()
}

fn records_of(text: &str) -> Vec<Vec<String>> {
    let (mut all, mut line, mut cell, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => cell.extend(letters.next()),
            '"' => quoted = !quoted,
            ',' if !quoted => line.push(std::mem::take(&mut cell)),
            '\n' if !quoted => {
                line.push(std::mem::take(&mut cell));
                all.push(std::mem::take(&mut line));
            }
            letter => cell.push(letter),
        }
    }
    all
}

fn column<'a>(table: &'a [BTreeMap<String, String>], name: &str) -> Vec<&'a str> {
    table.iter().map(|row| row[name].as_str()).collect()
}

/// A virtual client's session.
fn sat(protocol: &str, traits: Traits, settings: serde_json::Value, seed: u64) -> (Header, Vec<Record>) {
    let (protocol, menu) = shipped::find(protocol).unwrap();
    let changed = Settings::from_json(settings.as_object().unwrap()).unwrap();
    let plan = Plan { settings: changed.overlaid(&protocol.settings).unwrap(), protocol, menu, seed };
    let (mut records, mut sitting) = (Vec::new(), Sitting::new(plan.clone()));
    sit(&mut sitting, &mut Client::new(traits, seed), |fresh| records.extend_from_slice(fresh)).unwrap();
    let measured = Measured { frame_interval_us: 16_000, ..Measured::default() };
    (Header { client: "A1".into(), invented: true, measured, ..Header::for_plan(&plan) }, records)
}

/// Sessions with omissions, late and early presses, in several patterns, and one record of every kind.
fn sessions() -> Vec<(Header, Vec<Record>)> {
    let careless = Traits { miss: 0.4, ..STEADY };
    let mut all = vec![(samples::header(), samples::records())];
    for (seed, settings) in [
        (1, serde_json::json!({})),
        (2, serde_json::json!({ "scan_interval": 0.8, "pattern": "row-column" })),
        (3, serde_json::json!({ "act_on": "release", "hold": 0.1 })),
        (4, serde_json::json!({ "technique": "inverse" })),
        (5, serde_json::json!({ "technique": "step", "lockout": 0.3 })),
    ] {
        all.push(sat("longer-trial", careless.clone(), settings.clone(), seed));
        all.push(sat("first-look", STEADY, settings, seed));
    }
    all
}

#[test]
fn every_table_has_the_columns_and_the_words_that_the_dictionary_says() {
    for (header, records) in sessions() {
        let mut tables = Tables::new(ALL);
        tables.add(&session(&header, &records));
        let files = tables.into_files();
        let (dictionary, tables) = files.split_last().unwrap();
        let dictionary = rows(&dictionary.text);
        assert_eq!(tables.len(), 7);
        for table in tables {
            let name = table.path.strip_suffix(".csv").unwrap();
            let described: Vec<_> = dictionary.iter().filter(|row| row["table"] == name).skip(1).collect();
            let names: Vec<&str> = described.iter().map(|row| row["column"].as_str()).collect();
            assert_eq!(names, records_of(&table.text)[0], "{name}");
            assert!(described.iter().all(|row| row["meaning"].ends_with('.')), "{name}");
            for row in rows(&table.text) {
                described.iter().for_each(|column| holds(column, &row[&column["column"]]));
            }
        }
    }
}

/// A cell is missing, or a number where there is a unit, or one of the words where there are some.
fn holds(column: &BTreeMap<String, String>, cell: &str) {
    let words: Vec<&str> = column["levels"].split(" | ").filter_map(|level| level.split(':').next()).collect();
    let fits = cell.is_empty()
        || if column["unit"].is_empty() {
            column["levels"].is_empty() || words.contains(&cell)
        } else {
            cell.parse::<f64>().is_ok()
        };
    assert!(fits, "`{cell}` in {column:?}");
}

#[test]
fn the_settings_of_the_registry_are_described_and_each_is_there_at_the_start() {
    let (header, records) = sat("first-look", STEADY, serde_json::json!({}), 1);
    let found = csv(&header, &records, ALL);
    let names = |table: &str, name: &str, value: &str, wanted: &str| -> Vec<String> {
        let rows = found[table].iter().filter(|row| row[name] == value);
        rows.map(|row| row[wanted].clone()).collect()
    };
    let registry: Vec<&str> = pacewright::settings::REGISTRY.iter().map(|setting| setting.name).collect();
    assert_eq!(names("data_dictionary", "table", "setting", "column"), registry);
    assert_eq!(names("settings", "source", "start", "setting"), registry);
}

#[test]
fn what_enters_the_findings_is_marked_in_presses_and_in_opportunities() {
    for (header, records) in sessions().into_iter().skip(1) {
        let found = csv(&header, &records, ALL);
        let series = findings(&header, &records).0.total.series;
        let mut expected: Vec<String> = series.iter().map(|point| format!("{:.6}", point.latency_s)).collect();
        expected.sort();
        for table in ["presses", "opportunities"] {
            let marked = found[table].iter().filter(|row| row["in_findings"] == "TRUE");
            let mut latencies: Vec<String> = marked.map(|row| row["latency_s"].clone()).collect();
            latencies.sort();
            assert_eq!(latencies, expected, "{table}, seed {}", header.seed);
        }
        assert!(!expected.is_empty());
    }
}

#[test]
fn a_press_that_is_attributed_is_there_with_the_same_latency() {
    for (header, records) in sessions().into_iter().skip(1) {
        let found = csv(&header, &records, ALL);
        let presses: BTreeMap<&str, &BTreeMap<String, String>> =
            found["presses"].iter().map(|row| (row["press"].as_str(), row)).collect();
        for row in &found["opportunities"] {
            if row["censored"] == "TRUE" {
                assert_eq!((row["latency_s"].as_str(), row["attributed_to"].as_str()), ("", ""));
                assert_eq!((row["outcome"].as_str(), &row["censor_time_s"]), ("omission", &row["window_s"]));
            } else {
                let press = presses[row["attributed_to"].as_str()];
                for name in ["latency_s", "latency_corrected_s", "outcome", "block", "trial", "trial_counts"] {
                    assert_eq!(press[name], row[name], "{name} in {row:?}");
                }
                assert_eq!(row["censor_time_s"], "");
            }
        }
    }
}

#[test]
fn the_corrected_latency_is_the_measured_one_less_one_frame_and_half_a_polling_step() {
    let made = Made::new().begin(Block::of(BlockKind::TimedPress)).pressed(Outcome::Hit, 700);
    let measured =
        Measured { frame_interval_us: 16_000, frame_lag_us: 9_000, input_step_us: 8_000, ..Measured::default() };
    let header = Header { measured, ..made.header() };
    let row = &csv(&header, &made.records, ALL)["opportunities"][0];
    assert_eq!((row["latency_s"].as_str(), row["latency_corrected_s"].as_str()), ("0.700000", "0.680000"));
    let unmeasured = &csv(&made.header(), &made.records, ALL)["opportunities"][0];
    assert_eq!((unmeasured["latency_s"].as_str(), unmeasured["latency_corrected_s"].as_str()), ("0.700000", ""));
}

#[test]
fn nothing_that_is_left_out_of_the_findings_is_left_out_of_the_tables() {
    let made = Made::new()
        .begin(Block::of(BlockKind::TimedPress))
        .trial(|trial| trial.scored = false)
        .trial(|trial| trial.prompt = Prompt::Touched)
        .trial(|trial| trial.outcome = Outcome::Aborted)
        .trial(|trial| trial.excluded = Some("door opened".into()))
        .pressed(Outcome::Hit, 5_000)
        .event(Event::Excluded { block: 0, trial: 5, reason: "=talk".into() })
        .pressed(Outcome::Hit, 700);
    let found = csv(&made.header(), &made.records, ALL);
    let trials = &found["trials"];
    assert_eq!(column(trials, "left_out"), ["practice", "prompted", "aborted", "excluded", "excluded", ""]);
    assert_eq!(column(trials, "trial_counts"), ["FALSE", "FALSE", "FALSE", "FALSE", "FALSE", "TRUE"]);
    assert_eq!(column(trials, "excluded_because"), ["", "", "", "door opened", "'=talk", ""]);
    assert_eq!(column(&found["opportunities"], "in_findings"), ["FALSE", "TRUE"]);
}

#[test]
fn bounce_and_the_assessors_presses_are_rows_too() {
    let mut sitting = Sitting::new(samples::plan());
    let mut records = Vec::new();
    for (at_ms, down) in [(1_000, true), (1_005, false), (1_010, true), (1_200, false)] {
        sitting.input(Moment(at_ms * 1_000), Input::Edge { switch: Switch(0), down }, &mut records);
    }
    sitting.advance(Moment(2_000_000), &mut records);
    let found = csv(&samples::header(), &records, ALL);
    let presses = &found["presses"];
    assert_eq!(column(presses, "closed_s"), ["1.000000", "1.010000"]);
    assert_eq!(column(presses, "opened_s"), ["1.005000", "1.200000"]);
    assert_eq!(column(presses, "held_s"), ["0.200000", ""]);
    assert_eq!(column(presses, "accepted"), ["TRUE", "FALSE"]);
    assert_eq!(presses[1]["ignored"], "bounce");
    assert_eq!(column(presses, "state"), ["assessor", "assessor"]);
}

#[test]
fn in_bids_an_early_press_is_negative_and_an_omission_has_no_time() {
    // BIDS 1.10.0, columns: response_time is negative for a preemptive response, n/a for a missed one.
    let made = Made::new().begin(Block::of(BlockKind::TimedPress)).pressed(Outcome::Early, -120);
    assert_eq!(response_times(&made.header(), &made.records), [("early".into(), "-0.120000".into())]);

    let (header, records) = sat("first-look", Traits { miss: 0.7, ..STEADY }, serde_json::json!({}), 1);
    let missed: Vec<_> =
        response_times(&header, &records).into_iter().filter(|(outcome, _)| outcome == "omission").collect();
    assert!(!missed.is_empty() && missed.iter().all(|(_, time)| time == "n/a"), "{missed:?}");
}

/// Outcome and response time of each row of the only table of responses.
fn response_times(header: &Header, records: &[Record]) -> Vec<(String, String)> {
    let files = bids(header, records, false);
    let table = &files.iter().find(|file| file.path.ends_with("_beh.tsv")).unwrap().text;
    let mut lines = table.lines().map(|line| line.split('\t').collect::<Vec<_>>());
    let names = lines.next().unwrap();
    let place = |name: &str| names.iter().position(|found| *found == name).unwrap();
    lines.map(|cells| (cells[place("outcome")].to_string(), cells[place("response_time")].to_string())).collect()
}

#[test]
fn a_data_set_has_the_files_keys_and_labels_that_bids_asks_for() {
    // BIDS 1.10.0: `beh` files, dataset_description.json, participants.tsv.
    let (header, records) = sat("first-look", STEADY, serde_json::json!({}), 1);
    let files = bids(&header, &records, false);
    let paths: BTreeSet<&str> = files.iter().map(|file| file.path.as_str()).collect();
    let wanted = [
        "README",
        "dataset_description.json",
        "participants.json",
        "participants.tsv",
        "sub-P001/ses-1/beh/sub-P001_ses-1_task-Firstlook_beh.json",
        "sub-P001/ses-1/beh/sub-P001_ses-1_task-Firstlook_beh.tsv",
        "sub-P001/sub-P001_sessions.json",
        "sub-P001/sub-P001_sessions.tsv",
        "task-Firstlook_beh.json",
    ];
    assert_eq!(paths, BTreeSet::from(wanted));
    let text = |path: &str| &files.iter().find(|file| file.path == path).unwrap().text;
    let json = |path: &str| serde_json::from_str::<serde_json::Value>(text(path)).unwrap();
    assert!(json("dataset_description.json")["Name"].is_string());
    assert!(json("dataset_description.json")["BIDSVersion"].is_string());
    assert!(
        text("participants.tsv").starts_with("participant_id\t") && text("participants.tsv").contains("\nsub-P001\t")
    );
    let sidecar = json("task-Firstlook_beh.json");
    let columns = text("sub-P001/ses-1/beh/sub-P001_ses-1_task-Firstlook_beh.tsv").lines().next().unwrap();
    assert!(columns.split('\t').all(|name| sidecar[name]["Description"].is_string()), "{columns}");
}

#[test]
fn a_task_that_a_pointer_works_asks_for_no_press() {
    let (header, records) = sat("pointer", STEADY, serde_json::json!({}), 1);
    let mut dataset = Dataset::new(About::default(), false);
    dataset.add(&session(&header, &records));
    let sidecar = |files: &[File]| {
        let file = files.iter().find(|file| file.path == "task-Pointer_beh.json").unwrap();
        serde_json::from_str::<serde_json::Value>(&file.text).unwrap()
    };
    let files = dataset.into_files();
    let about = |files: &[File]| sidecar(files)["TaskDescription"].as_str().unwrap().to_string();
    assert!(about(&files).starts_with("A menu is worked with a pointer") && !about(&files).contains("one switch"));
    assert!(sidecar(&files)["Instructions"].as_str().unwrap().starts_with("Rest on the marked tile."));
    let text = |end: &str| &files.iter().find(|file| file.path.ends_with(end)).unwrap().text;
    assert!(text("README").contains("these blocks have no rows in _beh.tsv"));
    assert_eq!(text("_beh.tsv").lines().count(), 1, "no lighting could be missed");
}

#[test]
fn nothing_that_leads_back_to_a_client_is_in_an_export_unless_it_is_asked_for() {
    let mut made = Made::new()
        .input(Input::Note { text: "SECRET remark".into() })
        .begin(Block::of(BlockKind::MenuTasks))
        .trial(|trial| trial.target = "SECRET-item".into())
        .event(Event::Excluded { block: 0, trial: 1, reason: "SECRET reason".into() });
    made.at = Moment(90_000_000);
    let mut header = made.header();
    for text in ["site", "side", "switch", "mounting", "position", "breathing", "since_rest", "since_medication"] {
        let mut setup = serde_json::to_value(&header.setup).unwrap();
        setup[text] = "SECRET circumstance".into();
        header.setup = serde_json::from_value(setup).unwrap();
    }
    header.setup.assessor = "SECRET".into();
    (header.client, header.seed) = ("SECRET".into(), 1_767_319_445_000_000);
    header.protocol.name = "SECRET protocol".into();
    header.protocol.about = "SECRET words".into();
    header.menu["name"] = "SECRET menu".into();
    header.menu["entries"][0]["id"] = "SECRET-item".into();
    let of_csv = |shown| {
        let mut tables = Tables::new(shown);
        tables.add(&Session { log: "SECRET-20260102.jsonl", ..session(&header, &made.records) });
        tables.into_files()
    };
    for files in [of_csv(Shown::default()), bids(&header, &made.records, false)] {
        for file in files {
            for word in ["SECRET", "2026", "1767319445000000"] {
                assert!(!file.text.contains(word) && !file.path.contains(word), "{word} in {}", file.path);
            }
        }
    }
    let asked = of_csv(ALL).into_iter().map(|file| file.text).collect::<String>();
    for word in ["remark", "reason", "circumstance", "protocol", "menu", "-item", "-20260102"] {
        assert!(asked.contains(&format!("SECRET{word}")) || asked.contains(&format!("SECRET {word}")), "{word}");
    }
}
