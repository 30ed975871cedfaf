//! What a selection takes on an arrangement: the expected time of the advice, on the tree that the
//! engine would scan.

use super::parts::{Part, Stock, items};
use crate::advice::expected_time::{Known, Pace, Presses, Recovery, Takes, Ways};
use crate::advice::task;
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanTree};
use crate::menu::{self, Menu, Node, check};
use crate::settings::{Id, Settings};

/// Most rows of tiles on a page, so that they stay large enough to be read (common practice, no source).
const MOST_ROWS: usize = 8;

/// Judges arrangements of one menu for one client.
#[derive(Clone)]
pub struct Judge<'a, P> {
    /// The items and groups.
    pub stock: Stock<'a>,
    /// The settings in force.
    pub settings: Settings,
    /// How the client presses.
    pub(super) presses: P,
    /// What errors cost.
    pub(super) recovery: Recovery,
    /// Items that keep their place.
    pub pins: Vec<Pin>,
    /// Seconds that a switch hit is worth: what the search makes least is the time and so much a hit.
    pub hit_s: f64,
    pub(super) pace: Pace,
    known: Known,
    /// Share of use of each item.
    shares: Vec<f64>,
    /// Place of each item among all by use, the most used first.
    ranks: Vec<usize>,
    most_rows: usize,
}

/// An item that keeps its place, and with it the pages that lead there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Its number.
    pub item: u16,
    /// Its place, level by level, ways back not counted.
    pub place: Vec<usize>,
    /// After how many levels each page on the way has been opened.
    pub pages: Vec<usize>,
}

/// What an arrangement takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Of a selection, by share of use.
    pub takes: Takes,
    /// Of each item by itself, by its number.
    pub each: Vec<Takes>,
}

impl<'a, P: Presses> Judge<'a, P> {
    /// A judge of the menu; `kept` says of each item whether it keeps the place that it has now.
    pub fn new(menu: &Menu, stock: Stock<'a>, settings: &Settings, presses: P, kept: impl Fn(u16) -> bool) -> Self {
        let total: f64 = stock.items.iter().map(|item| item.weight).sum();
        let today = Arrangement::new(menu, settings);
        let pins = (0..stock.items.len() as u16).filter(|item| kept(*item));
        Judge {
            pins: pins.filter_map(|item| Pin::of(&today, item)).collect(),
            shares: stock.items.iter().map(|item| item.weight / total).collect(),
            ranks: ranks(&stock),
            most_rows: rows(&today).max(MOST_ROWS),
            hit_s: 0.0,
            known: Known::default(),
            pace: task::pace(settings),
            recovery: Recovery { undo: task::undo(menu), wrong_group: None },
            settings: settings.clone(),
            stock,
            presses,
        }
    }

    /// Place of an item among all by use.
    pub(super) fn rank(&self, item: u16) -> usize {
        self.ranks[usize::from(item)]
    }

    /// Share of use of an item.
    pub fn share(&self, item: u16) -> f64 {
        self.shares[usize::from(item)]
    }

    /// The parts under the pattern of this raw value; `None` for what no menu can hold, no board can show,
    /// or no client can put right, and where a kept item has lost its place.
    pub fn judge(&self, parts: &[Part], pattern: i64) -> Option<Judged> {
        if !self.fits(parts) {
            return None;
        }
        let arrangement = self.arrangement(parts, pattern);
        let order = items(parts);
        let kept = |pin: &Pin| {
            let number = order.iter().position(|item| *item == pin.item)?;
            Some(place(&arrangement, ItemIx(number as u16))? == pin.place)
        };
        if rows(&arrangement) > self.most_rows || !self.pins.iter().all(|pin| kept(pin) == Some(true)) {
            return None;
        }
        self.on(&arrangement, &order).filter(|judged| judged.takes.seconds.is_finite())
    }

    /// A menu that is scanned like this, with its items in this order; infinite where more goes wrong than
    /// can be put right.
    pub fn on(&self, arrangement: &Arrangement, order: &[u16]) -> Option<Judged> {
        self.scanned(&arrangement.tree, order)
    }

    /// The same of a tree.
    pub(super) fn scanned(&self, tree: &ScanTree, order: &[u16]) -> Option<Judged> {
        let weights: Vec<_> = (0..).map(ItemIx).zip(order.iter().map(|item| self.share(*item))).collect();
        let found = Ways::new(tree, &weights)?.each_known(&self.presses, &self.pace, &self.recovery, &self.known);
        let mut each = vec![Takes::default(); order.len()];
        order.iter().zip(found).for_each(|(item, takes)| each[usize::from(*item)] = takes);
        Some(Judged { takes: self.mean(&each), each })
    }

