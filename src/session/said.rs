//! What a client hears of a session: how each place of the highlight is called, and what a press came to.

use super::course::Target;
use super::offer::Offer;
use super::phase::Phase;
use super::trial::Outcome;
use super::{Session, words};
use crate::engine::effect::Lit;
use crate::engine::pattern::{Arrangement, TileRef};
use crate::engine::tree::{EntryIx, GroupIx};
use crate::menu::Item;
use crate::settings::{PatternChoice, Settings};

/// What the id of a spoken cue begins with; the id of its target follows.
pub const CUE: &str = "cue-";

/// What is said of one place of the highlight.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// Id of the label, under which recordings are kept; `None` where nothing is to be said.
    pub id: Option<String>,
    /// Its words.
    pub text: String,
    /// Its place in the group that is scanned, from 0.
    pub position: u16,
    /// Places there are.
    pub of: u16,
}

impl Session {
    /// What is said where this is lit.
    #[must_use]
    pub fn said(&self, lit: Lit) -> Said {
        let Lit::Entry { group, entry, .. } = lit else { return Said::default() };
        let of = self.tree.group(group).entries.len() as u16;
        let (id, text) = match &self.phase {
            Phase::Question { offers, .. } => match offers.get(usize::from(entry.0)) {
                Some(offer) => named(offer.label()),
                None => (None, String::new()),
            },
            Phase::Trial(running) if matches!(running.task.target, Target::Item(_)) => {
                place(&self.arrangement, self.settings_heard().pattern(), group, entry)
            }
            Phase::Trial(running) if matches!(running.task.target, Target::Tile { .. }) => number("tile", entry),
            _ => (None, String::new()),
        };
        Said { id, text, position: entry.0, of }
    }

    /// The settings that decide what is heard.
    #[must_use]
    pub fn settings_heard(&self) -> Settings {
        self.block_settings()
    }

    /// The same for every block of the protocol, in their order.
    #[must_use]
    pub fn settings_to_come(&self) -> Vec<Settings> {
        self.plan.protocol.blocks.iter().map(|block| self.settings_in(Some(block))).collect()
    }

    /// The running menu task has taken something else than what was asked for.
    #[must_use]
    pub fn chose_wrong(&self) -> bool {
        let missed = |outcome| matches!(outcome, Some(Outcome::Early | Outcome::Late | Outcome::Wrong));
        matches!(&self.phase, Phase::Trial(running) if running.is_menu_task() && missed(running.outcome))
    }

    /// Nothing is scanned: every press is answered, and that is all.
    #[must_use]
    pub fn only_answers(&self) -> bool {
        matches!(self.phase, Phase::Mine { .. } | Phase::Contact { .. } | Phase::Check { .. })
    }

    /// Ids and words of all labels that can be needed: of the menu, the cues of its tasks, and what is offered at rest.
    #[must_use]
    pub fn labels_to_come(&self) -> Vec<(String, String)> {
        let arrangement = &self.arrangement;
        let pattern = self.settings_heard().pattern();
        let entries = (0..).zip(&arrangement.tree.groups).flat_map(|(group, scanned)| {
            (0..scanned.entries.len() as u16).map(move |entry| (GroupIx(group), EntryIx(entry)))
        });
        let places = entries.map(|(group, entry)| place(arrangement, pattern, group, entry));
        let cue = |item: &Item| (Some(format!("{CUE}{}", item.id)), item.cue.clone());
        let all = places
            .chain(arrangement.items().iter().map(cue))
            .chain(Offer::ALL.iter().map(|offer| named(offer.label())));
        let mut labels: Vec<(String, String)> = all.filter_map(|(id, text)| Some((id?, text))).collect();
        labels.sort();
        labels.dedup_by(|one, other| one.0 == other.0);
        labels
    }
}

/// Id and words of one place of the menu. A row has no name of its own: it goes by its number.
fn place(
    arrangement: &Arrangement,
    pattern: PatternChoice,
    group: GroupIx,
    entry: EntryIx,
) -> (Option<String>, String) {
    let page = arrangement.page(arrangement.page_of(group));
    let [tile] = arrangement.lit_tiles(group, entry) else {
        return number(
            match pattern {
                PatternChoice::ColumnRow => "column",
                PatternChoice::GroupItem => "group",
                _ => "row",
            },
            entry,
        );
    };
    match page.tiles[*tile] {
        TileRef::Item(item) => {
            let item = arrangement.item(item);
            (Some(item.id.clone()), item.spoken.clone())
        }
        TileRef::Opens(group) => {
            arrangement.face(group).map_or((None, String::new()), |face| (Some(face.id.clone()), face.spoken.clone()))
        }
        TileRef::Back => named(words::BACK),
        TileRef::Yes(_) => named(words::YES),
        TileRef::Blank => (None, String::new()),
    }
}

fn number(what: &str, entry: EntryIx) -> (Option<String>, String) {
    let number = u32::from(entry.0) + 1;
    (Some(format!("{what}-{number}")), format!("{what} {number}"))
}

/// What stands on a tile of our own: "Carry on" has the id `carry-on`.
fn named(words: &str) -> (Option<String>, String) {
    let letters = words.chars().map(|letter| if letter.is_alphanumeric() { letter.to_ascii_lowercase() } else { '-' });
    (Some(letters.collect::<String>().replace("--", "-")), words.to_string())
}
