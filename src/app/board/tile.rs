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
    if tile.filled > 0 {
        edge(map, area, tile.filled, theme);
    }
}

/// The border of a lit tile, filled from its upper left corner round by so many eighths.
fn edge(map: &mut Pixmap, area: Area, eighths: u8, theme: &Theme) {
    let width = (BORDER * area.shorter()).ceil();
    let line = area.inset(width / 2.0);
    let (across, down) = (line.width, line.height);
    let mut left = 2.0 * (across + down) * f32::from(eighths.min(8)) / 8.0;
    let (mut x, mut y) = (line.x, line.y);
    let mut pen = Pen::new(map);
    for (right, below, length) in [(1.0, 0.0, across), (0.0, 1.0, down), (-1.0, 0.0, across), (0.0, -1.0, down)] {
        let step = length.min(left);
        let to = (x + right * step, y + below * step);
        if step > 0.0 {
            pen.line(&[(x, y), to], width, theme.target);
        }
        (x, y) = to;
        left -= step;
    }
}

/// Paints fill and border; returns the colour of what stands on it.
fn ground(map: &mut Pixmap, area: Area, tile: &Tile, page: &Page, theme: &Theme) -> Colour {
    let shorter = area.shorter();
    let radius = RADIUS * shorter;
    let mut pen = Pen::new(map);
    if !tile.lit {
        let edge = (EDGE * shorter).round().max(1.0);
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
        // Clear of the corner mark.
        brackets(&mut pen, inside.inset(0.6 * CORNER_MARK * shorter), shorter, colour);
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

#[cfg(test)]
mod tests {
    use super::super::arrangement::Arrangement;
    use super::super::colour::contrast;
    use super::super::shapes::blank;
    use super::super::theme::Look;
    use super::*;

    fn painted(tile: &Tile, size: Size, look: Look) -> Pixmap {
        let mut map = blank(size.width, size.height, look.theme().background);
        let page = Page { arrangement: Arrangement::of(size, &[], 12.0), dim_unlit: false };
        paint(&mut map, &mut Lettering::new(), tile, &page, look.theme());
        map
    }

    /// Along the middle of the left side, from the edge inwards: how many pixels have the border's colour.
    fn border(map: &Pixmap, theme: &Theme) -> u32 {
        let ring = theme.ring;
        let is_ring = |x: &u32| {
            map.pixel(*x, map.height() / 2).is_some_and(|p| (p.red(), p.green(), p.blue()) == (ring.r, ring.g, ring.b))
        };
        (0..map.width()).take_while(is_ring).count() as u32
    }

    #[test]
    fn the_border_of_a_lit_tile_is_at_least_a_twelfth_of_its_shorter_side() {
        let lit = Tile { lit: true, ..Tile::default() };
        for (_, look) in Look::NAMED {
            for (width, height) in [(400, 270), (90, 300), (61, 61), (1_240, 707)] {
                let border = border(&painted(&lit, Size { width, height }, look), look.theme());
                assert!(12 * border >= width.min(height), "{look:?} {width}x{height}: {border}");
            }
        }
    }

    /// Border, fill and corner are told apart from the unlit tile each on its own (3:1, WCAG 2.2, 1.4.11).
    #[test]
    fn each_of_three_cues_shows_that_a_tile_is_lit() {
        let size = Size { width: 240, height: 160 };
        for (_, look) in Look::NAMED {
            let (lit, unlit) =
                (painted(&Tile { lit: true, ..Tile::default() }, size, look), painted(&Tile::default(), size, look));
            let at = |map: &Pixmap, x: u32, y: u32| {
                map.pixel(x, y).map(|p| Colour { r: p.red(), g: p.green(), b: p.blue() }).unwrap()
            };
            let (border, fill, corner) = ((120, 5), (120, 80), (24, 24));
            for (x, y) in [border, fill] {
                assert!(contrast(at(&lit, x, y), at(&unlit, x, y)) >= 3.0, "{look:?} {x},{y}");
            }
            let other_corner = at(&lit, 240 - corner.0, corner.1);
            assert!(contrast(at(&lit, corner.0, corner.1), other_corner) >= 3.0, "{look:?} corner");
        }
    }

    #[test]
    fn a_blank_place_shows_nothing_and_every_mark_shows() {
        let size = Size { width: 240, height: 160 };
        let plain = painted(&Tile::default(), size, Look::Dark);
        let blank_tile = Tile { blank: true, lit: true, on: true, ..Tile::default() };
        assert_eq!(painted(&blank_tile, size, Look::Dark), blank(240, 160, Look::Dark.theme().background));
        for lit in [false, true] {
            let plain = if lit { painted(&Tile { lit, ..Tile::default() }, size, Look::Dark) } else { plain.clone() };
            for mark in [
                Tile { target: true, lit, ..Tile::default() },
                Tile { on: true, lit, ..Tile::default() },
                Tile { opens: true, lit, ..Tile::default() },
            ] {
                let other = painted(&mark, size, Look::Dark);
                let differing = plain.data().chunks(4).zip(other.data().chunks(4)).filter(|(a, b)| a != b).count();
                assert!(differing > 60, "{mark:?}");
            }
        }
    }
}
