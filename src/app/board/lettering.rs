//! Letters: shaped as outlines, measured once, painted at any size.
//!
//! Lines are shaped by cosmic-text, so Arabic joins, Devanagari forms its clusters and missing
//! letters come from another font. An outline is kept at one size and scaled, so letters are
//! crisp at every resolution and every width is proportional to the font size.

use std::collections::HashMap;
use std::sync::Arc;

use cosmic_text::fontdb::{Database, Source};
use cosmic_text::{
    Attrs, Buffer, CacheKeyFlags, Command, Family, FontSystem, LayoutGlyph, Metrics, Shaping, SwashCache, Weight, Wrap,
};
use tiny_skia::{FillRule, Path, PathBuilder, Pixmap, Transform};

use super::colour::Colour;
use super::setup::Fonts;
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
    /// Where a cluster of letters ends: byte in the text, and width up to there at size 1.
    ends: Vec<(usize, f32)>,
    /// A letter that no font has.
    pub missing: bool,
}

impl Line {
    /// Its width at this font size, px.
    pub fn width(&self, size: f32) -> f32 {
        self.width * size
    }

    /// What is inked at this font size: left, top, right, bottom, from the start of the baseline.
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
    may_ask_system: bool,
}

impl Lettering {
    pub fn new(fonts: Fonts) -> Self {
        let mut database = Database::new();
        for bytes in [
            notosans::REGULAR_TTF,
            notosans::BOLD_TTF,
            // Hebrew, Arabic, Armenian, Georgian and signs, which the first font lacks.
            dejavu::sans::regular(),
            dejavu::sans::bold(),
            lucide_icons::LUCIDE_FONT_BYTES,
        ] {
            database.load_font_source(Source::Binary(Arc::new(bytes)));
        }
        Self {
            fonts: FontSystem::new_with_locale_and_db("en-GB".into(), database),
            scaler: SwashCache::new(),
            lines: HashMap::new(),
            may_ask_system: fonts == Fonts::BuiltInThenSystem,
        }
    }

    /// Shapes one line; line breaks count as spaces.
    pub fn line(&mut self, text: &str, face: Face) -> Arc<Line> {
        let key = (face, text.replace(char::is_control, " "));
        if let Some(line) = self.lines.get(&key) {
            return line.clone();
        }
        let mut line = self.shape(&key.1, face);
        if line.missing && std::mem::take(&mut self.may_ask_system) {
            self.fonts.db_mut().load_system_fonts();
            line = self.shape(&key.1, face);
        }
        if self.lines.len() >= KEPT {
            self.lines.clear();
        }
        let line = Arc::new(line);
        self.lines.insert(key, line.clone());
        line
    }

