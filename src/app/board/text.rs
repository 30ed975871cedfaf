//! Words set into a box: at most so many lines, as large as wanted where they fit, smaller where
//! they do not. Never cut, never hyphenated: meaning goes before size.

use tiny_skia::Pixmap;

use super::colour::Colour;
use super::legibility::CAPITAL;
use super::lettering::{Face, Lettering};
use super::shapes::Area;

/// From one baseline to the next, as a share of the font size.
const LINE: f32 = 1.2;

/// Room below the last baseline, as a share of the font size.
const BELOW: f32 = 0.24;

/// The most lines that [`Words::fit`] sets.
const MOST_LINES: usize = 3;

/// Which edge lines share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Align {
    Left,
    Right,
    Middle,
}

/// The words of a text and how wide they are at size 1.
pub(super) struct Words {
    words: Vec<String>,
    /// Where each word starts and ends when all stand in one line.
    places: Vec<(f32, f32)>,
    /// The narrowest boxes at size 1 that hold the text in at most one, two, three lines.
    narrowest: [f32; MOST_LINES],
    face: Face,
}

impl Words {
    pub fn new(letters: &mut Lettering, text: &str, face: Face) -> Self {
        let space = letters.line(" ", face).width(1.0);
        let words: Vec<String> = text.split_whitespace().map(str::to_owned).collect();
        let mut at = 0.0;
        let mut place = |word: &String| {
            let (start, end) = (at, at + letters.line(word, face).width(1.0));
            at = end + space;
            (start, end)
        };
        let places = words.iter().map(&mut place).collect();
        let mut all = Self { words, places, narrowest: [0.0; MOST_LINES], face };
        all.narrowest = std::array::from_fn(|at| all.narrowest_in(at + 1));
        all
    }

    /// Where lines end when each takes as many words as fit `width` at size 1.
    fn ends(&self, width: f32) -> Vec<usize> {
        let (mut ends, mut from) = (Vec::new(), 0);
        for at in 1..self.words.len() {
            if self.places[at].1 - self.places[from].0 > width {
                from = at;
                ends.push(at);
            }
        }
        if !self.words.is_empty() {
            ends.push(self.words.len());
        }
        ends
    }

    fn narrowest_in(&self, lines: usize) -> f32 {
        let (mut low, mut high) = (self.longest(), self.one_line(1.0));
        if self.ends(low).len() <= lines {
            return low;
        }
        for _ in 0..24 {
            let middle = (low + high) / 2.0;
            if self.ends(middle).len() <= lines { high = middle } else { low = middle }
        }
        high
    }

    fn lines(&self, width: f32) -> Vec<String> {
        let mut from = 0;
        let mut line = |to: usize| self.words[std::mem::replace(&mut from, to)..to].join(" ");
        self.ends(width).into_iter().map(&mut line).collect()
    }

    /// The largest size up to `want` at which at most `most` lines fit the box, and how many lines.
    pub fn size_in(&self, width: f32, height: f32, want: f32, most: usize) -> (f32, usize) {
        let mut best = (0.0, 1);
        for lines in 1..=most.min(MOST_LINES).min(self.words.len()).max(1) {
            let size = want.min(width / self.narrowest[lines - 1].max(1e-3)).min(height / block_height(lines));
            // A line more only for larger letters.
            if size > best.0 * 1.0001 {
                best = (size, lines);
            }
        }
        best
    }

    /// The text in a box, as [`Words::size_in`] says.
    pub fn fit(&self, width: f32, height: f32, want: f32, most: usize) -> Block {
        let (size, lines) = self.size_in(width, height, want, most);
        Block { lines: self.lines(self.narrowest[lines - 1] + 1e-4), size, face: self.face }
    }

    /// The text in lines of this width and size, as many as it takes.
    pub fn flow(&self, width: f32, size: f32) -> Block {
        Block { lines: self.lines(width / size), size, face: self.face }
    }

    /// Width at this size when set in one line.
    pub fn one_line(&self, size: f32) -> f32 {
        self.places.last().map_or(0.0, |(_, end)| end * size)
    }

    /// Width of the longest word at size 1.
    pub fn longest(&self) -> f32 {
        self.places.iter().map(|(start, end)| end - start).fold(0.0, f32::max)
    }
}

fn block_height(lines: usize) -> f32 {
    CAPITAL + BELOW + (lines.max(1) - 1) as f32 * LINE
}

/// Lines of one size.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Block {
    pub lines: Vec<String>,
    pub size: f32,
    face: Face,
}

impl Block {
    /// From the top of the first capital to below the last line, px.
    pub fn height(&self) -> f32 {
        block_height(self.lines.len()) * self.size
    }

    /// Paints it, upright in the middle of the height of the area.
    pub fn paint(&self, map: &mut Pixmap, letters: &mut Lettering, area: Area, align: Align, colour: Colour) {
        // The eye takes the letters from capital to baseline as the middle, without what hangs below.
        let inked = (CAPITAL + (self.lines.len().max(1) - 1) as f32 * LINE) * self.size;
        let mut baseline = area.y + (area.height - inked) / 2.0 + CAPITAL * self.size;
        for text in &self.lines {
            let line = letters.line(text, self.face);
            let x = match align {
                Align::Left => area.x,
                Align::Right => area.x + area.width - line.width(self.size),
                Align::Middle => area.x + (area.width - line.width(self.size)) / 2.0,
            };
            line.paint(map, x, baseline, self.size, colour);
            baseline += LINE * self.size;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fit(text: &str, width: f32, height: f32, most: usize) -> Block {
        Words::new(&mut Lettering::new(), text, Face::Bold).fit(width, height, 20.0, most)
    }

    #[test]
    fn lines_are_even_and_no_wider_than_the_box() {
        let mut letters = Lettering::new();
        let block = fit("Turn the ceiling lamp on, please.", 190.0, 100.0, 2);
        assert_eq!(block.lines, ["Turn the ceiling", "lamp on, please."]);
        for line in &block.lines {
            assert!(letters.line(line, Face::Bold).width(block.size) <= 190.5, "{line}");
        }
    }

    #[test]
    fn no_word_is_lost_or_broken_however_small_the_box() {
        for text in ["Donaudampfschifffahrt", "a b c d e f g h", "Close the left bedroom curtain"] {
            let block = fit(text, 30.0, 20.0, 3);
            assert_eq!(block.lines.join(" "), text);
            assert!(block.size > 0.0 && block.height() <= 20.01, "{block:?}");
        }
    }

    #[test]
    fn what_fits_one_line_stays_on_one_line_at_the_wanted_size() {
        let block = fit("Back", 400.0, 100.0, 2);
        assert_eq!((block.lines.len(), block.size), (1, 20.0));
        assert!(fit("", 400.0, 100.0, 2).lines.is_empty());
    }
}