    /// The parts as the engine scans them under a pattern.
    pub fn arrangement(&self, parts: &[Part], pattern: i64) -> Arrangement {
        Arrangement::new(&self.bare(parts), &self.settings.clone().with(Id::Pattern, pattern))
    }

    /// What the search makes least.
    pub fn cost(&self, takes: &Takes) -> f64 {
        takes.seconds + self.hit_s * takes.hits
    }

    /// By share of use.
    pub fn mean(&self, each: &[Takes]) -> Takes {
        self.shares.iter().zip(each).fold(Takes::default(), |sum, (share, takes)| sum.plus(*share, *takes))
    }

    /// The limits of a menu file.
    fn fits(&self, parts: &[Part]) -> bool {
        let on_page: usize = parts.iter().map(|part| self.stock.tiles(part)).sum();
        on_page <= check::MOST_ON_PAGE && self.groups_fit(parts, 0)
    }

    fn groups_fit(&self, parts: &[Part], depth: usize) -> bool {
        parts.iter().all(|part| match part {
            Part::Item(_) => true,
            Part::Group(_, inside) if inside.is_empty() || depth >= check::MOST_DEPTH => false,
            Part::Group(kind, inside) => {
                let on_page: usize = inside.iter().map(|part| self.stock.tiles(part)).sum();
                let page = !self.stock.is_page(*kind) || on_page <= check::MOST_ON_PAGE;
                page && self.groups_fit(inside, depth + 1)
            }
        })
    }

    /// The menu of these parts without words: enough for the engine.
    fn bare(&self, parts: &[Part]) -> Menu {
        let [name, about] = [const { String::new() }; 2];
        Menu { name, about, home: Vec::new(), top: self.bare_group(true, parts), tasks: Vec::new() }
    }

    fn bare_group(&self, page: bool, parts: &[Part]) -> menu::Group {
        let [id, label, spoken, icon] = [const { String::new() }; 4];
        let node = |part: &Part| match part {
            Part::Item(item) => Node::Item(bare_item(self.stock.items[usize::from(*item)])),
            Part::Group(kind, inside) => Node::Group(self.bare_group(self.stock.is_page(*kind), inside)),
        };
        menu::Group { id, label, spoken, spoken_s: None, icon, page, entries: parts.iter().map(node).collect() }
    }
}

impl Pin {
    fn of(today: &Arrangement, item: u16) -> Option<Pin> {
        let levels = levels(today, ItemIx(item))?;
        let page = |level: usize| levels.get(level).map(|(group, _)| today.page_of(*group));
        let pages = (1..levels.len()).filter(|level| page(*level) != page(*level - 1)).collect();
        Some(Pin { item, place: place(today, ItemIx(item))?, pages })
    }
}

fn ranks(stock: &Stock) -> Vec<usize> {
    let mut by_use: Vec<usize> = (0..stock.items.len()).collect();
    by_use.sort_by(|one, other| stock.items[*other].weight.total_cmp(&stock.items[*one].weight));
    let mut ranks = vec![0; by_use.len()];
    by_use.iter().enumerate().for_each(|(rank, item)| ranks[*item] = rank);
    ranks
}

fn bare_item(item: &menu::Item) -> menu::Item {
    let [id, label, spoken, icon, answer, cue] = [const { String::new() }; 6];
    menu::Item { id, label, spoken, icon, answer, cue, effects: Vec::new(), ..*item }
}

/// Rows of tiles of the page that has most.
fn rows(arrangement: &Arrangement) -> usize {
    arrangement.pages().iter().map(|page| page.tiles.len().div_ceil(page.columns)).max().unwrap_or(0)
}

/// Where an item stands, level by level: ways back are not counted, and a question is no level.
pub fn place(arrangement: &Arrangement, item: ItemIx) -> Option<Vec<usize>> {
    let position = |(group, entry): (GroupIx, EntryIx)| {
        let before = &arrangement.tree.group(group).entries[..usize::from(entry.0)];
        before.iter().filter(|entry| **entry != Entry::Exit).count()
    };
    Some(levels(arrangement, item)?.into_iter().map(position).collect())
}

/// The way to an item, but for the question about it.
fn levels(arrangement: &Arrangement, item: ItemIx) -> Option<Vec<(GroupIx, EntryIx)>> {
    let question = arrangement.question(item);
    let path = arrangement.tree.path(item)?;
    Some(path.into_iter().filter(|(group, _)| Some(*group) != question).collect())
}
