//! Letters: shaped as outlines, measured once, painted at any size.
//!
//! Lines are shaped by cosmic-text. An outline is kept at one size and scaled, so letters are crisp
//! at every resolution and every width is proportional to the font size.
//!
//! The font is Noto Sans, bold for what the client reads, embedded: pictures are the same on every
//! computer, and no font of the system is ever read. It covers Latin, Greek and Cyrillic letters;
//! others are reported as missing. Why this one, against DejaVu Sans Bold (both measured from their
//! outlines; lengths in heights of a small `x` or a capital):
//!
//! | | Noto Sans Bold | DejaVu Sans Bold | Noto Sans Regular |
//! |---|---|---|---|
//! | stem / x-height | 0.27 | 0.32 | 0.16 |
//! | x-height / capital | 0.76 | 0.75 | 0.75 |
//! | "Close the curtain" / capital | 11.9 | 13.2 | 11.1 |
//! | capital I / stem (told from l by its feet) | 2.2 | 1.1 | 2.9 |
//! | bytes | 204 k | 706 k | 203 k |
//!
//! At the same height of a capital, which is what the legibility rule counts, its words are a tenth
//! narrower, so more tiles are large enough; its counters stay open; I, l and 1 differ.

use std::collections::HashMap;
use std::sync::Arc;

use cosmic_text::fontdb::{Database, Source};
use cosmic_text::{
    Attrs, Buffer, CacheKeyFlags, Command, Family, FontSystem, LayoutGlyph, Metrics, Shaping, SwashCache, Weight, Wrap,
};
use tiny_skia::{FillRule, Path, PathBuilder, Pixmap, Transform};

use super::colour::Colour;
use super::shapes::paint;

/// Distance from one line to the next, as a share of the font size.
pub(super) const LINE: f32 = 1.2;

/// The size at which outlines are kept, px.
const KEPT_AT: f32 = 256.0;

/// How many outlines are kept before all are forgotten.
const KEPT: usize = 2_000;

/// Which letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Face {
    /// Labels, cues and titles.
    Bold,
    /// Lesser lines.
    Regular,
    /// The icon font.
    Icons,
}

/// One line of text as an outline, at [`KEPT_AT`], baseline at 0.
pub(super) struct Line {
    path: Option<Path>,
    width: f32,
    /// A letter that no font has.
    pub missing: bool,
}

impl Line {
    /// Its width at this font size, px.
    pub fn width(&self, size: f32) -> f32 {
        self.width * size
    }

    /// What is inked at this font size: left, top, right, bottom, from the start of the baseline.
    #[cfg(test)]
    pub fn ink(&self, size: f32) -> Option<(f32, f32, f32, f32)> {
        let scale = size / KEPT_AT;
        let bounds = self.path.as_ref()?.bounds();
        Some((bounds.left() * scale, bounds.top() * scale, bounds.right() * scale, bounds.bottom() * scale))
    }

    /// Paints it, the start of its baseline at `x`, `y`.
    pub fn paint(&self, map: &mut Pixmap, x: f32, y: f32, size: f32, colour: Colour) {
        let scale = size / KEPT_AT;
        if let Some(path) = &self.path {
            let at = Transform::from_row(scale, 0.0, 0.0, scale, x, y);
            map.fill_path(path, &paint(colour, 255), FillRule::Winding, at, None);
        }
    }
}

/// All fonts, and the lines shaped so far.
pub(super) struct Lettering {
    fonts: FontSystem,
    scaler: SwashCache,
    lines: HashMap<(Face, String), Arc<Line>>,
}

impl Lettering {
    pub fn new() -> Self {
        let mut database = Database::new();
        for bytes in [notosans::REGULAR_TTF, notosans::BOLD_TTF, lucide_icons::LUCIDE_FONT_BYTES] {
            database.load_font_source(Source::Binary(Arc::new(bytes)));
        }
        Self {
            fonts: FontSystem::new_with_locale_and_db("en-GB".into(), database),
            scaler: SwashCache::new(),
            lines: HashMap::new(),
        }
    }

