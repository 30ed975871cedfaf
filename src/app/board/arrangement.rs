//! How picture and words stand on a tile: alike on all tiles of a page, words first.

use super::frame::{Rect, Size};
use super::layout::cell_size;
use super::lettering::{Face, Lettering};
use super::shapes::Area;
use super::text::{Block, Words};
use super::theme::proportions::{BORDER, CHEVRON, PADDING, SEAM};

/// A tile whose inside is at least so many times as wide as high has its picture beside the words.
const WIDE: f32 = 2.0;

/// The most tiles that are ever counted.
const MOST_TILES: usize = 36;

/// Where the picture stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Place {
    Above,
    Beside,
    /// No room for it.
    Nowhere,
}

/// One way to divide a tile.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Division {
    place: Place,
    /// Of the picture, of the height.
    share: f32,
    most_lines: usize,
    /// How large words are wanted, as a share of the shorter side.
    wanted: f32,
}

const fn division(place: Place, share: f32, most_lines: usize, wanted: f32) -> Division {
    Division { place, share, most_lines, wanted }
}

/// From the largest picture to none.
const UPRIGHT: [Division; 4] = [
    division(Place::Above, 0.46, 2, 0.19),
    division(Place::Above, 0.32, 2, 0.19),
    division(Place::Above, 0.24, 3, 0.19),
    division(Place::Nowhere, 0.0, 3, 0.19),
];
const LYING: [Division; 4] = [
    division(Place::Beside, 0.66, 2, 0.26),
    division(Place::Beside, 0.45, 2, 0.26),
    division(Place::Above, 0.32, 2, 0.24),
    division(Place::Nowhere, 0.0, 3, 0.26),
];

/// The arrangement of one page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arrangement {
    division: Division,
    /// The most lines that any tile of the page has.
    lines: usize,
    /// Font size of all words on the page, px.
    pub size: f32,
}

impl Arrangement {
    /// The one with the largest picture among those whose words are all large enough; if there is
    /// none, the one with the largest words.
    pub fn of(tile: Size, labels: &[Words], needed: f32) -> Self {
        let inside = inside(tile);
        let divisions = if inside.width >= WIDE * inside.height { LYING } else { UPRIGHT };
        let all = divisions.map(|division| Self::with(division, inside, labels, needed));
        // Words a little smaller than wanted are worth a larger picture, as long as they can be read.
        let ample = |one: &&Self| one.size >= needed.max(0.6 * one.wanted(inside, needed));
        let readable = |one: &&Self| one.size >= needed;
        let largest = || all.iter().max_by(|a, b| a.size.total_cmp(&b.size));
        *all.iter().find(ample).or(all.iter().find(readable)).or(largest()).unwrap_or(&all[0])
    }

    fn with(division: Division, inside: Area, labels: &[Words], needed: f32) -> Self {
        let mut arrangement = Self { division, lines: 1, size: 0.0 };
        let (_, box_) = arrangement.split(inside);
        let within = |label: &Words, want: f32| label.size_in(box_.width, box_.height, want, division.most_lines);
        let want = arrangement.wanted(inside, needed);
        arrangement.size = labels.iter().map(|label| within(label, want).0).fold(want, f32::min);
        arrangement.lines = labels.iter().map(|label| within(label, arrangement.size).1).max().unwrap_or(1);
        arrangement
    }

    fn wanted(&self, inside: Area, needed: f32) -> f32 {
        (self.division.wanted * inside.shorter()).max(needed)
    }

    /// The square of the picture and the box of the words.
    fn split(&self, inside: Area) -> (Area, Area) {
        let Area { x, y, width, height } = inside;
        let side = (self.division.share * height).min(0.56 * width);
        let (gap, mark) = (0.08 * height, 2.0 * CHEVRON * inside.shorter());
        match self.division.place {
            Place::Above => (
                Area::new(x + (width - side) / 2.0, y, side, side),
                Area::new(x, y + side + gap, width, (height - side - gap).max(0.0)),
            ),
            Place::Beside => (
                Area::new(x + 0.6 * gap, y + (height - side) / 2.0, side, side),
                Area::new(x + side + 2.4 * gap, y, (width - side - 2.4 * gap - mark).max(0.0), height),
            ),
            Place::Nowhere => {
                (Area::new(x, y, 0.0, 0.0), Area::new(x + mark, y, (width - 2.0 * mark).max(0.0), height))
            }
        }
    }

