//! Every screen painted, light and dark, at two sizes, against the picture stored in `tests/pictures`.
//!
//! After a change that is meant: `DESK_PICTURES=store cargo test --release --lib app::desk`, then look at what git
//! shows as changed.

use std::collections::HashSet;
use std::path::Path;
use std::sync::{Arc, OnceLock};

use egui::Theme;
use tiny_skia::Pixmap;

use super::rig::Rig;
use crate::advice::asked::Asked;
use crate::advice::overview::Overview;
use crate::app::desk::screens::SCREENS;
use crate::app::desk::state::{Found, News, Seen, Trial, Wish};
use crate::app::desk::what_if::Answer;
use crate::desk::carry_over::Controller;
use crate::desk::choices::Choices;
use crate::desk::cost::Way;
use crate::desk::goals::Goal;
use crate::desk::person::Person;
use crate::forecast::fit::fit;
use crate::forecast::what_if::Tried;
use crate::log::header::Header;
use crate::log::live::Told;
use crate::session::record::Record;
use crate::session::setup::Setup;
use crate::session::{Plan, Session, shipped as protocols};
use crate::settings::Settings;
use crate::sim::client::Client;
use crate::sim::profile::shipped;
use crate::sim::sitting;
use crate::sim::traits::Traits;
use crate::store::index::Index;

/// A client of a scenario of our own; nobody real.
pub fn person() -> Person {
    let setup = Setup {
        site: "cheek".into(),
        side: "right".into(),
        switch: "light-touch switch".into(),
        mounting: "arm on the bed rail".into(),
        position: "bed, 30 degrees".into(),
        ..Setup::default()
    };
    let goal =
        Goal { text: "Open the door to visitors".into(), today: "a carer goes, 3 minutes".into(), ..Goal::fresh() };
    let halves = Choices::Range { from: 0.5, to: 5.0, step: 0.5 };
    Person {
        reason: "\"I want to open my own door.\" (invented)".into(),
        agreed: "the client, by the agreed sign".into(),
        review: "2026-11-01".into(),
        set_ups: vec![setup],
        goals: vec![goal],
        controller: Controller {
            name: "box by the bed".into(),
            offers: [("scan_interval".to_string(), halves)].into(),
        },
        costs: vec![Way {
            name: "with the equipment".into(),
            price: 4_000.0,
            years: 5.0,
            upkeep: 150.0,
            help_hours: 14.0,
            hour: 18.0,
        }],
        ..Person::default()
    }
}

/// What stands in the folder where that client sat on these days.
fn index(days: &[&str]) -> Index {
    let entry = |day: &&str| {
        let entry = serde_json::json!({
            "bytes": 1, "modified_us": 1, "client": "K7-03", "began": format!("{day}T10:00:00Z"), "invented": true,
            "protocol": "Longer trial", "setup": person().set_ups[0], "trials": 45, "right": 41, "ended": true,
            "damaged": false,
        });
        (log(day), serde_json::from_value(entry).expect("an entry of the index"))
    };
    let mut index = Index::default();
    index.sessions = days.iter().map(entry).collect();
    index
}

/// The log of that day.
fn log(day: &str) -> String {
    format!("K7-03-{}-100000.jsonl", day.replace('-', ""))
}

/// A desk with one client in hand.
fn client(size: (f32, f32), look: Theme) -> Rig {
    let mut rig = Rig::new(size, look);
    let people = [("K7-03".to_string(), person()), ("M2-11".to_string(), Person::default())].into();
    rig.desk.told(News::Index(index(&["2026-11-28"]), people, Vec::new()));
    rig.desk.open("K7-03".parse().unwrap());
    rig
}

/// A desk with one client in hand whose sessions were judged: a virtual client pressed.
pub fn rig(size: (f32, f32), look: Theme) -> Rig {
    let mut rig = client(size, look);
    rig.desk.told(News::Found("K7-03".parse().unwrap(), judged()));
    rig.settle();
    rig
}

/// Answers what the desk asks about other settings, by the closed form.
pub fn predict(rig: &mut Rig) {
    for wish in rig.wishes() {
        let Wish::Predict(question) = wish else { continue };
        let tried = Tried::new(guesses(), question.ground.menu.clone());
        for settings in question.settings {
            let prediction = tried.at_once(&settings).expect("an automatic scan");
            let answer = Answer { ground: Arc::clone(&question.ground), found: Ok((settings, prediction)) };
            rig.desk.told(News::Predicted(Box::new(answer)));
        }
    }
    rig.settle();
}

/// What is found in one session of the steady virtual client.
pub fn judged() -> Found {
    static ONCE: OnceLock<Found> = OnceLock::new();
    let judge = || {
        let (header, records) = session("longer-trial");
        let overview = Overview::of(&[(&header, &records[..])], &Asked::default()).expect("one session of one client");
        Found::Here(Arc::new(overview), [seen("2026-11-28")].into())
    };
    ONCE.get_or_init(judge).clone()
}

fn seen(day: &str) -> Seen {
    Seen { log: log(day), day: day.into(), checks: Vec::new() }
}

/// What may be guessed of the client from that session.
fn guesses() -> Vec<Traits> {
    static ONCE: OnceLock<Vec<Traits>> = OnceLock::new();
    let guess = || {
        let (header, records) = session("longer-trial");
        fit(&[(&header, &records[..])]).expect("enough presses").guesses()
    };
    ONCE.get_or_init(guess).clone()
}

