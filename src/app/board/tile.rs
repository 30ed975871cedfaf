//! One tile. Its look stands in `theme.rs`.

use tiny_skia::Pixmap;

use super::arrangement::{Arrangement, Placed, inside};
use super::colour::Colour;
use super::frame::Size;
use super::icons;
use super::lettering::Lettering;
use super::shapes::{Area, Pen};
use super::text::Align;
use super::theme::Theme;
use super::theme::proportions::{BORDER, BRACKET, CHEVRON, CORNER_MARK, EDGE, ON_DOT, RADIUS, SEAM};
use crate::session::scene::Tile;

/// What all tiles of a page share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Page {
    pub arrangement: Arrangement,
    /// Unlit tiles are fainter.
    pub dim_unlit: bool,
}

pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, tile: &Tile, page: &Page, theme: &Theme) {
    if tile.blank {
        return;
    }
    let area = Area::of(map);
    let ink = ground(map, area, tile, page, theme);
    let size = Size { width: map.width(), height: map.height() };
    let placed = page.arrangement.place(size, letters, &tile.label, !tile.icon.is_empty());
    content(map, letters, tile, &placed, ink);
    marks(map, tile, &placed, inside(size), ink, theme);
}

/// Paints fill and border; returns the colour of what stands on it.
fn ground(map: &mut Pixmap, area: Area, tile: &Tile, page: &Page, theme: &Theme) -> Colour {
    let shorter = area.shorter();
    let radius = RADIUS * shorter;
    let mut pen = Pen::new(map);
    if !tile.lit {
        let edge = (EDGE * shorter).max(1.0);
        pen.panel(area, radius, theme.tile_edge);
        pen.panel(area.inset(edge), radius - edge, theme.tile);
        return if page.dim_unlit { theme.dimmed_text } else { theme.tile_text };
    }
    let (border, seam) = ((BORDER * shorter).ceil(), (SEAM * shorter).ceil());
    let fill = area.inset(border + seam);
    pen.panel(area, radius, theme.ring);
    pen.panel(area.inset(border), radius / 2.0, theme.seam);
    pen.panel(fill, radius / 3.0, theme.lit);
    let side = CORNER_MARK * shorter;
    pen.polygon(&[(fill.x, fill.y), (fill.x + side, fill.y), (fill.x, fill.y + side)], theme.lit_text);
    theme.lit_text
}

fn content(map: &mut Pixmap, letters: &mut Lettering, tile: &Tile, placed: &Placed, ink: Colour) {
    if placed.square.width >= 1.0 {
        icons::paint(map, letters, &tile.icon, placed.square, ink);
    }
    let align = if placed.is_beside() { Align::Left } else { Align::Middle };
    placed.block.paint(map, letters, placed.area, align, ink);
}

fn marks(map: &mut Pixmap, tile: &Tile, placed: &Placed, inside: Area, ink: Colour, theme: &Theme) {
    let shorter = Area::of(map).shorter();
    let mut pen = Pen::new(map);
    if tile.on {
        let radius = ON_DOT * shorter;
        let colour = if tile.lit { ink } else { theme.accent };
        let (x, y) = (inside.x + inside.width - 1.9 * radius, inside.y + 1.9 * radius);
        pen.disc(x, y, radius, colour);
        pen.circle(x, y, 1.7 * radius, 0.4 * radius, colour);
    }
    if tile.opens {
        let half = CHEVRON * shorter;
        // Beside the picture, where no words can reach.
        let beside = if placed.square.width >= 1.0 { placed.square } else { inside };
        let (x, y) = (inside.x + inside.width - half, beside.middle().1);
        pen.line(&[(x - half / 2.0, y - half), (x + half / 2.0, y), (x - half / 2.0, y + half)], 0.42 * half, ink);
    }
    if tile.target {
        let colour = if tile.lit { ink } else { theme.target };
        brackets(&mut pen, inside, shorter, colour);
    }
}

/// Four corners of a frame, unlike any highlight.
fn brackets(pen: &mut Pen, inside: Area, shorter: f32, colour: Colour) {
    let (arm, width) = (BRACKET.0 * shorter, BRACKET.1 * shorter);
    let Area { x, y, width: across, height: down } = inside.inset(width / 2.0);
    let corners =
        [(x, y, 1.0, 1.0), (x + across, y, -1.0, 1.0), (x, y + down, 1.0, -1.0), (x + across, y + down, -1.0, -1.0)];
    for (x, y, right, below) in corners {
        pen.line(&[(x + right * arm, y), (x, y), (x, y + below * arm)], width, colour);
    }
}
