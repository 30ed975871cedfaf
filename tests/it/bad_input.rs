//! Menus and protocols that are malformed, truncated, oversized, of a wrong version or hostile: each
//! gets a message with file, line and remedy, and none a panic. So does a file that is none of ours.

use std::process::Command;

use pacewright::menu::{self, Menu, Node};
use pacewright::problem::Severity;
use pacewright::session::{protocol_file, shipped};

/// What is said of a menu.
fn menu_said(text: impl AsRef<[u8]>) -> Vec<String> {
    menu::file::read("home.json", text).1.iter().map(ToString::to_string).collect()
}

/// What is said of a protocol.
fn protocol_said(text: impl AsRef<[u8]>) -> Vec<String> {
    let read = protocol_file::read("plan.json", text, menu::shipped::find);
    read.problems.iter().map(ToString::to_string).collect()
}

/// A menu whose entries, from line 3 on, are these.
fn with_entries(entries: &str) -> String {
    format!(
        "{{\"format\": \"pacewright menu\", \"version\": 1, \"name\": \"Room\", \"home\": \
         [{{\"id\": \"lamp\", \"label\": \"Lamp\", \"kind\": \"lamp\"}}, {{\"id\": \"help\", \"label\": \"Help\", \"kind\": \"alarm\"}}],\n\
         \"entries\": [\n{entries}]}}"
    )
}

/// A protocol whose blocks, from line 3 on, are these.
fn with_blocks(blocks: &str) -> String {
    format!(
        "{{\"format\": \"pacewright protocol\", \"version\": 1, \"name\": \"Plan\", \"menu\": \"six\",\n\
         \"blocks\": [\n{blocks}]}}"
    )
}

