//! The folder that goes home with the client, and what comes back with it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

const PLAN: &str = r#"{ "format": "pacewright practice plan", "version": 1, "name": "At home",
    "steps": ["three-items"], "minutes": 4, "goal": "improve",
    "help": { "by": "person-in-room", "how": "the night nurse" } }"#;

/// A clinic with a plan, a home folder and a data folder.
struct Clinic(TempDir);

impl Clinic {
    fn new() -> Clinic {
        let clinic = Clinic(tempfile::tempdir().unwrap());
        fs::write(clinic.at("plan.json"), PLAN).unwrap();
        clinic
    }

    fn at(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_pacewright")).current_dir(self.0.path()).args(args).output().unwrap()
    }

    fn pack(&self, client: &str) -> Output {
        self.run(&["pack", "--plan", "plan.json", "--client", client, "--out", "home"])
    }

    fn take_back(&self) -> Output {
        self.run(&["take-back", "home", "--data", "data"])
    }

    /// A virtual client practises at home, with the program that went there.
    fn practise(&self, seed: &str) {
        let program = self.at("home").join(if cfg!(windows) { "pacewright.exe" } else { "pacewright" });
        let mut command = Command::new(program);
        command.current_dir(self.at("home")).args(["practice", "--plan", "plan.json", "--simulate", "steady"]);
        let ended = command.args(["--seed", seed, "--out", "sessions"]).output().unwrap();
        assert!(ended.status.success(), "{}", told(&ended));
    }

    fn logs(&self, folder: &str) -> Vec<PathBuf> {
        pacewright::store::logs_in(&self.at(folder)).unwrap()
    }
}

fn told(ended: &Output) -> String {
    String::from_utf8_lossy(&ended.stdout).into_owned() + &String::from_utf8_lossy(&ended.stderr)
}

#[track_caller]
fn well(ended: &Output, words: &str) {
    assert!(ended.status.success() && told(ended).contains(words), "{words}: {}", told(ended));
}

#[track_caller]
fn badly(ended: &Output, words: &str) {
    assert!(ended.status.code() == Some(1) && told(ended).contains(words), "{words}: {}", told(ended));
}

fn cut(log: &Path) -> Vec<u8> {
    let bytes = fs::read(log).unwrap();
    let middle = bytes.len() / 2;
    fs::write(log, &bytes[..middle]).unwrap();
    bytes
}

#[test]
fn what_is_practised_at_home_comes_back_once() {
    let clinic = Clinic::new();
    well(&clinic.pack("DEMO1"), "the night nurse");
    ["1", "2"].iter().for_each(|seed| clinic.practise(seed));
    well(&clinic.take_back(), "2 sessions new, 0 completed, 0 known before, 0 left");
    well(&clinic.take_back(), "0 sessions new, 0 completed, 2 known before, 0 left");
    clinic.practise("3");
    let back = clinic.take_back();
    well(&back, "1 session new, 0 completed, 2 known before, 0 left");
    assert!(told(&back).contains("Step `three-items`: 3 sessions"), "{}", told(&back));
    let logs: Vec<_> = clinic.logs("data").iter().map(|path| path.display().to_string()).collect();
    let json = clinic.run(&[&["analyse", "--json"], &logs.iter().map(String::as_str).collect::<Vec<_>>()[..]].concat());
    let read: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let practised = &read[3]["set_ups"][0]["practice"][0];
    let documented = include_str!("../../docs/json.md");
    for name in practised.as_object().unwrap().keys().chain(practised["sessions"][0].as_object().unwrap().keys()) {
        assert!(documented.contains(&format!("`{name}`")), "{name}");
    }
    assert_eq!(practised["sessions"].as_array().unwrap().len(), 3);
    let same = |(one, other): (&PathBuf, &PathBuf)| fs::read(one).unwrap() == fs::read(other).unwrap();
    assert!(clinic.logs("home/sessions").iter().zip(&clinic.logs("data")).all(same));
    // Packed again for the next weeks, it keeps its sessions.
    well(&clinic.pack("DEMO1"), "Practice is started by");
    well(&clinic.take_back(), "3 known before");
}

