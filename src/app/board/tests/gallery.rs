//! Scenes that are worth looking at, each with the set-up it is seen in. The home is invented.

use crate::app::board::{BoardSetup, Look, Part, Turn};
use crate::menu::home::{HomeKind, HomeThing};
use crate::session::scene::{Body, Cue, Message, Note, Reader, Scene, Tile, Tiles};
use crate::switch_check::{Bar, Lane, Strip};

/// One scene with its name and set-up.
pub struct Shot {
    pub name: &'static str,
    pub scene: Scene,
    pub setup: BoardSetup,
}

const HOUSE: [(&str, &str); 6] = [
    ("Alarm call", "alarm"),
    ("Front door", "door"),
    ("Telephone", "telephone"),
    ("Light and warmth", "lamp"),
    ("Bed", "bed"),
    ("Television", "television"),
];

const LONG: [(&str, &str); 6] = [
    ("Close the left bedroom curtain", "curtain-close"),
    ("Speak to whoever rings", "intercom"),
    ("Raise the head of the bed", "bed-up"),
    ("Temperature", "heater"),
    ("Übergangswohnung", "home"),
    ("Back", "back"),
];

pub fn tile(label: &str, icon: &str) -> Tile {
    Tile { label: label.into(), icon: icon.into(), ..Tile::default() }
}

pub fn tiles(columns: usize, all: &[(&str, &str)], lit: &[usize]) -> Tiles {
    let mut tiles: Vec<Tile> = all.iter().map(|(label, icon)| tile(label, icon)).collect();
    lit.iter().for_each(|at| tiles[*at].lit = true);
    Tiles { columns, tiles }
}

pub fn scene(body: Body) -> Scene {
    Scene { number: 1, cue: None, body, home: vec![], note: None, left: None, answered: false }
}

pub fn cue(text: &str, icon: &str) -> Option<Cue> {
    Some(Cue { text: text.into(), icon: Some(icon.into()) })
}

pub fn thing(kind: HomeKind, label: &str, level: f32) -> HomeThing {
    HomeThing { kind, label: label.into(), level, changed: false }
}

fn home() -> Vec<HomeThing> {
    let mut lamp = thing(HomeKind::Lamp, "Lamp", 1.0);
    lamp.changed = true;
    vec![
        lamp,
        thing(HomeKind::Curtain, "Curtain", 0.0),
        thing(HomeKind::Door, "Front door", 1.0),
        thing(HomeKind::Bed, "Bed", 0.6),
        thing(HomeKind::Television, "Television", 0.0),
        thing(HomeKind::Fan, "Fan", 1.0),
    ]
}

fn message(title: &str, lines: &[&str], icon: &str, to: Reader) -> Scene {
    let lines = lines.iter().map(|line| (*line).into()).collect();
    scene(Body::Message(Message { title: title.into(), lines, icon: Some(icon.into()), to }))
}

fn house(lit: &[usize]) -> Scene {
    let mut tiles = tiles(3, &HOUSE, lit);
    tiles.tiles.iter_mut().skip(1).for_each(|tile| tile.opens = true);
    Scene { cue: cue("Turn the lamp on.", "lamp"), left: Some(7), ..scene(Body::Tiles(tiles)) }
}

fn answer() -> Scene {
    let all = [
        ("Ceiling lamp", "lamp-ceiling"),
        ("Lamp", "lamp"),
        ("Heater", "heater"),
        ("Fan", "fan"),
        ("Curtain", "curtain"),
        ("Back", "back"),
    ];
    let mut tiles = tiles(3, &all, &[]);
    tiles.tiles[1].on = true;
    tiles.tiles[3].on = true;
    Scene { cue: cue("The lamp is on.", "lamp"), home: home(), left: Some(6), ..scene(Body::Tiles(tiles)) }
}

fn timed_press(lit: usize) -> Scene {
    let plain = [("", "sun"); 5];
    let mut tiles = tiles(5, &plain, &[lit]);
    tiles.tiles[3].target = true;
    let note = Note { text: "My presses: on. The client's switch is not counted.".into(), urgent: false };
    Scene {
        cue: cue("Press when it lights.", "switch"),
        left: Some(23),
        note: Some(note),
        answered: true,
        ..scene(Body::Tiles(tiles))
    }
}

fn whole_home() -> Scene {
    let kinds = crate::app::board::home::KINDS;
    let home = kinds.iter().map(|kind| thing(*kind, &format!("{kind:?}"), 1.0)).collect();
    let mut shot = answer();
    shot.home = home;
    shot
}

fn all_icons() -> Scene {
    let all: Vec<(&str, &str)> = crate::menu::ICONS.iter().map(|name| (*name, *name)).collect();
    scene(Body::Tiles(tiles(10, &all, &[13])))
}