    /// Shapes one line; line breaks count as spaces.
    pub fn line(&mut self, text: &str, face: Face) -> Arc<Line> {
        let key = (face, text.replace(char::is_control, " "));
        if let Some(line) = self.lines.get(&key) {
            return line.clone();
        }
        if self.lines.len() >= KEPT {
            self.lines.clear();
        }
        let line = Arc::new(self.shape(&key.1, face));
        self.lines.insert(key, line.clone());
        line
    }

    fn shape(&mut self, text: &str, face: Face) -> Line {
        let mut buffer = Buffer::new(&mut self.fonts, Metrics::new(KEPT_AT, KEPT_AT * LINE));
        buffer.set_wrap(Wrap::None);
        buffer.set_text(text, &attributes(face), Shaping::Advanced, None);
        buffer.shape_until_scroll(&mut self.fonts, false);
        let mut path = PathBuilder::new();
        let (mut width, mut missing) = (0.0_f32, false);
        for run in buffer.layout_runs() {
            width = width.max(run.line_w / KEPT_AT);
            for glyph in run.glyphs {
                missing |= glyph.glyph_id == 0;
                self.outline(glyph, &mut path);
            }
        }
        Line { path: path.finish(), width, missing }
    }

    fn outline(&mut self, glyph: &LayoutGlyph, path: &mut PathBuilder) {
        let x = glyph.x + glyph.x_offset * KEPT_AT;
        let y = glyph.y - glyph.y_offset * KEPT_AT;
        let key = glyph.physical((0.0, 0.0), 1.0).cache_key;
        let commands = self.scaler.get_outline_commands_uncached(&mut self.fonts, key);
        for command in commands.iter().flat_map(|all| all.iter()) {
            match *command {
                Command::MoveTo(p) => path.move_to(x + p.x, y - p.y),
                Command::LineTo(p) => path.line_to(x + p.x, y - p.y),
                Command::QuadTo(c, p) => path.quad_to(x + c.x, y - c.y, x + p.x, y - p.y),
                Command::CurveTo(c, d, p) => path.cubic_to(x + c.x, y - c.y, x + d.x, y - d.y, x + p.x, y - p.y),
                Command::Close => path.close(),
            }
        }
    }
}

fn attributes(face: Face) -> Attrs<'static> {
    let (family, weight) = match face {
        Face::Bold => ("Noto Sans", Weight::BOLD),
        Face::Regular => ("Noto Sans", Weight::NORMAL),
        Face::Icons => ("lucide", Weight::NORMAL),
    };
    Attrs::new().family(Family::Name(family)).weight(weight).cache_key_flags(CacheKeyFlags::DISABLE_HINTING)
}

#[cfg(test)]
mod tests {
    use super::super::legibility::CAPITAL;
    use super::*;

    #[test]
    fn capitals_are_as_tall_as_the_legibility_rule_says() {
        for face in [Face::Bold, Face::Regular] {
            let (_, top, _, bottom) = Lettering::new().line("H", face).ink(1_000.0).unwrap();
            assert!(((bottom - top) / 1_000.0 - CAPITAL).abs() < 0.002, "{face:?} {}", bottom - top);
        }
    }

    #[test]
    fn letters_without_a_font_are_reported() {
        let mut letters = Lettering::new();
        assert!(letters.line("\u{1F9D1}\u{10000}", Face::Bold).missing);
        assert!(!letters.line("Straße, Übergröße, Žižkov, Ελλάδα, Привет", Face::Bold).missing);
    }

    #[test]
    fn accents_stand_on_their_letters() {
        let mut letters = Lettering::new();
        let (joined, apart) =
            (letters.line("é", Face::Bold).width(1.0), letters.line("e\u{301}", Face::Bold).width(1.0));
        assert!((joined - apart).abs() < 1e-3, "{joined} {apart}");
    }
}
