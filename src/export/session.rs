//! What an export is made from: one session, and what the rows of all tables need to know of it.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde_json::Value;

use super::cell::Cell;
use super::levels::word;
use super::standing::Standing;
use super::table::{Column, Shown};
use crate::analysis::reading::Reading;
use crate::log::header::Header;
use crate::menu::Menu;
use crate::session::event::BlockKind;
use crate::session::protocol::Protocol;
use crate::session::record::Record;
use crate::session::trial::Trial;

/// One session to be exported.
#[derive(Clone, Debug)]
pub struct Session<'a> {
    /// Whose it is.
    pub whose: Whose,
    /// Wall clock at its beginning, `YYYY-MM-DDThh:mm:ss`, shifted or not; `None` when the log does not tell.
    pub began: Option<String>,
    /// Name of the log's file.
    pub log: &'a str,
    /// Nothing is missing from the log.
    pub whole: bool,
    /// Its header.
    pub header: &'a Header,
    /// Its records.
    pub records: &'a [Record],
}

/// The client and the session that a row belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whose {
    /// Code of the client, exchanged or not.
    pub client: String,
    /// Number of the session among those of the client, from 1.
    pub session: u32,
}

/// A row that knows whose it is.
pub(super) trait Owned {
    fn whose(&self) -> &Whose;
}

/// The columns with which every table begins.
pub(super) fn keys<R: Owned>() -> [Column<R>; 2] {
    [
        Column::of("client", "", "Code of the client.", |row| Cell::text(row.whose().client.clone())),
        Column::of(
            "session",
            "",
            "Number of the session among those of the client that were exported, from 1.",
            |row| Cell::Whole(row.whose().session.into()),
        ),
    ]
}

/// A session and what follows from it.
#[derive(Debug)]
pub(super) struct View<'a> {
    pub session: &'a Session<'a>,
    pub reading: Reading<'a>,
    pub shown: Shown,
    /// Item ids that a person wrote, each with its place in the menu; `None` when the menu is shipped.
    own_items: Option<HashMap<String, usize>>,
}

impl<'a> View<'a> {
    pub fn of(session: &'a Session<'a>, shown: Shown) -> View<'a> {
        let reading = Reading::of(session.header, session.records);
        View { session, reading, shown, own_items: own_items(session.header) }
    }

    pub fn whose(&self) -> Whose {
        self.session.whose.clone()
    }

    /// The trials by block and number.
    pub fn trials(&self) -> HashMap<(u16, u32), Standing> {
        let trials = self.reading.blocks.iter().flat_map(|block| &block.trials);
        trials.map(|judged| ((judged.trial.block, judged.trial.trial), Standing::of(judged))).collect()
    }

    /// The id of a trial's target. An item of a menu that a person wrote stands as its place in the menu, or as
    /// `item` where the menu cannot be read.
    pub fn target(&self, trial: &Trial) -> String {
        let from_menu = matches!(trial.kind, BlockKind::MenuTasks | BlockKind::Confirm);
        match &self.own_items {
            Some(places) if from_menu && !self.shown.free_text => {
                places.get(&trial.target).map_or_else(|| "item".into(), |place| format!("item-{}", place + 1))
            }
            _ => trial.target.clone(),
        }
    }

    /// Delay inside every latency of the session, in microseconds; `None` when it was not measured.
    pub fn lag_us(&self) -> Option<i64> {
        self.session.header.measured.lag_us().map(|lag| lag as i64)
    }
}

/// The name of the protocol; of one that a person wrote only when such words are shown.
pub(super) fn protocol_name(header: &Header, shown: Shown) -> String {
    static SHIPPED: LazyLock<Vec<Protocol>> = LazyLock::new(|| {
        let names = crate::session::shipped::PROTOCOLS.iter();
        names.filter_map(|(name, _)| crate::session::shipped::find(name)).map(|(protocol, _)| protocol).collect()
    });
    if shown.free_text || SHIPPED.contains(&header.protocol) { header.protocol.name.clone() } else { "own".into() }
}

/// The name of the menu; of one that a person wrote only when such words are shown.
pub(super) fn menu_name(header: &Header, shown: Shown) -> String {
    let name = header.menu.get("name").and_then(Value::as_str).unwrap_or_default();
    if shown.free_text || is_shipped(&header.menu) { name.into() } else { "own".into() }
}

fn is_shipped(menu: &Value) -> bool {
    static SHIPPED: LazyLock<Vec<Value>> = LazyLock::new(|| {
        let names = crate::menu::shipped::MENUS.iter();
        names.filter_map(|(name, _)| crate::menu::shipped::find(name)).map(|menu| menu.to_json()).collect()
    });
    SHIPPED.contains(menu)
}

fn own_items(header: &Header) -> Option<HashMap<String, usize>> {
    let own = !is_shipped(&header.menu);
    own.then(|| {
        let menu = Menu::from_json("menu", &header.menu).0;
        let items = menu.iter().flat_map(Menu::items);
        items.zip(0..).map(|(item, place)| (item.id.clone(), place)).collect()
    })
}

/// A word of the log that may be missing.
pub(super) fn some_word(value: Option<impl serde::Serialize>) -> Cell {
    Cell::some(value, word)
}
