//! Calm pages with one message: for the client large and in the middle, for the clinician a sheet.

use tiny_skia::Pixmap;

use super::icons;
use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen};
use super::text::{Align, Block, Words};
use super::theme::Theme;
use crate::session::scene::{Message, Reader};

pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, message: &Message, needed: f32, theme: &Theme) {
    match message.to {
        Reader::Client => client(map, letters, message, needed, theme),
        Reader::Clinician => clinician(map, letters, message, theme),
    }
}

/// The words of a page for the client, set, with the font size of the smallest.
struct Page {
    icon_side: f32,
    title: Block,
    lines: Vec<Block>,
    gap: f32,
}

impl Page {
    fn new(letters: &mut Lettering, message: &Message, area: Area, needed: f32) -> Self {
        let mut scale = 1.0;
        loop {
            let page = Self::at(letters, message, area, needed, scale);
            if page.height() <= area.height || scale < 0.05 {
                return page;
            }
            scale *= 0.92;
        }
    }

    fn at(letters: &mut Lettering, message: &Message, area: Area, needed: f32, scale: f32) -> Self {
        let shorter = area.shorter();
        let width = 0.9 * area.width;
        let (large, small) = ((0.13 * shorter).max(1.25 * needed) * scale, (0.075 * shorter).max(needed) * scale);
        let title = Words::new(letters, &message.title, Face::Bold).fit(width, area.height, large, 3);
        let mut line = |text: &String| {
            let words = Words::new(letters, text, Face::Regular);
            words.flow(width, small.min(width / words.longest().max(1e-3)))
        };
        Self {
            icon_side: if message.icon.is_some() { 0.24 * shorter * scale } else { 0.0 },
            title,
            lines: message.lines.iter().map(&mut line).collect(),
            gap: 0.055 * shorter * scale,
        }
    }

    fn height(&self) -> f32 {
        let icon = if self.icon_side > 0.0 { self.icon_side + 1.4 * self.gap } else { 0.0 };
        icon + self.title.height() + self.lines.iter().map(|line| self.gap + line.height()).sum::<f32>()
    }
}

/// Font size of the smallest words on a page for the client, px.
pub(super) fn smallest_size(letters: &mut Lettering, message: &Message, area: Area, needed: f32) -> f32 {
    let page = Page::new(letters, message, area, needed);
    page.lines.iter().map(|line| line.size).fold(page.title.size, f32::min)
}

fn client(map: &mut Pixmap, letters: &mut Lettering, message: &Message, needed: f32, theme: &Theme) {
    let area = Area::of(map);
    let page = Page::new(letters, message, area, needed);
    let mut y = area.y + ((area.height - page.height()) / 2.0).max(0.0);
    if let Some(icon) = &message.icon {
        let side = page.icon_side;
        icons::paint(
            map,
            letters,
            icon,
            Area::new(area.x + (area.width - side) / 2.0, y, side, side),
            theme.quiet_text,
        );
        y += side + 1.4 * page.gap;
    }
    let mut set = |block: &Block, y: f32, colour| {
        let row = Area::new(area.x, y, area.width, block.height());
        block.paint(map, letters, row, Align::Middle, colour);
    };
    set(&page.title, y, theme.text);
    y += page.title.height();
    for line in &page.lines {
        y += page.gap;
        set(line, y, theme.quiet_text);
        y += line.height();
    }
}

/// A sheet of paper with a bar at its head; read from close by.
fn clinician(map: &mut Pixmap, letters: &mut Lettering, message: &Message, theme: &Theme) {
    let whole = Area::of(map);
    let shorter = whole.shorter();
    let width = (1.5 * whole.height).min(whole.width);
    let sheet = Area::new(whole.x + (whole.width - width) / 2.0, whole.y, width, whole.height).whole();
    let radius = (0.02 * shorter).round();
    let bar = Area { height: (0.15 * sheet.height).round(), ..sheet };
    let mut pen = Pen::new(map);
    pen.panel(Area { height: bar.height + radius, ..sheet }, radius, theme.sheet_bar);
    let paper = Area { y: bar.y + bar.height, height: sheet.height - bar.height, ..sheet };
    pen.panel(paper, radius, theme.sheet);
    pen.panel(Area { height: radius.min(paper.height), ..paper }, 0.0, theme.sheet);
    head(map, letters, message, bar, theme);
    let padding = 0.06 * shorter;
    body(map, letters, &message.lines, paper.inset(padding), 0.055 * shorter, theme);
}

fn head(map: &mut Pixmap, letters: &mut Lettering, message: &Message, bar: Area, theme: &Theme) {
    let gap = 0.28 * bar.height;
    let side = if message.icon.is_some() { 0.5 * bar.height } else { 0.0 };
    if let Some(icon) = &message.icon {
        let square = Area::new(bar.x + gap, bar.y + (bar.height - side) / 2.0, side, side);
        icons::paint(map, letters, icon, square, theme.sheet_bar_text);
    }
    let from = if side > 0.0 { side + 1.8 * gap } else { gap };
    let room = Area::new(bar.x + from, bar.y, (bar.width - from - gap).max(0.0), bar.height);
    let title = Words::new(letters, &message.title, Face::Bold).fit(room.width, room.height, 0.46 * bar.height, 2);
    title.paint(map, letters, room, Align::Left, theme.sheet_bar_text);
}

fn body(map: &mut Pixmap, letters: &mut Lettering, lines: &[String], area: Area, want: f32, theme: &Theme) {
    let words: Vec<Words> = lines.iter().map(|line| Words::new(letters, line, Face::Regular)).collect();
    let mut size = want;
    let set = |size: f32| -> Vec<Block> {
        let flow = |words: &Words| words.flow(area.width, size.min(area.width / words.longest().max(1e-3)));
        words.iter().map(flow).collect()
    };
    let height = |blocks: &[Block], size: f32| blocks.iter().map(|block| block.height() + 0.7 * size).sum::<f32>();
    let mut blocks = set(size);
    while height(&blocks, size) > area.height && size > 1.0 {
        size *= 0.94;
        blocks = set(size);
    }
    let mut y = area.y;
    for block in &blocks {
        block.paint(map, letters, Area { y, height: block.height(), ..area }, Align::Left, theme.sheet_text);
        y += block.height() + 0.7 * size;
    }
}