fn small_gallery() -> Vec<(&'static str, Scene, BoardSetup)> {
    let dark = BoardSetup::default();
    let mut ragged =
        tiles(4, &[HOUSE[0], HOUSE[1], HOUSE[2], HOUSE[3], HOUSE[4], HOUSE[5], ("Rest", "rest")], &[0, 1, 2, 3]);
    ragged.tiles[5].blank = true;
    let stuck = Note { text: "Switch still pressed: check skin and position".into(), urgent: true };
    let question = Scene {
        cue: cue("Rest or carry on?", "help"),
        ..scene(Body::Tiles(tiles(2, &[("Rest", "rest"), ("Carry on", "play")], &[0])))
    };
    let rest = Scene { cue: None, ..message("Resting.", &["Press when you are ready."], "rest", Reader::Client) };
    let pause = Scene {
        note: Some(stuck),
        ..message("Paused.", &["Nothing to press.", "We will carry on in a moment."], "hand", Reader::Client)
    };
    let lines = [
        "Block 2 of 4: timed presses, at most 20 presses and 4 minutes.",
        "Set-up: right thumb, button on the arm rest, screen at 1.0 m.",
        "Space starts. P pauses at any time. Escape ends. M toggles my presses.",
        "This trains and measures. It drives no real appliance and is no medical device.",
    ];
    vec![
        ("scan-item", house(&[3]), dark),
        ("scan-item-dimmed", house(&[1]), BoardSetup { dim_unlit: true, ..dark }),
        ("scan-row", Scene { cue: cue("Rest when you like.", "rest"), ..scene(Body::Tiles(ragged)) }, dark),
        ("answer-home", answer(), dark),
        ("timed-press", timed_press(1), dark),
        ("timed-press-on-target", timed_press(3), dark),
        ("rest-question", question.clone(), dark),
        ("rest-question-light", question, BoardSetup { look: Look::Light, ..dark }),
        ("resting", rest, dark),
        ("paused-urgent", pause, dark),
        ("clinician", message("Before the next block", &lines, "person", Reader::Clinician), dark),
        ("switch-check", switch_check(), dark),
        ("light", answer(), BoardSetup { look: Look::Light, ..dark }),
        ("light-item", house(&[3]), BoardSetup { look: Look::Light, ..dark }),
        ("black-yellow", house(&[3]), BoardSetup { look: Look::BlackYellow, ..dark }),
        ("black-yellow-home", answer(), BoardSetup { look: Look::BlackYellow, ..dark }),
        ("low-vision", house(&[3]), BoardSetup { low_vision: true, ..dark }),
        ("two-metres", house(&[0]), BoardSetup { distance_mm: 2_000, ..dark }),
        ("long-labels", scene(Body::Tiles(tiles(3, &LONG, &[0]))), dark),
        ("turned", house(&[3]), BoardSetup { turn: Turn::Quarter, corner_patch: true, ..dark }),
        ("left-half", house(&[3]), BoardSetup { part: Part::LeftHalf, corner_patch: true, ..dark }),
        ("touch-field", house(&[3]), BoardSetup { touch_field: true, ..dark }),
        ("whole-home", whole_home(), dark),
        ("icons", all_icons(), BoardSetup { distance_mm: 300, ..dark }),
    ]
}

/// A switch with a hold time, one press too short and one with bounce.
fn switch_check() -> Scene {
    let lane = |name, bars: &[(u16, u16)]| Lane {
        name,
        bars: bars.iter().map(|(from, to)| Bar { from: *from, to: *to }).collect(),
    };
    let lines = [
        "Work the switch ten times, short and long, in no rhythm. F3 ends the check.",
        "9 presses, 7 counted, 2 ignored; 22 raw edges, 4 of them bounce",
        "Held 0.09 to 0.71 s, median 0.24 s; between presses 0.65 to 1.30 s, median 0.90 s",
        "Clean: it follows the hand, and the debounce covers its bounce.",
    ];
    let strip = Strip {
        wave: None,
        lanes: vec![
            lane("Raw contact", &[(80, 110), (300, 302), (304, 420), (640, 655), (820, 1_000)]),
            lane("Bounce", &[(300, 304)]),
            lane("Press", &[(80, 110), (300, 420), (640, 655), (820, 1_000)]),
            lane("Hold", &[(80, 105), (300, 325), (640, 655), (820, 845)]),
            lane("Lockout", &[(110, 160), (420, 470)]),
            lane("Counts", &[(105, 105), (325, 325), (845, 845)]),
        ],
        lines: lines.map(str::to_string).to_vec(),
    };
    scene(Body::Strip(strip))
}

/// All of them.
pub fn shots() -> Vec<Shot> {
    small_gallery().into_iter().map(|(name, scene, setup)| Shot { name, scene, setup }).collect()
}

/// The house with one tile lit.
pub fn house_step(lit: usize) -> Scene {
    house(&[lit])
}
