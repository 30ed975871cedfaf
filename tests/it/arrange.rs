//! `pacewright arrange`: the command as a clinician would use it, and what it says of bad input.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use pacewright::menu::{self, Menu};
use serde_json::{Value, json};
use tempfile::TempDir;

/// A folder with a menu file in it.
struct Folder(TempDir);

impl Folder {
    fn with(menu: &Value) -> Folder {
        let folder = Folder(TempDir::new().expect("a folder"));
        std::fs::write(folder.path("home.json"), serde_json::to_string_pretty(menu).expect("JSON")).expect("a file");
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn arrange(&self, arguments: &[&str]) -> Output {
        self.arrange_to("new.json", arguments)
    }

    fn arrange_to(&self, out: &str, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
        command.current_dir(self.0.path()).args(["arrange", "--menu", "home.json"]);
        command.args(if arguments.contains(&"--profile") { &[][..] } else { &["--profile", "steady"] });
        command.args(["--out", out]).args(arguments).output().expect("the program starts")
    }
}

fn said(ended: &Output) -> String {
    String::from_utf8_lossy(&ended.stdout).into_owned() + &String::from_utf8_lossy(&ended.stderr)
}

/// An item with all that an item may have.
fn item(number: usize, weight: f64) -> Value {
    json!({
        "id": format!("i{number}"), "label": format!("Item {number}"), "icon": "lamp", "weight": weight,
        "does": [{ "thing": "lamp", "to": 10 + number % 90 }], "cue": format!("Take item {number}."),
        "placed_by_risk": number == 0, "needs_confirming": number % 7 == 3,
    })
}

/// A menu of `count` items whose use grows to the end: the order could hardly be worse.
fn menu(count: usize) -> Value {
    let entries = (0..count).map(|number| item(number, 1.0 + (number * number) as f64));
    with_entries(entries.collect())
}

fn with_entries(entries: Vec<Value>) -> Value {
    json!({
        "format": "pacewright menu", "version": 1, "name": "Room", "about": "An invented room.",
        "home": [{ "id": "lamp", "label": "Lamp", "kind": "lamp" }], "entries": entries,
        "tasks": [{ "label": "Go to bed", "items": ["i1", "i2"] }],
    })
}

fn read(path: &Path) -> Menu {
    menu::file::read("new", std::fs::read(path).expect("a file")).0.expect("a valid menu")
}

#[test]
fn a_new_menu_is_written_that_holds_everything_as_it_was() {
    let old = menu(16);
    let folder = Folder::with(&old);
    let ended = folder.arrange(&["--uses-a-day", "60"]);
    assert_eq!(ended.status.code(), Some(0), "{}", said(&ended));
    let (before, after) = (read(&folder.path("home.json")), read(&folder.path("new.json")));
    let mut items: Vec<_> = after.items().into_iter().cloned().collect();
    items.sort_by_key(|item| item.id[1..].parse::<u32>().expect("a number"));
    assert_eq!(items, before.items().into_iter().cloned().collect::<Vec<_>>());
    assert_eq!(
        (&after.name, &after.about, &after.home, &after.tasks),
        (&before.name, &before.about, &before.home, &before.tasks)
    );
    assert_eq!(after.items()[0].id, "i0", "the item placed by risk stays first");
    let told = said(&ended);
    for part in [
        "Proposed: ",
        "less time a selection",
        " a day",
        "entropy of 3.36",
        "Go to bed",
        "Item 0 (keeps its place)",
        "Simulated beside it",
        "Written: new.json",
    ] {
        assert!(told.contains(part), "{part} is missing in {told}");
    }
}

#[test]
fn fields_that_were_left_out_are_not_filled_in() {
    let short = |number: usize| json!({ "id": format!("i{number}"), "label": format!("Item {number}"), "icon": "lamp", "weight": 1 + number });
    let mut menu = with_entries((0..9).map(short).collect());
    menu["about"] = json!("Kept.");
    let folder = Folder::with(&menu);
    let ended = folder.arrange(&[]);
    let new: Value = serde_json::from_slice(&std::fs::read(folder.path("new.json")).expect("a file")).expect("JSON");
    let mut entries: Vec<Value> = flat(&new["entries"]);
    entries.sort_by_key(|entry| entry["weight"].as_u64());
    assert_eq!(Value::from(entries), menu["entries"], "{}", said(&ended));
    assert_eq!((&new["tasks"], &new["home"], &new["about"]), (&menu["tasks"], &menu["home"], &menu["about"]));
}

fn flat(entries: &Value) -> Vec<Value> {
    let each = |entry: &Value| if entry["entries"].is_array() { flat(&entry["entries"]) } else { vec![entry.clone()] };
    entries.as_array().expect("a list").iter().flat_map(each).collect()
}

#[test]
fn no_file_is_ever_written_over() {
    let folder = Folder::with(&menu(16));
    let before = std::fs::read(folder.path("home.json")).expect("a file");
    std::fs::write(folder.path("new.json"), "mine").expect("a file");
    for out in ["home.json", "new.json"] {
        let ended = folder.arrange_to(out, &[]);
        let why = "a file is there already, and no menu is written over another; give a new name";
        assert_eq!((ended.status.code(), said(&ended)), (Some(1), format!("error: `{out}`: {why}\n")));
    }
    assert_eq!(std::fs::read(folder.path("new.json")).expect("a file"), b"mine");
    assert_eq!(std::fs::read(folder.path("home.json")).expect("a file"), before);
}

#[test]
fn a_menu_that_is_well_arranged_is_left_alone() {
    let best: Vec<Value> = (0..8).map(|number| item(number, 100.0 * 0.6_f64.powi(number as i32))).collect();
    let folder = Folder::with(&with_entries(best));
    let ended = folder.arrange(&[]);
    assert_eq!(ended.status.code(), Some(0));
    assert!(
        said(&ended).contains("Not worth relearning: keep the menu as it is. Nothing is written."),
        "{}",
        said(&ended)
    );
    assert!(!folder.path("new.json").exists());
    let ended = folder.arrange(&["--json"]);
    let told: Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    assert_eq!((&told["proposed"], &told["format"]), (&Value::Null, &json!("pacewright arrangement")));
}

#[test]
fn a_gain_of_seconds_a_day_is_not_worth_it_where_little_is_used() {
    let folder = Folder::with(&menu(16));
    let ended = folder.arrange(&["--uses-a-day", "2"]);
    assert!(said(&ended).contains("Not worth relearning"), "{}", said(&ended));
    let ended = folder.arrange(&["--uses-a-day", "weights"]);
    assert!(said(&ended).contains("Proposed: "), "{}", said(&ended));
}

#[test]
fn items_stay_in_their_groups_until_these_are_dissolved() {
    let page = |id: &str, numbers: std::ops::Range<usize>| {
        let entries: Vec<Value> = numbers.map(|number| item(number, 1.0 + (number * number) as f64)).collect();
        json!({ "id": id, "label": format!("Page {id}"), "icon": "home", "page": true, "entries": entries })
    };
    let menu = with_entries(vec![item(0, 1.0), page("a", 1..7), page("b", 7..13)]);
    let folder = Folder::with(&menu);
    let json = |arguments: &[&str]| -> Value {
        let ended = folder.arrange(&[&["--json"], arguments].concat());
        let _ = std::fs::remove_file(folder.path("new.json"));
        serde_json::from_slice(&ended.stdout).unwrap_or_else(|_| panic!("{}", said(&ended)))
    };
    let stays = json(&[]);
    let pages: Vec<&Value> =
        stays["proposed"]["scanned"].as_array().expect("stops").iter().filter(|stop| stop.is_object()).collect();
    let ids = |page: &Value| page["entries"].to_string().matches("\"i").count();
    assert_eq!(pages.iter().map(|page| ids(page)).collect::<Vec<_>>(), [6, 6], "{stays}");
    let free = json(&["--dissolve", "a", "--dissolve", "b"]);
    assert!(!free["proposed"]["scanned"].to_string().contains("Page "), "{free}");
    let seconds = |told: &Value| told["proposed"]["takes"]["seconds"].as_f64().expect("a number");
    assert!(seconds(&free) < seconds(&stays));
    // Everything kept: nothing is left to arrange.
    let kept = json(&["--keep", "a", "--keep", "b"]);
    assert!(kept["proposed"].is_null(), "{kept}");
}

#[test]
fn bad_input_has_file_line_and_remedy() {
    let mut missing = menu(9);
    missing["entries"][2].as_object_mut().expect("an item").remove("weight");
    let mut risky = with_entries(vec![json!({
        "id": "g", "label": "Group", "icon": "home", "page": true, "entries": [item(0, 1.0), item(1, 2.0)]
    })]);
    risky["tasks"] = json!([]);
    let changed = |weight: Value| {
        let mut menu = menu(9);
        menu["entries"][1]["weight"] = weight;
        menu
    };
    let mut twice = menu(9);
    twice["entries"][1]["id"] = json!("i0");
    twice["tasks"] = json!([]);
    let page = |number: usize| {
        let entries: Vec<Value> = (0..22).map(|place| item(22 * number + place, 1.0)).collect();
        json!({ "id": format!("p{number}"), "label": "Page", "icon": "home", "page": true, "entries": entries })
    };
    let cases: [(Value, &[&str], &str); 12] = [
        (missing, &[], "line 44: the item `i2` has no `weight`; give how often it is used"),
        (changed(json!(0)), &[], "`weight` is `0`; give how often it is used"),
        (changed(json!(-2)), &[], "`weight` is `-2`; give a number from 0 to 1000000"),
        (changed(json!("NaN")), &[], "`weight` is the text `NaN`; give a number"),
        (twice, &[], "the id `i0` is used twice; give each its own id"),
        (
            with_entries((0..3).map(page).collect()),
            &[],
            "line 1: the menu has 66 items, more than the 64 that are arranged; take out",
        ),
        (
            risky.clone(),
            &["--dissolve", "g"],
            "`i0` is placed by risk, but its group `g` is to be dissolved; leave `--dissolve g` out",
        ),
        (
            risky,
            &["--dissolve", "g", "--keep", "i1"],
            "`i1` is to keep its place, but its group `g` is to be dissolved",
        ),
        (menu(9), &["--keep", "i33"], "`--keep`: no entry of the menu has the id `i33`; did you mean `i3`?"),
        (menu(9), &["--dissolve", "i3"], "`--dissolve i3` names an item; name a group"),
        (menu(9), &["--uses-a-day", "NaN"], "`--uses-a-day`: `NaN` is no number above 0; give how many"),
        (menu(9), &["--set", "technique=step"], "menus are arranged for automatic scanning; set `technique=automatic`"),
    ];
    for (menu, arguments, wanted) in cases {
        let folder = Folder::with(&menu);
        let ended = folder.arrange(arguments);
        assert_eq!(ended.status.code(), Some(1), "{wanted}: {}", said(&ended));
        assert!(said(&ended).contains(wanted), "{wanted} is missing in {}", said(&ended));
        assert!(!folder.path("new.json").exists());
    }
}

#[test]
fn one_who_never_presses_is_told_so() {
    let ended = Folder::with(&menu(4)).arrange(&["--profile", "absent"]);
    assert!(
        said(&ended).contains("`Does nothing` never presses") && ended.status.code() == Some(1),
        "{}",
        said(&ended)
    );
}

#[test]
fn one_who_cannot_work_the_menu_is_told_what_to_change_first() {
    let folder = Folder::with(&menu(9));
    let ended = folder.arrange(&["--set", "scan_interval=0.3"]);
    assert_eq!(ended.status.code(), Some(1));
    assert!(said(&ended).contains("set a slower `scan_interval` first"), "{}", said(&ended));
}

#[test]
fn settings_come_from_a_file_and_mistakes_in_it_have_a_line() {
    let folder = Folder::with(&menu(9));
    std::fs::write(folder.path("set.json"), "{\n \"scan_interval\": 1.5 }").expect("a file");
    let ended = folder.arrange(&["--settings", "set.json", "--json"]);
    let told: Value = serde_json::from_slice(&ended.stdout).unwrap_or_else(|_| panic!("{}", said(&ended)));
    assert_eq!(told["settings"]["scan_interval"], json!(1.5));
    std::fs::write(folder.path("set.json"), "{\n \"scan_intervall\": 1.5 }").expect("a file");
    let _ = std::fs::remove_file(folder.path("new.json"));
    let ended = folder.arrange(&["--settings", "set.json"]);
    assert_eq!(ended.status.code(), Some(1));
    assert!(said(&ended).contains("`set.json`, line 2:"), "{}", said(&ended));
}
