//! Reads the files of a study and puts its parts together.

use serde::Deserialize;

use super::blocks::Blocks;
use super::outcome::{FORMAT, Head, Outcome, Sums, VERSION, decoded};
use super::study::SITTING;
use super::sweep::{Axis, points};
use super::tally::Tally;
use crate::menu::Menu;
use crate::problem::{Problem, Severity};

/// What a file must say to be put together with others.
#[derive(Deserialize)]
struct File {
    #[serde(flatten)]
    head: Head,
    part: [u64; 2],
    complete: bool,
    points: Vec<PointFile>,
}

#[derive(Deserialize)]
struct PointFile {
    sums: Sums,
    times_us_hdr: String,
}

/// Reads the file of a study, whole or in part; `file` is its name for messages.
///
/// # Errors
/// When it is none, or does not fit together.
pub fn read(file: &str, bytes: &[u8]) -> Result<Outcome, Problem> {
    let wrong = |line: Option<u32>, what: String| {
        Problem::error(file, line, what, "give a file that `simulate --as json` wrote, as it was written")
    };
    let file: File = serde_json::from_slice(bytes)
        .map_err(|error| wrong(Some(error.line() as u32), format!("it is no result of a study: {error}")))?;
    if file.head.format != FORMAT || file.head.version != VERSION {
        return Err(wrong(None, format!("it is no `{FORMAT}` of version {VERSION}")));
    }
    let complete = file.complete;
    let outcome = outcome(file).map_err(|what| wrong(None, what.into()))?;
    if complete != outcome.is_complete() {
        return Err(wrong(None, "points are missing".into()));
    }
    Ok(outcome)
}

fn outcome(file: File) -> Result<Outcome, &'static str> {
    let Head { profile, menu, undo, seed, selections, sitting, sweep, .. } = file.head;
    let ([part, parts], menu) = (file.part, Menu::from_json("menu", &menu));
    if sitting != SITTING {
        return Err("its sittings have another length than those of this program");
    }
    if part == 0 || part > parts {
        return Err("it is part of no whole");
    }
    let menu = menu.0.filter(|_| menu.1.iter().all(|problem| problem.severity != Severity::Error));
    let axes = sweep.iter().map(|swept| swept.axis()).collect::<Option<Vec<Axis>>>();
    let axes = axes.ok_or("a setting of its sweep is none")?;
    let all = points(&axes).map_err(|_| "its sweep is none")?;
    let of = all.len();
    let tallies = file.points.iter().map(tally).collect::<Option<Vec<Tally>>>();
    let tallies = tallies.filter(|tallies| tallies.len() <= of).ok_or("the sums of a point are damaged")?;
    Ok(Outcome {
        profile,
        menu: menu.ok_or("its menu is none")?,
        undo,
        seed,
        blocks: Blocks { selections, part: part - 1, parts },
        axes,
        points: all.into_iter().zip(tallies).collect(),
        of,
    })
}

fn tally(point: &PointFile) -> Option<Tally> {
    let mut times = Tally::default().times;
    times.add(decoded(&point.times_us_hdr)?).ok()?;
    point.sums.tally(times).filter(|tally| tally.times.len() == tally.counts.selections)
}

/// Puts the parts of one study together; the whole is what it would have been in one run.
///
/// # Errors
/// When parts belong to different studies, are not complete, are missing or come twice.
pub fn together(parts: Vec<(String, Outcome)>) -> Result<Outcome, Problem> {
    let wrong = |file: &str, what: String, remedy: &str| Err(Problem::error(file, None, what, remedy));
    let Some((first_file, first)) = parts.first() else {
        return wrong("--merge", "no file was given".into(), "name the files of all parts");
    };
    let count = first.blocks.parts;
    for (nth, (file, part)) in parts.iter().enumerate() {
        if part.head() != first.head() || part.blocks.parts != count {
            let what = format!("it is a part of another study than `{first_file}`");
            return wrong(file, what, "give the parts of one study: the same client, menu, sweep, selections and seed");
        }
        if !part.is_complete() {
            return wrong(file, "it was broken off".into(), "run this part again");
        }
        if let Some((other, _)) = parts[..nth].iter().find(|(_, known)| known.blocks.part == part.blocks.part) {
            return wrong(file, format!("it is the same part as `{other}`"), "give each part once");
        }
    }
    if parts.len() as u64 != count {
        let here = |part: &u64| !parts.iter().any(|(_, known)| known.blocks.part + 1 == *part);
        let missing: Vec<String> = (1..=count).filter(here).take(20).map(|part| format!("{part}/{count}")).collect();
        return wrong("--merge", format!("parts are missing: {}", missing.join(", ")), "run these parts too");
    }
    Ok(sum(parts))
}

