//! `analyse` over several logs of virtual clients: set-ups, confirm blocks, changes, refusals.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::session::setup::Setup;
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::{Client, STEADY, Traits};
use pacewright::sim::latency::Latency;
use pacewright::sim::sitting::sit;
use pacewright::time::Moment;
use serde_json::Value;
use tempfile::TempDir;

/// What a log is made of.
struct Sat<'a> {
    name: &'a str,
    protocol: &'a str,
    site: &'a str,
    client: &'a str,
    began: &'a str,
    settings: Settings,
    traits: Traits,
}

/// A client who presses only when asked, with little scatter.
fn sure(mu_s: f64) -> Traits {
    let latency = Latency::ExGaussian { mu_s, sigma_s: 0.07, tau_s: 0.03 };
    Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY }
}

/// A longer trial at the cheek, on this day of January.
fn cheek<'a>(name: &'a str, began: &'a str) -> Sat<'a> {
    Sat {
        name,
        protocol: "longer-trial",
        site: "cheek",
        client: "C7",
        began,
        settings: Settings::default(),
        traits: sure(0.55),
    }
}

impl Sat<'_> {
    fn write(&self, folder: &Path) -> PathBuf {
        self.write_with(folder, |session, writer| {
            let mut client = Client::new(self.traits.clone(), self.seed());
            let end = sit(session, &mut client, |fresh| fresh.iter().for_each(|record| drop(writer.add(record))));
            end.expect("it ends")
        })
    }

    fn seed(&self) -> u64 {
        self.name.bytes().map(u64::from).sum()
    }

    /// Writes a log that `fill` fills up to the end that it says.
    fn write_with(&self, folder: &Path, fill: impl FnOnce(&mut Session, &mut Writer<Vec<u8>>) -> Moment) -> PathBuf {
        let (protocol, menu) = shipped::find(self.protocol).expect("a shipped protocol");
        let plan = Plan { protocol, menu, settings: self.settings.clone(), seed: self.seed() };
        let setup = Setup { site: self.site.into(), switch: "button".into(), ..Setup::default() };
        let (client, began) = (self.client.into(), self.began.into());
        let header = Header { client, began, invented: true, setup, ..Header::for_plan(&plan) };
        let mut writer = Writer::begin(Vec::new(), &header).expect("memory takes it");
        let end = fill(&mut Session::new(plan), &mut writer);
        writer.end(end).expect("memory takes it");
        let path = folder.join(format!("{}.jsonl", self.name));
        std::fs::write(&path, writer.into_sink()).expect("a writable folder");
        path
    }
}

fn analyse(logs: &[PathBuf], json: bool) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    command.arg("analyse").args(logs).args(json.then_some("--json")).output().expect("the program runs")
}

fn text(logs: &[PathBuf]) -> String {
    let output = analyse(logs, false);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

fn json(logs: &[PathBuf]) -> Vec<Value> {
    serde_json::from_slice(&analyse(logs, true).stdout).expect("JSON")
}

const JANUARY: [&str; 4] = [
    "2026-01-05T10:00:00+01:00",
    "2026-01-06T10:00:00+01:00",
    "2026-01-07T10:00:00+01:00",
    "2026-01-08T10:00:00+01:00",
];

#[test]
fn a_confirm_log_confirms_the_sheet_whatever_the_order_of_the_files() {
    let folder = TempDir::new().unwrap();
    let measured = cheek("measured", JANUARY[0]).write(folder.path());
    let advised = &json(std::slice::from_ref(&measured))[0]["sheet"]["settings"];
    let settings = Settings::from_json(advised.as_object().unwrap()).unwrap();
    assert!(settings.raw(Id::ScanInterval) < 2_000_000);
    let confirm = Sat { protocol: "confirm", settings, ..cheek("confirm", JANUARY[1]) }.write(folder.path());
    let told = text(&[confirm.clone(), measured.clone()]);
    assert!(told.contains("What to set. Confirmed: 10 of 10 selections right (95 %: 72 % to 100 %)."), "{told}");
    assert!(told.contains(" s, confirmed (") && !told.contains("To confirm:"), "{told}");
    let all = json(&[measured, confirm]);
    let advice = &all[2]["set_ups"][0];
    assert_eq!((all.len(), &all[2]["format"]), (3, &Value::from("pacewright advice")));
    assert_eq!(
        (&advice["confirm"]["status"], &advice["recommendations"][0]["status"]),
        (&"confirmed".into(), &"confirmed".into())
    );
}

#[test]
fn under_a_pointer_a_dwell_is_advised_and_nothing_of_a_scan_or_a_switch() {
    let folder = TempDir::new().unwrap();
    let settings = Settings::for_technique("dwell");
    let log = Sat { settings, ..cheek("pointer", JANUARY[0]) }.write(folder.path());
    let told = text(std::slice::from_ref(&log));
    assert!(told.contains("Not known yet: dwell (run"), "{told}");
    let found = json(&[log]);
    let rules = found[0]["recommendations"].as_array().unwrap().iter().map(|one| one["rule"].as_str().unwrap());
    assert_eq!(rules.collect::<Vec<_>>(), ["dwell", "pause after selection"]);
}

#[test]
fn two_sites_are_kept_apart_and_compared_and_a_decline_is_told_without_blame() {
    let folder = TempDir::new().unwrap();
    let slow = sure(0.9);
    let logs = [
        cheek("one", JANUARY[0]),
        Sat { traits: slow.clone(), ..cheek("two", JANUARY[1]) },
        Sat { site: "hand", traits: slow, ..cheek("three", JANUARY[2]) },
    ]
    .map(|sat| Sat { protocol: "first-look", ..sat }.write(folder.path()));
    let told = text(&logs);
    for wanted in [
        "Client C7: 3 sessions in 2 set-ups",
        "== Set-up 1: button, cheek",
        "== Set-up 2: button, hand",
        "Presses take longer: 2026-01-06. Median",
        "can be told from three sessions on",
        "Look at the site, at the switch and its mounting, and at fatigue and health, before",
        "order and site cannot be told apart. Run 6 more trials at the first (cheek)",
        "The client, cheek: effort",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    assert!(!told.contains("NaN"));
}

#[test]
fn four_sessions_tell_how_much_the_client_wavers() {
    let folder = TempDir::new().unwrap();
    let logs: Vec<PathBuf> =
        JANUARY.iter().zip(["a", "b", "c", "d"]).map(|(began, name)| cheek(name, began).write(folder.path())).collect();
    let all = json(&logs);
    let changes = all[4]["set_ups"][0]["changes"].as_array().unwrap();
    let sessions: Vec<_> = changes.iter().map(|change| &change["reliable"]["sessions"]).collect();
    assert_eq!(sessions, [&Value::Null, &3.into(), &3.into()]);
    assert!(text(&logs).contains("(3 sessions: up to "));
}

#[test]
fn two_clients_are_refused_and_one_session_counts_once() {
    let folder = TempDir::new().unwrap();
    let one = cheek("one", JANUARY[0]).write(folder.path());
    let other = Sat { client: "C8", ..cheek("two", JANUARY[1]) }.write(folder.path());
    let output = analyse(&[one.clone(), other], false);
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), output.stdout.len()), (Some(1), 0));
    assert!(told.contains("the client differs (`C7` and `C8`); give the logs of one client at a time"), "{told}");
    let copy = folder.path().join("copy.jsonl");
    std::fs::copy(&one, &copy).unwrap();
    let output = analyse(&[one.clone(), copy], true);
    assert!(String::from_utf8_lossy(&output.stderr).contains("it is the same session as"));
    assert_eq!(serde_json::from_slice::<Vec<Value>>(&output.stdout).unwrap(), json(&[one]));
}

