//! The cue above the page, the mark after a press, the line at the foot, and the field that is touched.

use tiny_skia::Pixmap;

use super::icons;
use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen};
use super::text::{Align, Words};
use super::theme::Theme;
use crate::session::scene::{Cue, Note};

/// Up to so many trials are shown as dots, more as a number.
const DOTS: u32 = 12;

/// How large the words of a cue are wanted, as a share of the height of its band.
const CUE_WANTED: f32 = 0.46;

/// Font size of the words of a cue, px: the largest that fits, and how wide its picture is.
pub(super) fn cue_size(letters: &mut Lettering, cue: &Cue, area: Area, needed: f32) -> f32 {
    let words = words_beside(area, cue);
    Words::new(letters, &cue.text, Face::Bold).size_in(words.width, words.height, wanted(area, needed), 2).0
}

fn wanted(area: Area, needed: f32) -> f32 {
    (CUE_WANTED * area.height).max(needed)
}

fn picture(area: Area) -> Area {
    let side = (0.72 * area.height).min(area.width / 3.0);
    Area::new(area.x, area.y + (area.height - side) / 2.0, side, side)
}

fn words_beside(area: Area, cue: &Cue) -> Area {
    let taken = if cue.icon.is_some() { picture(area).width + 0.22 * area.height } else { 0.0 };
    Area::new(area.x + taken, area.y, (area.width - taken).max(0.0), area.height)
}

pub(super) fn cue(map: &mut Pixmap, letters: &mut Lettering, cue: &Cue, needed: f32, theme: &Theme) {
    let area = Area::of(map);
    if let Some(icon) = &cue.icon {
        icons::paint(map, letters, icon, picture(area), theme.text);
    }
    let words = words_beside(area, cue);
    let block = Words::new(letters, &cue.text, Face::Bold).fit(words.width, words.height, wanted(area, needed), 2);
    block.paint(map, letters, words, Align::Left, theme.text);
}

/// A ring with a dot: neither good nor bad.
pub(super) fn answered(map: &mut Pixmap, theme: &Theme) {
    let area = Area::of(map);
    let (x, y) = (area.x + area.width - area.shorter() * 0.36, area.y + area.height / 2.0);
    let radius = 0.30 * area.shorter();
    let mut pen = Pen::new(map);
    pen.circle(x, y, radius, 0.22 * radius, theme.quiet_text);
    pen.disc(x, y, 0.45 * radius, theme.quiet_text);
}

/// What stands on the field that is touched. It asks for nothing: the field stands there in a pause too.
const FIELD: &str = "Your switch";

/// A field unlike any tile: hollow, with a thick line round it that never changes.
pub(super) fn field(map: &mut Pixmap, letters: &mut Lettering, needed: f32, theme: &Theme) {
    let area = Area::of(map);
    let panel = area.inset(0.08 * area.height);
    let (line, radius) = ((0.05 * area.height).max(2.0), 0.25 * area.height);
    let mut pen = Pen::new(map);
    pen.panel(panel, radius, theme.accent);
    pen.panel(panel.inset(line), radius - line, theme.background);
    let room = panel.inset(2.0 * line);
    let block =
        Words::new(letters, FIELD, Face::Bold).fit(room.width, room.height, (0.32 * area.height).max(needed), 1);
    block.paint(map, letters, room, Align::Middle, theme.text);
}

/// What is left, as dots or a number; beside it the line for the clinician.
pub(super) fn foot(map: &mut Pixmap, letters: &mut Lettering, left: Option<u32>, note: Option<&Note>, theme: &Theme) {
    let area = Area::of(map);
    if let Some(note) = note.filter(|note| note.urgent) {
        return urgent(map, letters, note, theme);
    }
    let size = 0.56 * area.height;
    let taken = left.map_or(0.0, |left| progress(map, letters, left, size, theme) + area.height);
    if let Some(note) = note {
        let words = Words::new(letters, &note.text, Face::Regular);
        let room = Area::new(area.x + taken, area.y, (area.width - taken).max(0.0), area.height);
        // At the right edge, so that it stays where it is whatever is left.
        words.fit(room.width, room.height, size, 2).paint(map, letters, room, Align::Right, theme.quiet_text);
    }
}

/// Paints what is left; returns the width it takes.
fn progress(map: &mut Pixmap, letters: &mut Lettering, left: u32, size: f32, theme: &Theme) -> f32 {
    let area = Area::of(map);
    if left <= DOTS {
        let (radius, step) = (0.15 * area.height, 0.58 * area.height);
        let mut pen = Pen::new(map);
        (0..left).for_each(|k| pen.disc(radius + k as f32 * step, area.height / 2.0, radius, theme.quiet_text));
        return left as f32 * step;
    }
    let words = Words::new(letters, &format!("{left} left"), Face::Regular);
    words.fit(area.width / 2.0, area.height, size, 1).paint(map, letters, area, Align::Left, theme.quiet_text);
    words.one_line(size)
}

fn urgent(map: &mut Pixmap, letters: &mut Lettering, note: &Note, theme: &Theme) {
    let area = Area::of(map);
    Pen::new(map).panel(area, 0.25 * area.height, theme.urgent);
    let side = 0.68 * area.height;
    let gap = (area.height - side) / 2.0;
    icons::paint_urgent(map, letters, Area::new(area.x + 2.0 * gap, area.y + gap, side, side), theme.urgent_text);
    let from = side + 4.0 * gap;
    let room = Area::new(area.x + from, area.y, (area.width - from - 2.0 * gap).max(0.0), area.height);
    let words = Words::new(letters, &note.text, Face::Bold);
    words.fit(room.width, room.height, 0.62 * area.height, 2).paint(map, letters, room, Align::Left, theme.urgent_text);
}
