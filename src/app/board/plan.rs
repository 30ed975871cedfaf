//! A scene turned into parts: disjoint places on the frame and what each shows.

use tiny_skia::Pixmap;

use super::arrangement::Arrangement;
use super::bands;
use super::frame::{Rect, Size};
use super::layout::{Layout, cell_size, cells};
use super::lettering::{Face, Lettering};
use super::setup::BoardSetup;
use super::shapes::blank;
use super::text::Words;
use super::theme::Theme;
use super::tile::Page;
use super::{home, message, strip, tile};
use crate::menu::home::HomeThing;
use crate::session::scene::{Body, Cue, Message, Note, Scene, Tile, Tiles};
use crate::switch_check::Strip;

/// What one place shows.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Part {
    Cue(Option<Cue>),
    Answered(bool),
    Tile(Tile, Page),
    Message(Message),
    Strip(Strip),
    /// A thing, and the font size of all names.
    Home(HomeThing, f32),
    Foot(Option<u32>, Option<Note>),
    /// What the client touches.
    Field,
    /// White or black.
    Patch(bool),
}

/// The parts of one scene on a frame of one size, upright.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Plan {
    pub parts: Vec<(Rect, Part)>,
}

/// What a plan depends on besides the scene.
pub(super) struct Ground<'a> {
    pub setup: &'a BoardSetup,
    /// Size of the upright picture.
    pub upright: Size,
    /// Smallest readable font size, px.
    pub font_needed: f32,
}

impl<'a> Ground<'a> {
    pub fn new(setup: &'a BoardSetup, frame: Size) -> Self {
        Self { setup, upright: setup.turn.upright(frame), font_needed: setup.viewing().font_px(frame.width) }
    }

    pub fn layout(&self, scene: &Scene) -> Layout {
        // Above tiles its place is kept even when it is empty.
        let has_cue = scene.cue.is_some() || matches!(scene.body, Body::Tiles(_));
        let used = self.setup.used(self.upright);
        Layout::new(used, self.font_needed, has_cue, !scene.home.is_empty(), self.setup.corner_patch)
    }
}

impl Plan {
    pub fn new(scene: &Scene, ground: &Ground, letters: &mut Lettering) -> Self {
        let layout = ground.layout(scene);
        let mut parts = vec![
            (layout.cue, Part::Cue(scene.cue.clone())),
            (layout.answered, Part::Answered(scene.answered)),
            (layout.foot, Part::Foot(scene.left, scene.note.clone())),
            (layout.patch, Part::Patch(scene.number % 2 == 1)),
            (ground.setup.field(ground.upright), Part::Field),
        ];
        match &scene.body {
            Body::Tiles(tiles) => parts.extend(tile_parts(tiles, &layout, ground, letters)),
            Body::Message(message) => parts.push((layout.body, Part::Message(message.clone()))),
            Body::Strip(strip) => parts.push((layout.body, Part::Strip(strip.clone()))),
        }
        parts.extend(home_parts(&scene.home, layout.home, layout.gap, letters));
        parts.retain(|(rect, _)| !rect.is_empty());
        Self { parts }
    }

    /// Whether both show the same kinds of things at the same places.
    pub fn stands_like(&self, other: &Self) -> bool {
        let places = |plan: &Self| plan.parts.iter().map(|(rect, _)| *rect).collect::<Vec<_>>();
        places(self) == places(other)
    }
}

/// Where the tiles of a scene stand on the frame, row by row; nothing where it shows none.
pub fn tile_rects(scene: &Scene, setup: &BoardSetup, frame: Size) -> Vec<Rect> {
    let Body::Tiles(tiles) = &scene.body else { return Vec::new() };
    let ground = Ground::new(setup, frame);
    let layout = ground.layout(scene);
    let (columns, rows) = grid(tiles);
    let places = cells(layout.body, columns, rows, layout.gap);
    places.into_iter().take(tiles.tiles.len()).map(|rect| rect.turned(ground.upright, setup.turn)).collect()
}

/// Where the field stands on the frame that is touched; empty where there is none.
pub fn touch_field(setup: &BoardSetup, frame: Size) -> Rect {
    let upright = setup.turn.upright(frame);
    setup.field(upright).turned(upright, setup.turn)
}

/// Columns and rows that a page of tiles takes.
pub(super) fn grid(tiles: &Tiles) -> (usize, usize) {
    let count = tiles.tiles.len().max(1);
    let columns = tiles.columns.clamp(1, count);
    (columns, count.div_ceil(columns))
}

/// The words of all tiles that are to be seen.
pub(super) fn labels(tiles: &Tiles, letters: &mut Lettering) -> Vec<Words> {
    tiles.tiles.iter().filter(|tile| !tile.blank).map(|tile| Words::new(letters, &tile.label, Face::Bold)).collect()
}

fn tile_parts(tiles: &Tiles, layout: &Layout, ground: &Ground, letters: &mut Lettering) -> Vec<(Rect, Part)> {
    let (columns, rows) = grid(tiles);
    let size = cell_size(layout.body, columns, rows, layout.gap);
    let arrangement = Arrangement::of(size, &labels(tiles, letters), ground.font_needed);
    let page = Page { arrangement, dim_unlit: ground.setup.dim_unlit };
    let places = cells(layout.body, columns, rows, layout.gap);
    places.into_iter().zip(&tiles.tiles).map(|(rect, tile)| (rect, Part::Tile(tile.clone(), page))).collect()
}

/// Cells of one size, in the middle of the strip, never wider than half again their height.
fn home_parts(things: &[HomeThing], strip: Rect, gap: u32, letters: &mut Lettering) -> Vec<(Rect, Part)> {
    let count = things.len().max(1);
    let cell = cell_size(strip, count, 1, gap);
    let width = cell.width.min(strip.height + strip.height / 2);
    let taken =
        (count as u64 * u64::from(width + gap)).saturating_sub(u64::from(gap)).min(u64::from(strip.width)) as u32;
    let row = Rect::new(strip.x + (strip.width - taken) / 2, strip.y, taken, strip.height);
    let places = cells(row, count, 1, gap);
    let size = home::name_size(letters, things, cell_size(row, count, 1, gap));
    places.into_iter().zip(things).map(|(rect, thing)| (rect, Part::Home(thing.clone(), size))).collect()
}

impl Part {
    /// Paints it upright into a picture of just its own place.
    pub fn picture(&self, size: Size, letters: &mut Lettering, font_needed: f32, theme: &Theme) -> Pixmap {
        let mut picture = blank(size.width, size.height, theme.background);
        let map = &mut picture;
        match self {
            Self::Cue(None) | Self::Answered(false) => {}
            Self::Cue(Some(cue)) => bands::cue(map, letters, cue, font_needed, theme),
            Self::Answered(true) => bands::answered(map, theme),
            Self::Tile(tile, page) => tile::paint(map, letters, tile, page, theme),
            Self::Message(message) => message::paint(map, letters, message, font_needed, theme),
            Self::Strip(strip) => strip::paint(map, letters, strip, theme),
            Self::Home(thing, size) => home::paint(map, letters, thing, *size, theme),
            Self::Foot(left, note) => bands::foot(map, letters, *left, note.as_ref(), theme),
            Self::Field => bands::field(map, letters, font_needed, theme),
            Self::Patch(white) => map.fill(if *white { tiny_skia::Color::WHITE } else { tiny_skia::Color::BLACK }),
        }
        picture
    }
}
