//! The protocol file: a JSON object whose fields are those of [`Protocol`] and [`Block`](super::protocol::Block).
//!
//! ```json
//! {
//!   "format": "pacewright protocol",
//!   "version": 1,
//!   "name": "Ten timed presses",
//!   "menu": "six",
//!   "settings": { "scan_interval": 1.5 },
//!   "blocks": [{ "kind": "timed-press", "practice": 2, "trials": 10, "tiles": 6 }]
//! }
//! ```
//!
//! `menu` names a shipped menu or a menu file that lies beside the protocol; whoever reads the
//! protocol hands in the way from that name to the menu. Nothing here opens a file.

mod rules;

use super::protocol::Protocol;
use crate::json::Located;
use crate::json::shape::{Field, Shape, needed, optional};
use crate::menu::Menu;
use crate::problem::{Findings, Problem, did_you_mean, shortened};

/// Most scored trials of one block.
pub const MOST_TRIALS: i64 = 200;
/// Most tiles of a timed press.
pub const MOST_TILES: i64 = 36;
/// Most tiles in a first look (common practice, no source).
pub const MOST_TILES_FIRST_LOOK: usize = 9;
/// The name that makes a protocol a first look, in any case of letters.
pub const FIRST_LOOK: &str = "first look";

static SHORT: Shape = Shape::Text(60);
static LONG: Shape = Shape::Text(600);
static COUNT: Shape = Shape::Whole(0, MOST_TRIALS);
static FEW: Shape = Shape::Whole(0, 20);
static MINUTES: Shape = Shape::Number(0.0, 60.0);
static WAIT: Shape = Shape::List { of: &Shape::Number(0.5, 30.0), least: 2, most: 2 };
static TASK: Shape = Shape::List { of: &SHORT, least: 1, most: 10 };
static TASKS: Shape = Shape::List { of: &TASK, least: 0, most: 100 };
static KIND: Shape = Shape::Choice(&[
    "first-contact",
    "quiet-watch",
    "switch-check",
    "reaction",
    "timed-press",
    "repeat",
    "menu-tasks",
    "confirm",
]);
static WATCH: Shape = Shape::Choice(&["at-rest", "moving"]);
static PRECISION: Shape = Shape::Table {
    what: "`ends_when`",
    fields: &[optional("trials", &Shape::Whole(2, MOST_TRIALS)), optional("half_width", &Shape::Number(0.01, 1.0))],
};
static STOP: Shape = Shape::Table {
    what: "`stop`",
    fields: &[
        optional("omissions", &FEW),
        optional("errors", &FEW),
        optional("window", &Shape::Whole(1, 50)),
        optional("slowing", &Shape::Number(0.0, 10.0)),
        optional("minutes", &MINUTES),
    ],
};
static BLOCK_FIELDS: &[Field] = &[
    needed("kind", &KIND),
    optional("practice", &FEW),
    optional("trials", &COUNT),
    optional("tiles", &Shape::Whole(0, MOST_TILES)),
    optional("passes", &Shape::Whole(0, 3)),
    optional("seconds", &Shape::Number(0.0, 600.0)),
    optional("watch", &WATCH),
    optional("wait", &WAIT),
    optional("hold", &Shape::Number(0.0, 3.0)),
    optional("tasks", &TASKS),
    optional("together", &Shape::Whole(0, 5)),
    optional("shuffled", &Shape::Flag),
    optional("distractions", &Shape::Flag),
    optional("set_size", &COUNT),
    optional("ends_when", &PRECISION),
    optional("stop", &STOP),
    optional("settings", &Shape::Settings),
    optional("slower", &Shape::Number(0.5, 3.0)),
];
static BLOCK: Shape = Shape::Table { what: "a block", fields: BLOCK_FIELDS };
static PROTOCOL: Shape = Shape::Table {
    what: "the protocol",
    fields: &[
        needed("format", &Shape::Choice(&[Protocol::FORMAT])),
        needed("version", &Shape::Version(Protocol::VERSION as i64)),
        needed("name", &SHORT),
        optional("about", &LONG),
        needed("menu", &SHORT),
        optional("settings", &Shape::Settings),
        optional("most_presses", &Shape::Whole(1, 1_000)),
        optional("most_minutes", &Shape::Number(0.5, 120.0)),
        optional("rest_every", &COUNT),
        optional("alone", &Shape::Flag),
        optional("stop", &STOP),
        needed("blocks", &Shape::List { of: &BLOCK, least: 1, most: 30 }),
    ],
};

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The protocol and its menu, unless a problem is an error.
    pub protocol: Option<(Protocol, Menu)>,
    /// Every problem, in the order of lines.
    pub problems: Vec<Problem>,
}

