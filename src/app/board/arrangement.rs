//! How picture and words stand on a tile: alike on all tiles of a page, words first.

use super::frame::Size;
use super::lettering::{Face, Lettering};
use super::shapes::Area;
use super::text::Words;
use super::theme::proportions::{BORDER, PADDING, SEAM};

/// How large words are wanted on a tile, as a share of its shorter side.
const WANTED: f32 = 0.17;

/// A tile at least so many times as wide as high has its picture beside the words.
const WIDE: f32 = 2.1;

/// Where the picture stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Place {
    Above,
    Beside,
    /// No room for it.
    Nowhere,
}

/// Where the picture stands, its share of the height, and the most lines of words.
type Candidate = (Place, f32, usize);

const UPRIGHT: [Candidate; 4] =
    [(Place::Above, 0.46, 2), (Place::Above, 0.32, 2), (Place::Above, 0.22, 3), (Place::Nowhere, 0.0, 3)];
const LYING: [Candidate; 4] =
    [(Place::Beside, 0.62, 2), (Place::Beside, 0.42, 2), (Place::Above, 0.32, 2), (Place::Nowhere, 0.0, 3)];

/// The arrangement of one page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arrangement {
    place: Place,
    share: f32,
    most_lines: usize,
    /// Font size of all words on the page, px.
    pub size: f32,
}

impl Arrangement {
    /// The one with the largest picture among those whose words are all large enough; if there is
    /// none, the one with the largest words.
    pub fn of(tile: Size, labels: &[Words], needed: f32) -> Self {
        let inside = inside(tile);
        let want = (WANTED * inside.shorter()).max(needed);
        let candidates = if inside.width >= WIDE * inside.height { LYING } else { UPRIGHT };
        let all = candidates.map(|candidate| Self::with(candidate, inside, labels, want));
        // Words a little smaller than wanted are worth a larger picture, as long as they can be read.
        let enough = |one: &&Self| one.size >= needed.max(0.6 * want);
        let readable = |one: &&Self| one.size >= needed;
        let largest = || all.iter().max_by(|a, b| a.size.total_cmp(&b.size));
        *all.iter().find(enough).or(all.iter().find(readable)).or(largest()).unwrap_or(&all[0])
    }

    fn with((place, share, most_lines): Candidate, inside: Area, labels: &[Words], want: f32) -> Self {
        let mut arrangement = Self { place, share, most_lines, size: want };
        let (_, words) = arrangement.split(inside);
        let sizes = labels.iter().map(|label| label.size_in(words.width, words.height, want, most_lines).0);
        arrangement.size = sizes.fold(want, f32::min);
        arrangement
    }

    /// The square of the picture and the box of the words.
    fn split(&self, inside: Area) -> (Area, Area) {
        let Area { x, y, width, height } = inside;
        let side = (self.share * height).min(width);
        let gap = 0.06 * height;
        match self.place {
            Place::Above => (
                Area::new(x + (width - side) / 2.0, y, side, side),
                Area::new(x, y + side + gap, width, (height - side - gap).max(0.0)),
            ),
            Place::Beside => (
                Area::new(x, y + (height - side) / 2.0, side, side),
                Area::new(x + side + 2.0 * gap, y, (width - side - 2.0 * gap).max(0.0), height),
            ),
            Place::Nowhere => (Area::new(x, y, 0.0, 0.0), inside),
        }
    }

    /// Square, box and words of one tile, picture and words together in the middle.
    pub fn place(&self, tile: Size, letters: &mut Lettering, label: &str, has_icon: bool) -> Placed {
        let inside = inside(tile);
        let words = Words::new(letters, label, Face::Bold);
        let (square, area) = if has_icon { self.split(inside) } else { (Area::new(0.0, 0.0, 0.0, 0.0), inside) };
        let block = words.fit(area.width, area.height, self.size, self.most_lines);
        if self.place != Place::Above || !has_icon || block.lines.is_empty() {
            let square = if block.lines.is_empty() { inside.square(square.width) } else { square };
            return Placed { square, area, block };
        }
        // Two lines everywhere or one: the pictures of a page stand at one height.
        let two_lines = (self.size * 2.2).min(area.height);
        let spare = ((area.height - two_lines) / 2.0).max(0.0);
        let square = Area { y: square.y + spare, ..square };
        let area = Area { y: area.y + spare, height: two_lines, ..area };
        Placed { square, area, block }
    }
}

/// Where one tile's picture and words stand.
pub(super) struct Placed {
    pub square: Area,
    pub area: Area,
    pub block: super::text::Block,
}

impl Placed {
    pub fn is_beside(&self) -> bool {
        self.square.width > 0.0 && self.area.x > self.square.x + self.square.width
    }
}

/// What border, seam and padding leave of a tile.
pub(super) fn inside(tile: Size) -> Area {
    let area = Area::new(0.0, 0.0, tile.width as f32, tile.height as f32);
    area.inset((BORDER + SEAM + PADDING) * area.shorter())
}

/// The most tiles, up to 36, that fit with picture and readable words.
pub(super) fn largest_count(body: super::frame::Rect, gap: u32, labels: &[Words], needed: f32) -> usize {
    let fits = |count: usize| {
        (1..=count).any(|columns| {
            let size = super::layout::cell_size(body, columns, count.div_ceil(columns), gap);
            let arrangement = Arrangement::of(size, labels, needed);
            arrangement.size >= needed && arrangement.place != Place::Nowhere
        })
    };
    (1..=36).rev().find(|count| fits(*count)).unwrap_or(0)
}
