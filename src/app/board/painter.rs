//! The board itself: it remembers what stands on the frame and repaints what changed.

use super::frame::{Image, Rect, Size};
use super::legibility::Legibility;
use super::lettering::Lettering;
use super::plan::{Ground, Part, Plan};
use super::reading;
use super::setup::BoardSetup;
use super::shapes::blank;
use crate::session::scene::{Scene, Tile};

/// Paints scenes into a frame of one size. Moves between threads; opens and waits for nothing.
pub struct Board {
    size: Size,
    setup: BoardSetup,
    letters: Lettering,
    /// What stands on the frame; none before the first painting.
    shown: Option<Plan>,
    /// The tiles of the page that stands, or stood last, lit and not; a page of nine at 3840×2160
    /// takes 60 million bytes.
    kept: Vec<Kept>,
}

/// A painted tile.
struct Kept {
    part: Part,
    /// Size of its place, upright.
    size: Size,
    image: Image,
}

impl Kept {
    fn is(&self, part: &Part, size: Size) -> bool {
        self.size == size && self.part == *part
    }
}

/// What a painting changed on the frame.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Damage {
    /// Disjoint rectangles of the frame; all of it after a change of page or size.
    pub rects: Vec<Rect>,
}

impl Damage {
    /// Nothing changed.
    pub fn is_empty(&self) -> bool {
        self.rects.is_empty()
    }

    /// Bytes that an upload of just these rectangles takes.
    pub fn bytes(&self) -> u64 {
        self.rects.iter().map(|rect| rect.bytes()).sum()
    }
}

impl Board {
    /// A board for a frame of this many physical pixels. Reads its fonts, which are built in.
    pub fn new(width_px: u32, height_px: u32, setup: BoardSetup) -> Self {
        let size = Size { width: width_px, height: height_px };
        Self { size, setup, letters: Lettering::new(), shown: None, kept: Vec::new() }
    }

    /// The frame has another size, or is another one of the same size: all is painted anew.
    pub fn resize(&mut self, width_px: u32, height_px: u32) {
        self.size = Size { width: width_px, height: height_px };
        self.shown = None;
        self.kept.clear();
    }

    /// Paints what changed since the last scene into the same frame, four bytes a pixel (red, green,
    /// blue, alpha), row by row. Paints nothing into a frame that is not of the size of the board.
    pub fn paint(&mut self, scene: &Scene, frame: &mut [u8]) -> Damage {
        if frame.len() as u64 != Rect::new(0, 0, self.size.width, self.size.height).bytes() {
            return Damage::default();
        }
        let plan = self.plan(scene);
        let damage = match self.shown.take() {
            Some(shown) if shown.stands_like(&plan) => self.paint_changes(&shown, &plan, frame),
            _ => self.paint_all(&plan, frame),
        };
        self.shown = Some(plan);
        damage
    }

    /// Paints both states of every tile of this page ahead, so that the coming steps only copy, and
    /// drops the tiles of other pages: what is kept does not grow with the pages and states shown.
    /// For the time when a frame has just been handed to the screen; `paint` does not depend on it.
    pub fn prepare(&mut self) {
        let Some(shown) = &self.shown else { return };
        let states: Vec<(Part, Size)> = shown
            .parts
            .iter()
            .filter_map(|(rect, part)| match part {
                Part::Tile(tile, page) => Some((rect.size(), tile, *page)),
                _ => None,
            })
            .flat_map(|(size, tile, page)| {
                [false, true].map(|lit| (Part::Tile(Tile { lit, ..tile.clone() }, page), size))
            })
            .collect();
        // A page of words comes between two pages of tiles that are often the same.
        if states.is_empty() {
            return;
        }
        self.kept.retain(|kept| states.iter().any(|(part, size)| kept.is(part, *size)));
        for (part, size) in &states {
            self.keep(part, *size);
        }
    }

    /// Bytes of the tiles painted ahead.
    pub fn kept_bytes(&self) -> usize {
        self.kept.iter().map(|kept| kept.image.byte_count()).sum()
    }

    /// Whether the words of this scene can be read from the bed, and how many tiles could be.
    pub fn legibility(&mut self, scene: &Scene) -> Legibility {
        reading::judge(scene, &self.setup, self.size, &mut self.letters)
    }

    fn plan(&mut self, scene: &Scene) -> Plan {
        Plan::new(scene, &Ground::new(&self.setup, self.size), &mut self.letters)
    }

    fn paint_all(&mut self, plan: &Plan, frame: &mut [u8]) -> Damage {
        let ground = self.setup.look.theme().background;
        let pixel = [ground.r, ground.g, ground.b, 255];
        frame.chunks_exact_mut(4).for_each(|place| place.copy_from_slice(&pixel));
        for (rect, part) in &plan.parts {
            self.paint_part(*rect, part, frame);
        }
        Damage { rects: vec![Rect::new(0, 0, self.size.width, self.size.height)] }
    }

    fn paint_changes(&mut self, shown: &Plan, plan: &Plan, frame: &mut [u8]) -> Damage {
        let pairs = shown.parts.iter().zip(&plan.parts);
        let changed = pairs.filter(|(old, new)| old != new).map(|(_, new)| new);
        let rects = changed.map(|(rect, part)| self.paint_part(*rect, part, frame)).collect();
        Damage { rects }
    }

    /// Paints one part; returns its place on the frame.
    fn paint_part(&mut self, rect: Rect, part: &Part, frame: &mut [u8]) -> Rect {
        let (size, turn) = (self.size, self.setup.turn);
        let place = rect.turned(turn.upright(size), turn);
        if matches!(part, Part::Tile(..)) {
            let at = self.keep(part, rect.size());
            self.kept[at].image.copy_to(frame, size, place.x, place.y);
        } else {
            self.image(part, rect.size()).copy_to(frame, size, place.x, place.y);
        }
        place
    }

    /// Where the painted tile is kept; paints it if it is not.
    fn keep(&mut self, part: &Part, size: Size) -> usize {
        if let Some(at) = self.kept.iter().position(|kept| kept.is(part, size)) {
            return at;
        }
        let image = self.image(part, size);
        self.kept.push(Kept { part: part.clone(), size, image });
        self.kept.len() - 1
    }

    fn image(&mut self, part: &Part, size: Size) -> Image {
        let needed = self.setup.viewing().font_px(self.size.width);
        Image::turned(part.picture(size, &mut self.letters, needed, self.setup.look.theme()), self.setup.turn)
    }
}

/// The picture of one scene, to be looked at without a screen; `encode_png` and `save_png` write it.
pub fn picture(scene: &Scene, width_px: u32, height_px: u32, setup: &BoardSetup) -> tiny_skia::Pixmap {
    let mut map = blank(width_px, height_px, setup.look.theme().background);
    Board::new(map.width(), map.height(), *setup).paint(scene, map.data_mut());
    map
}
