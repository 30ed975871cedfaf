//! The house rules that a machine can see.

use std::path::{Path, PathBuf};

/// No file is longer: it would want to be two.
const LONGEST: usize = 420;

/// All that is written in Rust in these folders of the project.
pub fn sources(folders: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for folder in folders {
        collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut found);
    }
    assert!(found.len() > 50, "the sources are there");
    found
}

fn collect(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of the project") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// The files for which `wrong` says so, with its words.
fn offenders(wrong: impl Fn(&str) -> Option<String>) -> Vec<String> {
    let told = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).expect("text");
        wrong(&text).map(|why| format!("{}: {why}", path.display()))
    };
    sources(&["src", "tests", "benches"]).into_iter().filter_map(told).collect()
}

#[test]
fn every_file_begins_by_saying_what_it_is_for() {
    let wrong = |text: &str| (!text.starts_with("//!")).then(|| "no module documentation".to_string());
    assert_eq!(offenders(wrong), Vec::<String>::new());
}

#[test]
fn no_file_has_grown_too_long() {
    let wrong = |text: &str| Some(text.lines().count()).filter(|lines| *lines > LONGEST).map(|lines| lines.to_string());
    assert_eq!(offenders(wrong), Vec::<String>::new());
}

#[test]
fn no_test_is_put_aside_and_nothing_is_left_to_do() {
    // Put together here, so that this file is no offender itself.
    let words = [["#[", "ignore"], ["todo", "!("], ["dbg", "!("], ["FIX", "ME"]].map(|parts| parts.concat());
    let wrong = |text: &str| words.iter().find(|word| text.contains(word.as_str())).cloned();
    assert_eq!(offenders(wrong), Vec::<String>::new());
}

#[test]
fn unsafe_code_stands_in_one_module_only() {
    let allowed = ["allow(", "unsafe_code)"].concat();
    let wrong = |text: &str| text.contains(&allowed).then(|| "it allows unsafe code".to_string());
    let found = offenders(wrong);
    assert!(found.iter().all(|file| file.contains("x11_surface.rs")) && found.len() <= 1, "{found:?}");
}