/// A session of the steady virtual client.
pub fn session(protocol: &str) -> (Header, Vec<Record>) {
    let (protocol, menu) = protocols::find(protocol).unwrap();
    let settings = Settings::from_json(&protocol.settings).unwrap();
    let plan = Plan { protocol, menu, settings, seed: 7 };
    let header = Header {
        client: "K7-03".into(),
        invented: true,
        began: "2026-11-28T10:00:00Z".into(),
        ..Header::for_plan(&plan)
    };
    let header = Header { setup: person().set_ups[0].clone(), ..header };
    let mut records = Vec::new();
    let mut client = Client::new(shipped::find("steady").unwrap().traits, 7);
    sitting::sit(&mut Session::new(plan), &mut client, |fresh| records.extend_from_slice(fresh))
        .expect("it comes to an end");
    (header, records)
}

/// A desk from which a trial is watched that is half over.
pub fn watching(size: (f32, f32), look: Theme) -> Rig {
    let mut rig = client(size, look);
    rig.desk.at = "trial";
    rig.desk
        .begin(Trial { setup: person().set_ups[0].clone(), ..Trial::new("K7-03".parse().unwrap(), "longer-trial") });
    let (header, records) = session("longer-trial");
    let half = records.len() / 2;
    let began = std::iter::once(Told::Began(Box::new(header)));
    let told = began.chain(records.into_iter().take(half).map(Told::Record));
    rig.desk.told(News::Heard((0..).zip(told).collect()));
    rig.settle();
    rig
}

#[test]
fn a_trial_is_painted_while_it_is_watched() {
    for (look, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        for (size, size_name) in [((1180.0, 800.0), "wide"), ((800.0, 600.0), "small")] {
            let rig = watching(size, look);
            let picture = rig.picture();
            looks_as_stored(&format!("watching-{name}-{size_name}"), &picture);
            assert!(rig.says("Lit now") && rig.says("Hits") && colours(&picture) > 30, "{}", rig.words());
        }
    }
}

#[test]
fn sessions_are_drawn_over_their_days() {
    let mut rig = client((1180.0, 800.0), Theme::Light);
    let days = ["2026-11-07", "2026-11-28"];
    rig.desk.told(News::Index(index(&days), [("K7-03".to_string(), person())].into(), Vec::new()));
    let (second, records) = session("longer-trial");
    let first = Header { began: "2026-11-07T10:00:00Z".into(), ..second.clone() };
    let overview = Overview::of(&[(&first, &records[..]), (&second, &records[..])], &Asked::default()).unwrap();
    let seen = days.map(seen);
    rig.desk.told(News::Found("K7-03".parse().unwrap(), Found::Here(Arc::new(overview), seen.into())));
    rig.desk.at = "progress";
    rig.settle();
    looks_as_stored("progress-of-two", &rig.picture());
    assert!(rig.says("2026-11-07: 0.67 s · 2026-11-28: 0.67 s"), "{}", rig.words());
}

/// How far a channel may be off: another processor may round an edge another way.
const TOLERANCE: u8 = 3;

/// Compares with the stored picture; one that differs is stored anew where that is asked for.
fn looks_as_stored(name: &str, now: &Pixmap) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures").join(format!("desk-{name}.png"));
    if std::env::var("DESK_PICTURES").is_ok_and(|what| what == "store") {
        if Pixmap::load_png(&path).ok().and_then(|stored| differs(&stored, now)) != Some(0) {
            now.save_png(&path).expect("a picture is stored");
        }
        return;
    }
    let stored = Pixmap::load_png(&path)
        .unwrap_or_else(|error| panic!("cannot read `{}`: {error}; store it with DESK_PICTURES=store", path.display()));
    assert_eq!(differs(&stored, now), Some(0), "`{name}` differs; see above");
}

/// How many channels differ; `None` where the sizes do.
fn differs(stored: &Pixmap, now: &Pixmap) -> Option<usize> {
    let far = |(one, other): &(&u8, &u8)| one.abs_diff(**other) > TOLERANCE;
    let same_size = (stored.width(), stored.height()) == (now.width(), now.height());
    same_size.then(|| stored.data().iter().zip(now.data()).filter(far).count())
}

/// How many colours a picture has.
fn colours(picture: &Pixmap) -> usize {
    picture.pixels().iter().map(|pixel| (pixel.red(), pixel.green(), pixel.blue())).collect::<HashSet<_>>().len()
}

#[test]
fn every_screen_is_painted_and_says_its_title() {
    for (look, look_name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        for (size, size_name) in [((1180.0, 800.0), "wide"), ((800.0, 600.0), "small")] {
            let mut rig = rig(size, look);
            for screen in SCREENS {
                rig.desk.at = screen.name;
                rig.settle();
                predict(&mut rig);
                let name = format!("{}-{look_name}-{size_name}", screen.name.replace(' ', "-"));
                let picture = rig.picture();
                looks_as_stored(&name, &picture);
                assert!(rig.says((screen.title)(rig.desk.words)), "{name}: {}", rig.words());
                // Letters are painted with soft edges: a screen without any has a handful of colours.
                assert!(colours(&picture) > 30, "{name}");
            }
        }
    }
}

#[test]
fn an_overdue_review_stands_first_and_says_so() {
    let mut rig = Rig::new((1180.0, 800.0), Theme::Light);
    let late = Person { review: "2026-11-01".into(), ..Person::default() };
    let people = [("A1".to_string(), Person::default()), ("Z9".to_string(), late)].into();
    rig.desk.told(News::Index(Index::default(), people, Vec::new()));
    rig.settle();
    let words = rig.words();
    assert!(words.find("Z9") < words.find("A1"), "{words}");
    assert!(words.contains("2026-11-01 · overdue"), "{words}");
}