#[test]
fn a_log_that_was_copied_in_part_is_completed_when_the_whole_comes() {
    let clinic = Clinic::new();
    clinic.pack("DEMO1");
    clinic.practise("1");
    let log = &clinic.logs("home/sessions")[0];
    let whole = cut(log);
    well(&clinic.take_back(), "1 session new");
    fs::write(log, &whole).unwrap();
    well(&clinic.take_back(), "0 sessions new, 1 completed");
    assert_eq!(fs::read(&clinic.logs("data")[0]).unwrap(), whole);
    // The part that comes once more takes nothing away.
    cut(log);
    well(&clinic.take_back(), "1 known before");
    assert_eq!((fs::read(&clinic.logs("data")[0]).unwrap(), clinic.logs("data").len()), (whole, 1));
}

#[test]
fn another_log_of_the_same_name_is_taken_beside_the_first() {
    let clinic = Clinic::new();
    clinic.pack("DEMO1");
    clinic.practise("1");
    clinic.take_back();
    let log = &clinic.logs("home/sessions")[0];
    let other = fs::read_to_string(log).unwrap().replacen("\"seed\":1", "\"seed\":9", 1);
    fs::write(log, other).unwrap();
    let back = clinic.take_back();
    assert!(told(&back).contains("1 session new"), "{}", told(&back));
    assert_eq!(clinic.logs("data").len(), 2);
}

#[test]
fn what_cannot_be_taken_is_told_and_everything_else_is() {
    let clinic = Clinic::new();
    badly(&clinic.take_back(), "it holds no folder `sessions`");
    clinic.pack("DEMO1");
    clinic.practise("1");
    fs::write(clinic.at("home/sessions/DEMO1-20260102-030405.jsonl"), b"").unwrap();
    fs::write(clinic.at("home/sessions/notes.jsonl"), b"fetch milk\n").unwrap();
    let back = clinic.take_back();
    badly(&back, "1 session new, 0 completed, 0 known before, 2 left");
    assert!(told(&back).contains("it is no session log"), "{}", told(&back));
    assert_eq!(clinic.logs("home/sessions").len(), 3);
    fs::remove_file(clinic.at("home/home-folder.json")).unwrap();
    badly(&clinic.take_back(), "the folder was copied in part");
}

#[test]
fn sessions_of_another_client_are_left_where_they_are() {
    let clinic = Clinic::new();
    clinic.pack("C07");
    clinic.practise("1");
    badly(&clinic.take_back(), "it is a session of DEMO1, in the home folder of C07");
    assert!(clinic.logs("data").is_empty());
}

#[test]
fn a_folder_of_something_else_is_not_packed_into() {
    let clinic = Clinic::new();
    fs::create_dir(clinic.at("home")).unwrap();
    fs::write(clinic.at("home/letter.txt"), "dear").unwrap();
    badly(&clinic.pack("C07"), "it holds other things, such as `letter.txt`");
    fs::remove_file(clinic.at("home/letter.txt")).unwrap();
    well(&clinic.pack("C07"), "C07");
    badly(&clinic.pack("C08"), "it is the home folder of C07");
    // A list that broke is no reason to lose the sessions: it is written anew.
    fs::write(clinic.at("home/home-folder.json"), "{").unwrap();
    well(&clinic.pack("C07"), "C07");
}

#[test]
fn without_a_way_to_call_for_help_nothing_is_packed() {
    let clinic = Clinic::new();
    fs::write(clinic.at("plan.json"), PLAN.replace("the night nurse", " ")).unwrap();
    badly(&clinic.pack("C07"), "`how` is empty");
    let without = PLAN.replace(",\n    \"help\": { \"by\": \"person-in-room\", \"how\": \"the night nurse\" }", "");
    fs::write(clinic.at("plan.json"), without).unwrap();
    badly(&clinic.pack("C07"), "the plan does not say how the client calls for help");
    badly(&clinic.run(&["check", "plan.json"]), "the plan does not say how the client calls for help");
    badly(&clinic.run(&["practice", "--plan", "plan.json", "--simulate", "steady"]), "how the client calls for help");
    fs::write(clinic.at("plan.json"), PLAN).unwrap();
    well(&clinic.run(&["check", "plan.json"]), "the practice plan `At home`: three-items; at most 4 minutes a session");
    assert!(!clinic.at("home").exists());
}