    fn shape(&mut self, text: &str, face: Face) -> Line {
        let mut buffer = Buffer::new(&mut self.fonts, Metrics::new(KEPT_AT, KEPT_AT * LINE));
        buffer.set_wrap(Wrap::None);
        buffer.set_text(text, &attributes(face), Shaping::Advanced, None);
        buffer.shape_until_scroll(&mut self.fonts, false);
        let mut path = PathBuilder::new();
        let (mut width, mut missing, mut ends) = (0.0_f32, false, Vec::new());
        for run in buffer.layout_runs() {
            width = width.max(run.line_w / KEPT_AT);
            ends = cluster_ends(run.glyphs);
            for glyph in run.glyphs {
                missing |= glyph.glyph_id == 0;
                self.outline(glyph, &mut path);
            }
        }
        Line { path: path.finish(), width, ends, missing }
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

    /// Width of a line at size 1.
    pub fn unit_width(&mut self, text: &str, face: Face) -> f32 {
        self.line(text, face).width
    }

    /// The longest start of `text` that fits `width`, in bytes; at least one cluster.
    fn fitting(&mut self, text: &str, face: Face, size: f32, width: f32) -> usize {
        let line = self.line(text, face);
        let fit = line.ends.iter().take_while(|(_, end)| end * size <= width).last();
        fit.or(line.ends.first()).map_or(text.len(), |(byte, _)| *byte).max(1)
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

/// In reading order; the width is what the clusters up to there take together.
fn cluster_ends(glyphs: &[LayoutGlyph]) -> Vec<(usize, f32)> {
    let mut order: Vec<_> = glyphs.iter().map(|glyph| (glyph.end, glyph.w / KEPT_AT)).collect();
    order.sort_by_key(|(end, _)| *end);
    let mut sum = 0.0;
    let mut ends: Vec<(usize, f32)> = Vec::with_capacity(order.len());
    for (end, width) in order {
        sum += width;
        match ends.last_mut() {
            Some(last) if last.0 == end => last.1 = sum,
            _ => ends.push((end, sum)),
        }
    }
    ends
}

/// Text broken into lines.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Broken {
    pub lines: Vec<String>,
    /// Nothing was left out and no word was broken.
    pub whole: bool,
}

/// The width that `text` needs at size 1 in at most two lines broken between words.
pub(super) fn two_line_width(letters: &mut Lettering, text: &str, face: Face) -> f32 {
    best_break(letters, text, face).map_or_else(|| letters.unit_width(text, face), |(_, width)| width)
}

fn best_break(letters: &mut Lettering, text: &str, face: Face) -> Option<(usize, f32)> {
    let breaks: Vec<usize> = text.match_indices(' ').map(|(at, _)| at).collect();
    breaks
        .into_iter()
        .map(|at| (at, letters.unit_width(&text[..at], face).max(letters.unit_width(&text[at + 1..], face))))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Breaks text into at most `most` lines of this width: two lines evenly, more from the left.
pub(super) fn break_lines(
    letters: &mut Lettering,
    text: &str,
    face: Face,
    size: f32,
    width: f32,
    most: usize,
) -> Broken {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if letters.unit_width(&text, face) * size <= width {
        return Broken { lines: vec![text], whole: true };
    }
    if most >= 2
        && let Some((at, needed)) = best_break(letters, &text, face)
        && needed * size <= width
    {
        return Broken { lines: vec![text[..at].to_owned(), text[at + 1..].to_owned()], whole: true };
    }
    fill_lines(letters, &text, face, size, width, most.max(1))
}

fn fill_lines(letters: &mut Lettering, text: &str, face: Face, size: f32, width: f32, most: usize) -> Broken {
    let (mut lines, mut rest, mut whole) = (Vec::new(), text, true);
    while !rest.is_empty() && lines.len() < most {
        let last = lines.len() + 1 == most;
        let end = letters.fitting(rest, face, size, width).min(rest.len());
        let (line, next, clean) = if end == rest.len() {
            (rest.to_owned(), "", true)
        } else if last {
            (shortened(letters, rest, face, size, width), "", false)
        } else {
            split(rest, end)
        };
        whole &= clean;
        lines.push(line);
        rest = next;
    }
    Broken { lines, whole }
}

fn split(text: &str, end: usize) -> (String, &str, bool) {
    if text[end..].starts_with(' ') {
        return (text[..end].to_owned(), &text[end + 1..], true);
    }
    match text[..end].rfind(' ') {
        Some(at) => (text[..at].to_owned(), &text[at + 1..], true),
        None => (text[..end].to_owned(), &text[end..], false),
    }
}

fn shortened(letters: &mut Lettering, text: &str, face: Face, size: f32, width: f32) -> String {
    let dots = letters.unit_width("…", face) * size;
    let end = letters.fitting(text, face, size, (width - dots).max(0.0)).min(text.len());
    format!("{}…", text[..end].trim_end())
}

#[cfg(test)]
mod tests {
    use super::super::legibility::CAPITAL;
    use super::*;

    fn built_in() -> Lettering {
        Lettering::new(Fonts::BuiltIn)
    }

    #[test]
    fn capitals_are_as_tall_as_the_legibility_rule_says() {
        for face in [Face::Bold, Face::Regular] {
            let (_, top, _, bottom) = built_in().line("H", face).ink(1_000.0).unwrap();
            assert!(((bottom - top) / 1_000.0 - CAPITAL).abs() < 0.002, "{face:?} {}", bottom - top);
        }
    }

    #[test]
    fn arabic_letters_join() {
        let mut letters = built_in();
        let word = letters.line("مصباح", Face::Bold);
        let apart: f32 = "مصباح".chars().map(|letter| letters.unit_width(&letter.to_string(), Face::Bold)).sum();
        assert!(!word.missing);
        assert!(word.width(1.0) < 0.9 * apart, "{} of {apart}", word.width(1.0));
    }

    #[test]
    fn letters_without_a_font_are_reported() {
        assert!(built_in().line("\u{1F9D1}\u{10000}", Face::Bold).missing);
        assert!(!built_in().line("Straße, Übergröße, Žižkov, Ελλάδα, Привет", Face::Bold).missing);
    }

    #[test]
    fn two_lines_are_even_and_long_words_are_broken_last() {
        let mut letters = built_in();
        let two = break_lines(&mut letters, "the big red lamp", Face::Bold, 10.0, 55.0, 2);
        assert_eq!((two.lines.len(), two.whole), (2, true));
        let long = break_lines(&mut letters, "Donaudampfschifffahrt", Face::Bold, 10.0, 55.0, 4);
        assert!(!long.whole && long.lines.concat() == "Donaudampfschifffahrt", "{long:?}");
        let cut = break_lines(&mut letters, "Donaudampfschifffahrt", Face::Bold, 10.0, 55.0, 1);
        assert!(!cut.whole && cut.lines[0].ends_with('…'));
    }

    #[test]
    fn no_line_is_wider_than_it_may_be() {
        let mut letters = built_in();
        for width in [20.0, 33.0, 70.0, 200.0] {
            let broken = break_lines(&mut letters, "Turn the ceiling lamp on, please.", Face::Bold, 12.0, width, 6);
            for line in &broken.lines {
                assert!(letters.unit_width(line, Face::Bold) * 12.0 <= width + 0.01, "{line} in {width}");
            }
        }
    }
}