#[test]
fn another_menu_is_left_out_and_said() {
    let folder = TempDir::new().unwrap();
    let other = Sat { protocol: "demonstration", ..cheek("other", JANUARY[0]) }.write(folder.path());
    let told = text(&[other, cheek("one", JANUARY[1]).write(folder.path())]);
    assert!(told.contains("Left out, for it was another menu: 2026-01-05 (Demonstration)."), "{told}");
    assert!(!told.contains("Change since last time"), "{told}");
}

#[test]
fn sessions_without_a_trial_advise_nothing_and_compare_nothing() {
    let folder = TempDir::new().unwrap();
    let logs = [cheek("one", JANUARY[0]), cheek("two", JANUARY[1]), Sat { site: "hand", ..cheek("three", JANUARY[2]) }]
        .map(|sat| sat.write_with(folder.path(), |_, _| Moment::START));
    let told = text(&logs);
    assert!(
        told.contains("Not known yet: scan rate (run 12 more timed presses)") && told.contains("Too few to compare"),
        "{told}"
    );
    assert!(!told.contains("NaN") && !told.contains("To confirm:"), "{told}");
}

/// The names of all fields, but those of settings.
fn names(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Array(list) => list.iter().for_each(|one| names(one, found)),
        Value::Object(fields) => fields.iter().for_each(|(name, one)| {
            found.insert(name.clone());
            if !(["settings", "in_force"].contains(&name.as_str()) && one.is_object()) {
                names(one, found);
            }
        }),
        _ => {}
    }
}

#[test]
fn every_field_of_the_json_is_documented() {
    let folder = TempDir::new().unwrap();
    let mut logs: Vec<PathBuf> =
        JANUARY.iter().zip(["a", "b", "c"]).map(|(began, name)| cheek(name, began).write(folder.path())).collect();
    logs.push(
        Sat { protocol: "first-look", site: "hand", traits: STEADY, ..cheek("d", JANUARY[3]) }.write(folder.path()),
    );
    let mut found = BTreeSet::new();
    let all = json(&logs);
    names(&Value::from(all.clone()), &mut found);
    let advised = all[4]["set_ups"][0]["sheet"]["settings"].as_object().unwrap();
    let settings = Settings::from_json(advised).unwrap();
    let absent = Traits { miss: 0.7, ..sure(0.55) };
    logs.push(
        Sat { protocol: "confirm", settings, traits: absent, ..cheek("e", "2026-01-09T10:00:00+01:00") }
            .write(folder.path()),
    );
    names(&Value::from(json(&logs)), &mut found);
    for rare in ["errors", "elsewhere", "detectable_s", "beside", "more", "p_fisher", "per_minute"] {
        assert!(found.contains(rare), "the sample has no `{rare}`: {found:?}");
    }
    let documented = include_str!("../../docs/json.md");
    let missing: Vec<_> = found.iter().filter(|name| !documented.contains(&format!("`{name}`"))).collect();
    assert_eq!(missing, Vec::<&String>::new());
}

#[test]
fn the_findings_of_a_damaged_log_say_so_and_those_of_a_whole_one_do_not() {
    let folder = TempDir::new().unwrap();
    let path = cheek("damaged", JANUARY[0]).write(folder.path());
    let cautions = |path: &PathBuf| json(std::slice::from_ref(path))[0]["cautions"].as_array().unwrap().clone();
    assert!(cautions(&path).iter().all(|one| one["caution"] != "damaged"));
    let log = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, log.replacen("\"seq\":40,", "\"seq\":41,", 1)).unwrap();
    let damaged = cautions(&path).into_iter().find(|one| one["caution"] == "damaged").unwrap();
    assert_eq!(damaged["line"], 41);
    assert!(text(&[path]).contains("- The log is damaged, first at its line 41: something is missing"));
}
