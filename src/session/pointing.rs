//! Sessions worked with a pointer: where the tiles are, what it rests on, and rest itself.

use super::course::Target;
use super::event::Event;
use super::offer::Offer;
use super::phase::Phase;
use super::record::Record;
use super::running::Stage;
use super::scene::{Body, Tile, Tiles};
use super::{Asked, Session};

use crate::engine::effect::{Input as EngineInput, Lit, Spot};
use crate::engine::tree::{EntryIx, GroupIx, ScanTree};
use crate::settings::Technique;
use crate::time::{Moment, Span};

/// Tiles beside the one that ends a rest: the pointer can rest there and takes nothing.
const REST_COLUMNS: usize = 3;

impl Session {
    /// A pointer works this session.
    pub(super) fn points(&self) -> bool {
        self.block_settings().technique() == Technique::Dwell
    }

    /// A pointer works the block that runs, or where none does the next one.
    #[must_use]
    pub fn block_to_come_points(&self) -> bool {
        let next = || self.plan.protocol.blocks.get(self.next_block);
        let block = self.progress.as_ref().map(|progress| &progress.block).or_else(next);
        self.settings_in(block).technique() == Technique::Dwell
    }

    /// A pointer works the block that runs: its samples are wanted.
    #[must_use]
    pub fn takes_pointer(&self) -> bool {
        self.points() && !self.finished()
    }

    /// The shell has to say where the tiles of the scene stand, with
    /// [`Input::Tiles`](super::input::Input::Tiles).
    #[must_use]
    pub fn wants_tiles(&self) -> bool {
        self.engine.wants_layout() && matches!(self.scene.body, Body::Tiles(_))
    }

    pub(super) fn tiles(&mut self, at: Moment, spots: &[Spot]) {
        let entries = self.entries(spots);
        self.run(|engine, sink| engine.lay_out(at, entries, sink));
    }

    pub(super) fn point(&mut self, at: Moment, place: Option<(i32, i32)>) {
        self.run(|engine, sink| engine.point(at, place, sink));
    }

    /// The tile of the scene that is asked for now, counted row by row, or with `rest` the first choice of a question:
    /// for a virtual client that can see and understand.
    #[must_use]
    pub fn wanted_tile(&self, rest: bool) -> Option<usize> {
        match (self.asked(), &self.phase) {
            (Asked::Entry(..), Phase::Question { .. }) if rest => self.tile_of(EntryIx(0)),
            (Asked::Entry(_, entry), _) => self.tile_of(entry),
            (Asked::Press, Phase::Rest { .. }) => self.tile_of(EntryIx(0)),
            _ => None,
        }
    }

    /// The tile of this entry of the group that is chosen from.
    fn tile_of(&self, entry: EntryIx) -> Option<usize> {
        if let Phase::Trial(running) = &self.phase
            && let Target::Item(_) = running.task.target
        {
            return self.arrangement.lit_tiles(running.group(), entry).first().copied();
        }
        let Body::Tiles(tiles) = &self.scene.body else { return None };
        let shown = tiles.tiles.iter().enumerate().filter(|(_, tile)| !tile.blank);
        shown.map(|(index, _)| index).nth(entry.0.into())
    }

    /// The spots of the entries in their order: on a page of the menu by its arrangement, elsewhere the
    /// tiles that are not blank.
    fn entries(&self, spots: &[Spot]) -> Vec<Spot> {
        let nowhere = Spot { x: 0, y: 0, width: 0, height: 0 };
        if let Phase::Trial(running) = &self.phase
            && let Target::Item(_) = running.task.target
        {
            let count = self.tree.group(running.group()).entries.len() as u16;
            let spot = |entry| self.tile_of(EntryIx(entry)).and_then(|tile| spots.get(tile)).copied();
            return (0..count).map(|entry| spot(entry).unwrap_or(nowhere)).collect();
        }
        let Body::Tiles(tiles) = &self.scene.body else { return Vec::new() };
        tiles.tiles.iter().zip(spots).filter(|(tile, _)| !tile.blank).map(|(_, spot)| *spot).collect()
    }

    /// The edge of the lit tile fills. That it does is no event of its own: the effect says so.
    pub(super) fn fill(&mut self, eighths: u8) {
        self.filled = eighths;
        let number = self.engine.take_number();
        self.scene = self.compose(number);
    }

    pub(super) fn with_filled_edge(&self, mut body: Body) -> Body {
        if let (Body::Tiles(tiles), 1..) = (&mut body, self.filled) {
            tiles.tiles.iter_mut().filter(|tile| tile.lit).for_each(|tile| tile.filled = self.filled);
        }
        body
    }

    pub(super) fn stayed(&mut self, place: (GroupIx, EntryIx), stay_us: Span, taken: bool, out: &mut Vec<Record>) {
        let Phase::Trial(running) = &self.phase else { return };
        let block = self.progress.as_ref().map(|progress| progress.index);
        if let (Stage::Scanning { .. }, Some(block)) = (running.stage, block) {
            let wanted = running.wanted_place(&self.tree) == Some(place);
            self.tell(Event::Stay { block, wanted, stay_us, taken }, out);
        }
    }

    /// There is no press that could end a rest: the pointer does.
    pub(super) fn rest_with_pointer(&mut self) {
        if self.points() {
            let settings = super::flow::trial_settings(&self.block_settings(), 0);
            self.load(std::sync::Arc::new(ScanTree::linear(1)));
            self.set_engine(&settings);
            let now = self.now;
            self.run(|engine, sink| engine.input(now, EngineInput::Start, sink));
        }
    }

    pub(super) fn rest_tiles(&self) -> Body {
        let carry_on = Tile {
            label: Offer::CarryOn.label().into(),
            icon: Offer::CarryOn.icon().into(),
            lit: self.lit != Lit::Nothing,
            ..Tile::default()
        };
        let blank = || Tile { blank: true, ..Tile::default() };
        Body::Tiles(Tiles { columns: REST_COLUMNS, tiles: vec![blank(), carry_on, blank()] })
    }
}