#[test]
fn the_frames_of_these_tests_are_valid() {
    assert_eq!(menu_said(with_entries(r#"{"id": "a", "label": "Lamp", "icon": "lamp"}"#)), Vec::<String>::new());
    assert_eq!(protocol_said(with_blocks(r#"{"kind": "first-contact"}"#)), Vec::<String>::new());
}

#[test]
fn a_shipped_menu_cut_at_any_byte_is_refused_with_a_message() {
    for (name, text) in menu::shipped::MENUS {
        for end in 0..text.trim_end().len() {
            let (menu, problems) = menu::file::read(name, &text.as_bytes()[..end]);
            assert!(menu.is_none() && !problems.is_empty(), "{name} cut at {end}");
        }
    }
}

#[test]
fn a_shipped_protocol_cut_at_any_byte_is_refused_with_a_message() {
    for (name, text) in shipped::PROTOCOLS {
        for end in 0..text.trim_end().len() {
            let read = protocol_file::read(name, &text.as_bytes()[..end], menu::shipped::find);
            assert!(read.protocol.is_none() && !read.problems.is_empty(), "{name} cut at {end}");
        }
    }
}

#[test]
fn a_shipped_file_with_any_byte_changed_never_panics() {
    let (name, text) = menu::shipped::MENUS[0];
    let (plan, plan_text) = shipped::PROTOCOLS[0];
    for byte in [b'"', b'9', 0xff] {
        for place in 0..text.len() {
            let mut bytes = text.as_bytes().to_vec();
            bytes[place] = byte;
            let (menu, problems) = menu::file::read(name, &bytes);
            assert_eq!(menu.is_none(), problems.iter().any(|problem| problem.severity == Severity::Error));
        }
        for place in 0..plan_text.len() {
            let mut bytes = plan_text.as_bytes().to_vec();
            bytes[place] = byte;
            let read = protocol_file::read(plan, &bytes, menu::shipped::find);
            assert_eq!(
                read.protocol.is_none(),
                read.problems.iter().any(|problem| problem.severity == Severity::Error)
            );
        }
    }
}

#[test]
fn every_problem_of_a_menu_is_reported_with_its_line_and_a_remedy() {
    let text = with_entries(
        r#"{"id": "a", "label": "Lamp", "icon": "lmap"},
{"id": "a", "label": "", "icon": "lamp", "weight": 0},
{"id": "../b", "label": "Fan", "icon": "fan", "does": [{"thing": "lamb", "to": 300}]},
{"id": "c", "label": "Rooms", "icon": "home", "entries": []},
{"id": "d", "label": "Lamp", "icon": "lamp", "cue": "Please turn on the reading lamp.", "lable": "x"},
{"id": "e", "label": "Lamp", "icon": "lamp", "does": [{"thing": "lamp"}], "page": true},
{"label": "Lamp", "icon": "lamp"},
{"id": "f", "label": "A label that no tile can hold", "icon": "lamp", "weight": -1}"#,
    );
    assert_eq!(
        menu_said(text),
        [
            "`home.json`, line 3: unknown icon `lmap`; did you mean `lamp`?",
            "`home.json`, line 4: the id `a` is used twice; give each its own id",
            "`home.json`, line 4: `label` is empty; write what is to be read there",
            "`home.json`, line 4: `weight` is `0`; give how often it is used, in any unit, or remove it",
            "`home.json`, line 5: `to` is `300`; give a whole number from 0 to 100",
            "`home.json`, line 5: the id `../b` looks like a path; use small letters, digits and hyphens only",
            "`home.json`, line 5: `home` has no thing `lamb`; did you mean `lamp`?",
            "`home.json`, line 6: `entries` is empty; give at least 1",
            "`home.json`, line 7: unknown field `lable` in an entry; did you mean `label`?",
            "`home.json`, line 7: `cue` has 6 words; use at most 5: it is read from the bed",
            "`home.json`, line 8: an item has no `page`; remove it",
            "`home.json`, line 8: an effect has 0 changes; give exactly one of `to`, `by`, `toggle`",
            "`home.json`, line 9: an entry has no `id`; add it: text in double quotes, 32 characters at most",
            "`home.json`, line 10: `label` is the text `A label that no tile can hold`; give text in double quotes, 24 characters at most",
            "`home.json`, line 10: `weight` is `-1`; give a number from 0 to 1000000",
            "`home.json`, line 10: `label` is too long for a tile; use at most 4 words",
        ]
    );
}

#[test]
fn what_is_no_menu_at_all_says_so() {
    assert_eq!(
        menu_said(
            r#"{"format": "pacewright menu", "version": 2, "name": "n", "entries": [{"id": "a", "label": "b", "icon": "bed"}]}"#
        ),
        ["`home.json`, line 1: `version` is `2`; give `1`: this program reads no other version"]
    );
    assert_eq!(menu_said("[]"), ["`home.json`, line 1: `the menu` is a list; give an object in curly brackets"]);
    assert_eq!(
        menu_said(with_entries(r#"{"id": "a", "label": "b", "icon": "bed", "weight": NaN}"#)),
        ["`home.json`, line 3: `NaN` is no number that a file may hold; write a number such as 1.5"]
    );
    assert_eq!(
        menu_said(with_entries(r#"{"id": "a", "label": "b", "icon": "bed", "weight": 1e999}"#)),
        ["`home.json`, line 3: the number `1e999` is too large; write a smaller one"]
    );
    assert_eq!(
        menu_said(with_entries("{\"id\": \"a\", \"label\": \"b\", \"icon\": \"bed\",\n \"id\": \"c\"}")),
        ["`home.json`, line 4: `id` stands here for the second time; keep only one of the two"]
    );
    assert_eq!(
        menu_said(with_entries(r#"{"id": "a", "label": "b\u0000", "icon": "bed"}"#)),
        ["`home.json`, line 3: `b\u{fffd}` holds the control character U+0000; remove it"]
    );
}

#[test]
fn groups_within_groups_have_a_limit() {
    let nested = |depth: usize| {
        let open =
            |level: usize| format!("{{\"id\": \"g{level}\", \"label\": \"G\", \"icon\": \"home\", \"entries\": [");
        let opened: String = (0..depth).map(open).collect();
        with_entries(&format!("{opened}{{\"id\": \"a\", \"label\": \"A\", \"icon\": \"bed\"}}{}", "]}".repeat(depth)))
    };
    assert_eq!(menu_said(nested(4)), Vec::<String>::new());
    assert_eq!(
        menu_said(nested(5)),
        ["`home.json`, line 3: groups are nested more than 4 deep; move this group further up"]
    );
    assert_eq!(
        menu_said(nested(40)),
        ["`home.json`, line 3: it is nested more than 32 deep; use fewer lists within lists"]
    );
}

#[test]
fn a_page_and_a_menu_have_a_limit() {
    let item = |n: usize| format!("{{\"id\": \"i{n}\", \"label\": \"A\", \"icon\": \"bed\"}}");
    let items = |range: std::ops::Range<usize>| range.map(item).collect::<Vec<_>>().join(",");
    assert_eq!(menu_said(with_entries(&items(0..36))), Vec::<String>::new());
    assert_eq!(
        menu_said(with_entries(&items(0..37))),
        [
            "`home.json`, line 1: the top page has 37 entries; give at most 36, or give groups a page of their own (`page: true`)"
        ]
    );
    let group = |n: usize| {
        format!(
            "{{\"id\": \"g{n}\", \"label\": \"G\", \"icon\": \"home\", \"page\": true, \"entries\": [{}]}}",
            items(n * 36..n * 36 + 36)
        )
    };
    let groups = |count: usize| (0..count).map(group).collect::<Vec<_>>().join(",");
    assert_eq!(menu_said(with_entries(&groups(5))), Vec::<String>::new());
    assert_eq!(menu_said(with_entries(&groups(6))), ["`home.json`, line 1: the menu has 216 items; give at most 200"]);
}

#[test]
fn markup_in_a_label_is_plain_text() {
    let label = "<b>&\\\"'</b>";
    let text = with_entries(&format!(r#"{{"id": "a", "label": "{label}", "icon": "lamp"}}"#));
    let (menu, problems) = menu::file::read("home.json", text);
    assert_eq!(problems, []);
    let menu: Menu = menu.unwrap();
    assert!(matches!(&menu.top.entries[0], Node::Item(item) if item.label == "<b>&\"'</b>"));
}

#[test]
fn an_alarm_call_that_promises_help_is_warned_of_and_overruled() {
    let text = with_entries(
        r#"{"id": "a", "label": "Help", "icon": "alarm", "does": [{"thing": "help", "to": 100}], "answer": "Help is coming."}"#,
    );
    assert_eq!(
        menu_said(&text),
        [
            "`home.json`, line 3: an alarm call always answers \"This is practice. Nobody has been called.\"; remove `answer`"
        ]
    );
    let menu = menu::file::read("home.json", &text).0.unwrap();
    assert_eq!(menu.items()[0].answer, "This is practice. Nobody has been called.");
}

#[test]
fn every_problem_of_a_protocol_is_reported_with_its_line_and_a_remedy() {
    let text = with_blocks(
        r#"{"kind": "timed-press", "trials": 500},
{"kind": "timed-pres", "trials": 5},
{"kind": "quiet-watch", "seconds": -5},
{"kind": "reaction", "trials": 5, "wait": [2, 1e300]},
{"kind": "reaction", "trials": 5, "wait": [2]},
{"kind": "menu-tasks", "trails": 4, "settings": {"scan-interval": 1, "hold": 99}}"#,
    );
    assert_eq!(
        protocol_said(text),
        [
            "`plan.json`, line 3: `trials` is `500`; give a whole number from 0 to 200",
            "`plan.json`, line 4: `kind` is the text `timed-pres`; give one of `first-contact`, `quiet-watch`, `switch-check`, `reaction`, `timed-press`, `repeat`, `menu-tasks`, `confirm`",
            "`plan.json`, line 5: `seconds` is `-5`; give a number from 0 to 600",
            "`plan.json`, line 6: `wait` is `1e+300`; give a number from 0.5 to 30",
            "`plan.json`, line 7: `wait` has too few members: 1; give at least 2",
            "`plan.json`, line 8: unknown field `trails` in a block; did you mean `trials`?",
            "`plan.json`, line 8: no setting is called `scan-interval`; did you mean `scan_interval`?",
            "`plan.json`, line 8: 99 s is outside the range of `hold`: 0 to 3 s in steps of 0.05; `pacewright settings` says more",
        ]
    );
}

#[test]
fn what_fits_its_fields_must_also_make_sense() {
    let text = with_blocks(
        r#"{"kind": "timed-press", "tiles": 1},
{"kind": "reaction", "trials": 5, "wait": [5, 2]},
{"kind": "menu-tasks", "tasks": [["lamp-on"], ["lamp-of"]], "trials": 2},
{"kind": "timed-press", "trials": 5, "stop": {"errors": 6}, "ends_when": {}},
{"kind": "quiet-watch", "trials": 5, "settings": {"scan_interval": 0.3}}"#,
    );
    assert_eq!(
        protocol_said(text),
        [
            "`plan.json`, line 3: `tiles` is `1`; give 2 or more, or leave it out for 6",
            "`plan.json`, line 3: the block has no trials; add `trials`: how many are scored",
            "`plan.json`, line 4: `wait` runs from 5 down to 2; give the shorter wait first",
            "`plan.json`, line 5: the block has both `trials` and `tasks`; keep one of the two",
            "`plan.json`, line 5: the menu has no item `lamp-of`; did you mean `lamp-on`?",
            "`plan.json`, line 6: `errors` is greater than `window`; count the errors in more trials",
            "`plan.json`, line 6: the block cannot end early: it has fewer than 12 trials; remove `ends_when`, or give more trials",
            "`plan.json`, line 7: `scan_interval`: below 0.334 s the highlight can change more than three times a second, \
             the limit of WCAG 2.3.1 for people with photosensitive epilepsy; ask before using it; make sure that it is meant",
            "`plan.json`, line 7: `trials` has no effect in a quiet-watch block; remove it",
        ]
    );
}

#[test]
fn a_first_look_shows_at_most_nine_tiles() {
    let text =
        with_blocks(r#"{"kind": "timed-press", "trials": 5, "tiles": 12}"#).replace("\"Plan\"", "\"First look\"");
    assert_eq!(
        protocol_said(text),
        ["`plan.json`, line 3: the block has 12 tiles in a first look; use at most 9, or another name"]
    );
}

#[test]
fn the_menu_of_a_protocol_is_a_plain_name() {
    let named = |name: &str| with_blocks(r#"{"kind": "first-contact"}"#).replace("\"six\"", &format!("\"{name}\""));
    for name in ["../six.json", "/etc/passwd", "a/b.json", "..", ".json", "a\\\\b.json", "C:x.json", "six.txt", ""] {
        let said = protocol_said(named(name));
        let shown = name.replace("\\\\", "\\");
        let expected = format!(
            "`plan.json`, line 1: `menu` is `{shown}`, which is no plain name; name a shipped menu, or a `.json` file beside the protocol"
        );
        assert_eq!(said, [expected]);
    }
    assert_eq!(protocol_said(named("sixx")), ["`plan.json`, line 1: cannot use the menu `sixx`; did you mean `six`?"]);
}

#[test]
fn household_tasks_name_items_of_the_menu() {
    let text = "{\"format\": \"pacewright menu\", \"version\": 1, \"name\": \"n\", \"entries\": [
{\"id\": \"lamp-on\", \"label\": \"Lamp\", \"icon\": \"lamp\"}], \"tasks\": [
{\"label\": \"Light the room\", \"items\": [\"lamp-of\"]},
{\"label\": \" \", \"items\": []}]}";
    assert_eq!(
        menu_said(text),
        [
            "`home.json`, line 3: no item has the id `lamp-of`; did you mean `lamp-on`?",
            "`home.json`, line 4: `items` is empty; give at least 1",
            "`home.json`, line 4: `label` is empty; write what is to be read there",
        ]
    );
}

#[test]
fn a_file_that_is_none_of_ours_is_told_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let said = |arguments: &[&str]| {
        let output =
            Command::new(env!("CARGO_BIN_EXE_pacewright")).current_dir(&folder).args(arguments).output().unwrap();
        assert_eq!((output.status.code(), output.stdout), (Some(1), Vec::new()), "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    };
    std::fs::write(folder.path().join("notes.md"), "# Notes\n\nNo log.\n".repeat(30)).unwrap();
    let remedy = "give a log that a session has written: `CODE-DATE-TIME.jsonl` in its data folder";
    let no_log = format!("error: `notes.md`: it is no session log: no line of it is one of a log; {remedy}\n");
    for arguments in [
        &["analyse", "notes.md"][..],
        &["analyse", "--json", "notes.md"],
        &["report", "notes.md", "--out", "report.html"],
        &["replay", "notes.md"],
        &["replay", "notes.md", "--set", "lockout=1"],
        &["export", "notes.md", "--as", "csv", "--out", "tables"],
        &["fit", "notes.md", "--out", "client.json"],
    ] {
        assert_eq!(said(arguments), no_log, "{arguments:?}");
    }
    std::fs::write(folder.path().join("study.json"), r#"{"format": "pacewright study", "version": 1}"#).unwrap();
    std::fs::write(folder.path().join("picture.png"), b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR").unwrap();
    let none = "no session log, menu, protocol or practice plan";
    assert_eq!(
        said(&["check", "notes.md", "picture.png", "study.json"]),
        format!(
            "error: `notes.md`: it is {none}: these begin with `{{`; give one of these\n\
             error: `picture.png`: it is {none}: these begin with `{{`; give one of these\n\
             error: `study.json`: it is a `pacewright study`, {none}; give one of these\n"
        )
    );
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 3, "nothing was written");
}

#[test]
fn an_error_that_nobody_reads_ends_as_any_other() {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    let ended = command.args(["analyse", "there-is-no-such-log"]).stderr(writer).status().unwrap();
    assert_eq!(ended.code(), Some(1));
}