    /// Where picture and words of one tile stand.
    pub fn place(&self, tile: Size, letters: &mut Lettering, label: &str, has_icon: bool) -> Placed {
        let inside = inside(tile);
        let words = Words::new(letters, label, Face::Bold);
        let (square, area) = self.split(inside);
        if !has_icon {
            return Placed { square: Area::new(0.0, 0.0, 0.0, 0.0), area: inside, block: self.set(&words, inside) };
        }
        let block = self.set(&words, area);
        if block.lines.is_empty() {
            return Placed { square: inside.square((1.25 * square.width).min(0.8 * inside.shorter())), area, block };
        }
        match self.division.place {
            Place::Above => self.centred(square, area, block),
            _ => Placed { square, area, block },
        }
    }

    fn set(&self, words: &Words, area: Area) -> Block {
        words.fit(area.width, area.height, self.size, self.division.most_lines)
    }

    /// Picture and words together in the middle, at one height on all tiles of a page.
    fn centred(&self, square: Area, area: Area, block: Block) -> Placed {
        let height = (self.size * (0.95 + 1.2 * (self.lines - 1) as f32)).min(area.height);
        let spare = (area.height - height) / 2.0;
        let square = Area { y: square.y + spare, ..square };
        Placed { square, area: Area { y: area.y + spare, height, ..area }, block }
    }
}

/// Where one tile's picture and words stand.
pub(super) struct Placed {
    pub square: Area,
    pub area: Area,
    pub block: Block,
}

impl Placed {
    /// The words stand to the right of the picture.
    pub fn is_beside(&self) -> bool {
        self.square.width > 0.0 && self.area.x > self.square.x + self.square.width
    }
}

/// What border, seam and padding leave of a tile.
pub(super) fn inside(tile: Size) -> Area {
    let area = Area::new(0.0, 0.0, tile.width as f32, tile.height as f32);
    area.inset((BORDER + SEAM + PADDING) * area.shorter())
}

/// The most tiles that fit with picture and readable words.
pub(super) fn largest_count(body: Rect, gap: u32, labels: &[Words], needed: f32) -> usize {
    let fits = |count: usize| {
        (1..=count).any(|columns| {
            let size = cell_size(body, columns, count.div_ceil(columns), gap);
            let arrangement = Arrangement::of(size, labels, needed);
            arrangement.size >= needed && arrangement.division.place != Place::Nowhere
        })
    };
    (1..=MOST_TILES).rev().find(|count| fits(*count)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(width: u32, height: u32, labels: &[&str], needed: f32) -> Arrangement {
        let mut letters = Lettering::new();
        let words: Vec<Words> = labels.iter().map(|label| Words::new(&mut letters, label, Face::Bold)).collect();
        Arrangement::of(Size { width, height }, &words, needed)
    }

    #[test]
    fn words_come_before_the_picture() {
        let easy = page(400, 270, &["Lamp", "Front door"], 20.0);
        assert_eq!((easy.division.place, easy.lines), (Place::Above, 1));
        let far = page(400, 270, &["Close the left bedroom curtain"], 60.0);
        assert!(far.division.share < easy.division.share, "{far:?}");
        assert_eq!(page(700, 200, &["Lamp"], 20.0).division.place, Place::Beside);
    }

    #[test]
    fn words_never_shrink_below_what_is_needed_where_any_arrangement_holds_them() {
        for needed in [12.0, 30.0, 45.0] {
            assert!(page(400, 270, &["Television", "Light and warmth"], needed).size >= needed);
        }
    }

    #[test]
    fn fewer_tiles_fit_when_letters_must_be_larger() {
        let mut letters = Lettering::new();
        let words = [Words::new(&mut letters, "Light and warmth", Face::Bold)];
        let body = Rect::new(0, 0, 1_236, 560);
        let counts = [20.0, 40.0, 80.0, 160.0, 900.0].map(|needed| largest_count(body, 16, &words, needed));
        assert!(counts.windows(2).all(|pair| pair[0] >= pair[1]) && counts[0] > 9 && counts[4] == 0, "{counts:?}");
    }
}
