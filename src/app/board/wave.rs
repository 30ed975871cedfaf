//! The waveform of a level: a line around rest, and its thresholds by name.

use tiny_skia::Pixmap;

use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen};
use super::text::{Align, Words};
use super::theme::Theme;
use crate::switch_check::Wave;

/// Width of the line, px.
const LINE: f32 = 2.0;

pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, wave: &Wave, track: Area, theme: &Theme) {
    let height = |thousandth: i16| track.y + 0.5 * track.height * (1.0 - f32::from(thousandth) / 1_000.0);
    let across = |at: f32| [(track.x, at), (track.x + track.width, at)];
    let mut pen = Pen::new(map);
    pen.panel(track, 0.0, theme.tile);
    pen.line(&across(height(0)), 1.0, theme.tile_edge);
    for threshold in &wave.thresholds {
        pen.line(&across(height(threshold.at)), 1.0, theme.urgent);
    }
    let corner = |(x, y): &(u16, i16)| (track.x + track.width * f32::from(*x) / 1_000.0, height(*y));
    let points: Vec<(f32, f32)> = wave.points.iter().map(corner).collect();
    if points.len() > 1 {
        pen.line(&points, LINE, theme.accent);
    }
    let size = 0.1 * track.height;
    for threshold in &wave.thresholds {
        let words = Words::new(letters, threshold.name, Face::Regular).fit(0.1 * track.width, size, size, 1);
        let area = Area::new(track.x + 0.4 * size, height(threshold.at) - size, 0.1 * track.width, size);
        words.paint(map, letters, area, Align::Left, theme.quiet_text);
    }
}