fn sum(parts: Vec<(String, Outcome)>) -> Outcome {
    let mut parts = parts.into_iter().map(|(_, part)| part);
    let mut whole = parts.next().expect("there is at least one part");
    for part in parts {
        for ((_, sum), (_, more)) in whole.points.iter_mut().zip(&part.points) {
            sum.add(more);
        }
    }
    whole.blocks = Blocks::whole(whole.blocks.selections);
    whole
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicBool;

    use super::super::profile::shipped as profiles;
    use super::super::study::Study;
    use super::super::sweep::Point;
    use super::*;
    use crate::menu::shipped as menus;

    fn ran(part: u64, parts: u64) -> Outcome {
        let axes = vec![Axis::parse("scan_interval=0.8,1.2").unwrap(), Axis::parse("loops_top=no limit").unwrap()];
        let (profile, menu) = (profiles::find("steady").unwrap(), menus::find("nine").unwrap());
        let blocks = Blocks { selections: 2_300, part, parts };
        let study = Study { traits: profile.traits.clone(), menu: menu.clone(), undo: false, seed: 5, blocks };
        let run = |point: Point| {
            let tally = study.at(&point, 2, &AtomicBool::new(false));
            (point, tally)
        };
        let points: Vec<_> = points(&axes).unwrap().into_iter().map(run).collect();
        Outcome { profile, menu, undo: false, seed: 5, blocks, of: points.len(), axes, points }
    }

    fn read_again(outcome: &Outcome) -> Outcome {
        read("f", outcome.to_json().to_string().as_bytes()).unwrap()
    }

    #[test]
    fn parts_from_their_files_make_the_file_of_one_run() {
        let whole = ran(0, 1);
        assert_eq!(read_again(&whole), whole);
        // More parts than blocks: some are empty.
        for parts in [1, 3, 5] {
            let files = (0..parts).rev().map(|part| (format!("part {part}"), read_again(&ran(part, parts))));
            let merged = together(files.collect()).unwrap();
            assert_eq!(merged.to_json().to_string(), whole.to_json().to_string(), "{parts}");
        }
    }

    fn said(parts: Vec<Outcome>) -> String {
        let named = parts.into_iter().enumerate().map(|(nth, part)| (format!("{nth}.json"), part)).collect();
        together(named).unwrap_err().to_string()
    }

    #[test]
    fn parts_that_do_not_fit_are_named() {
        let (one, two) = (ran(0, 2), ran(1, 2));
        assert_eq!(said(vec![two.clone()]), "`--merge`: parts are missing: 1/2; run these parts too");
        assert_eq!(
            said(vec![one.clone(), one.clone()]),
            "`1.json`: it is the same part as `0.json`; give each part once"
        );
        let other = Outcome { seed: 6, ..two.clone() };
        assert!(said(vec![one.clone(), other]).starts_with("`1.json`: it is a part of another study than `0.json`;"));
        let broken = Outcome { points: two.points[..1].to_vec(), ..two };
        assert_eq!(said(vec![one, broken]), "`1.json`: it was broken off; run this part again");
    }

    #[test]
    fn damaged_files_are_refused() {
        let text = ran(0, 1).to_json().to_string();
        let says = |text: &str| read("f", text.as_bytes()).unwrap_err().to_string();
        assert!(says("{}").contains("it is no result of a study"));
        assert!(says(&text[..text.len() / 2]).contains("line 1"));
        assert!(says(&text.replace("\"selections_squared\":\"", "\"selections_squared\":\"x")).contains("are damaged"));
        assert!(says(&text.replace("pacewright study", "a study")).contains("it is no `pacewright study`"));
        assert!(says(&text.replacen("HISTFA", "HISTGA", 1)).contains("are damaged"));
        assert!(says(&text.replace("\"complete\":true", "\"complete\":false")).contains("points are missing"));
    }
}
