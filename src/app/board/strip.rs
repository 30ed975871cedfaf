//! The moving strip of a switch check: rows of bars over a scale of seconds, and the finding below.

use tiny_skia::Pixmap;

use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen};
use super::text::{Align, Words};
use super::theme::Theme;
use super::wave;
use crate::switch_check::{Bar, Lane, SECONDS, Strip};

/// Share of the height that the rows take.
const ROWS: f32 = 0.56;
/// Rows that a waveform takes.
const WAVE: usize = 5;
/// Share of the width that their names take.
const NAMES: f32 = 0.16;
/// Least width of a bar, px: an instant has to be seen.
const LEAST: f32 = 3.0;

pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, strip: &Strip, theme: &Theme) {
    let whole = Area::of(map);
    let above = if strip.wave.is_some() { WAVE } else { 0 };
    let row = (whole.height * ROWS / (above + strip.lanes.len() + 1) as f32).floor();
    let names = (whole.width * NAMES).floor();
    if let Some(wave) = &strip.wave {
        let track = Area::new(names, 0.0, whole.width - names, (above as f32 - 0.2) * row).whole();
        wave::paint(map, letters, wave, track, theme);
    }
    for (place, lane) in (above..).zip(&strip.lanes) {
        let area = Area::new(0.0, place as f32 * row, whole.width, row);
        let urgent = lane.name == "Bounce" || lane.name == "Lockout";
        paint_lane(map, letters, lane, area, names, urgent, theme);
    }
    let below = (above + strip.lanes.len()) as f32 * row;
    scale(map, letters, Area::new(names, below, whole.width - names, row), theme);
    let rest = Area::new(0.0, below + row, whole.width, whole.height - below - row);
    finding(map, letters, &strip.lines, rest, theme);
}

fn paint_lane(
    map: &mut Pixmap,
    letters: &mut Lettering,
    lane: &Lane,
    area: Area,
    names: f32,
    urgent: bool,
    theme: &Theme,
) {
    let name = Words::new(letters, lane.name, Face::Bold).fit(names * 0.92, area.height * 0.5, area.height * 0.5, 1);
    name.paint(map, letters, Area { width: names, ..area }, Align::Left, theme.text);
    let track = Area::new(names, area.y + 0.12 * area.height, area.width - names, 0.76 * area.height).whole();
    let mut pen = Pen::new(map);
    pen.panel(track, 0.0, theme.tile);
    let colour = if urgent { theme.urgent } else { theme.accent };
    for bar in &lane.bars {
        pen.panel(place(*bar, track), 0.0, colour);
    }
}

fn place(bar: Bar, track: Area) -> Area {
    let at = |thousandth: u16| track.width * f32::from(thousandth) / 1_000.0;
    let width = (at(bar.to) - at(bar.from)).max(LEAST);
    Area { x: track.x + at(bar.from).min(track.width - width), width, ..track }
}

/// Seconds before now under the right end.
fn scale(map: &mut Pixmap, letters: &mut Lettering, area: Area, theme: &Theme) {
    for (share, text) in
        [(0.0, format!("{SECONDS} s ago")), (0.5, format!("{} s ago", SECONDS / 2)), (1.0, "now".into())]
    {
        let words =
            Words::new(letters, &text, Face::Regular).fit(area.width / 4.0, area.height * 0.5, area.height * 0.4, 1);
        let align = [Align::Left, Align::Middle, Align::Right][(share * 2.0) as usize];
        words.paint(map, letters, Area { height: 0.7 * area.height, ..area }, align, theme.quiet_text);
    }
}

/// Line under line, as large as they fit; what to do stands first, quietly.
fn finding(map: &mut Pixmap, letters: &mut Lettering, lines: &[String], area: Area, theme: &Theme) {
    let words: Vec<Words> = lines.iter().map(|line| Words::new(letters, line, Face::Regular)).collect();
    let mut size = 0.13 * area.height;
    let set = |size: f32| words.iter().map(|words| words.flow(area.width, size)).collect::<Vec<_>>();
    let mut blocks = set(size);
    while blocks.iter().map(|block| block.height() + 0.5 * size).sum::<f32>() > area.height && size > 1.0 {
        size *= 0.94;
        blocks = set(size);
    }
    let mut y = area.y;
    for (line, block) in blocks.iter().enumerate() {
        let colour = if line == 0 { theme.quiet_text } else { theme.text };
        block.paint(map, letters, Area { y, height: block.height(), ..area }, Align::Left, colour);
        y += block.height() + 0.5 * size;
    }
}