/// Reads a protocol; `file` is its name for messages, `menu_named` finds the menu that it names.
#[must_use]
pub fn read(file: &str, bytes: impl AsRef<[u8]>, menu_named: impl FnOnce(&str) -> Option<Menu>) -> Read {
    let root = match crate::json::read(file, bytes) {
        Ok(root) => root,
        Err(problem) => return Read { protocol: None, problems: vec![problem] },
    };
    let mut findings = Findings::of(file);
    PROTOCOL.check("the protocol", &root, &mut findings);
    let menu = menu(&root, menu_named, &mut findings);
    let protocol = if findings.fatal() { None } else { typed(&root, &mut findings) };
    if let (Some(protocol), Some(menu)) = (&protocol, &menu) {
        rules::Check { protocol, menu, root: &root, findings: &mut findings }.all();
    }
    let whole = protocol.zip(menu).filter(|_| !findings.fatal());
    Read { protocol: whole, problems: findings.sorted() }
}

fn menu(root: &Located, menu_named: impl FnOnce(&str) -> Option<Menu>, findings: &mut Findings) -> Option<Menu> {
    let value = root.field("menu")?;
    let name = value.text()?;
    let shipped = || crate::menu::shipped::MENUS.iter().map(|(name, _)| *name);
    if !is_menu_name(name) {
        let what = format!("`menu` is `{}`, which is no plain name", shortened(name));
        findings.error(value.line, what, "name a shipped menu, or a `.json` file beside the protocol");
        return None;
    }
    let menu = menu_named(name);
    if menu.is_none() {
        findings.error(value.line, format!("cannot use the menu `{}`", shortened(name)), did_you_mean(name, shipped()));
    }
    menu
}

/// A shipped menu's name, or a file name without any folder.
fn is_menu_name(name: &str) -> bool {
    let plain = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | ' ' | '.');
    let stem = name.strip_suffix(".json").unwrap_or(name);
    let folder = stem.contains("..") || stem.starts_with('.') || !name.chars().all(plain);
    !stem.is_empty() && !folder && (stem.len() < name.len() || !name.contains('.'))
}

/// The tree as a protocol; its shape was checked, so this fails on our own mistake only.
fn typed(root: &Located, findings: &mut Findings) -> Option<Protocol> {
    serde_json::from_value(root.to_value())
        .map_err(|error| findings.error(root.line, format!("cannot read the protocol: {error}"), "correct that field"))
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::event::BlockKind;
    use crate::session::protocol::Block;

    #[test]
    fn the_example_of_the_documentation_is_a_valid_protocol() {
        let example = crate::json::documented_example(include_str!("mod.rs"));
        let read = read("example", example, crate::menu::shipped::find);
        assert_eq!(read.problems, []);
        assert_eq!(read.protocol.unwrap().0.blocks[0].trials, 10);
    }

    #[test]
    fn the_shape_lists_every_field_of_a_protocol_and_of_a_block() {
        let protocol = Protocol {
            format: Protocol::FORMAT.into(),
            version: Protocol::VERSION,
            name: "n".into(),
            about: String::new(),
            menu: "six".into(),
            settings: serde_json::Map::new(),
            most_presses: None,
            most_minutes: None,
            rest_every: 8,
            alone: true,
            stop: crate::session::stop::StopRules::default(),
            blocks: vec![Block {
                passes: 2,
                hold: 0.5,
                together: 3,
                distractions: true,
                slower: 1.3,
                ..Block::of(BlockKind::FirstContact)
            }],
        };
        let written = serde_json::to_value(&protocol).unwrap();
        let names = |value: &serde_json::Value| value.as_object().unwrap().keys().cloned().collect::<Vec<_>>();
        let listed = |shape: &Shape| match shape {
            Shape::Table { fields, .. } => fields.iter().map(|field| field.name.to_string()).collect::<Vec<_>>(),
            other => panic!("{other:?} is no object"),
        };
        assert_eq!(names(&written), listed(&PROTOCOL));
        assert_eq!(names(&written["blocks"][0]), listed(&BLOCK));
        assert_eq!(names(&written["stop"]), listed(&STOP));
    }
}
