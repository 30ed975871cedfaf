//! The simulated home: one small drawing a thing, each in a file of its own.
//!
//! A drawing shows how its thing stands, from 0 (off, closed, flat, down, quiet) to 1. It stands on
//! a square of 48 units. Nothing moves by itself: a new scene shows the new state.

mod alarm;
mod bed;
mod computer;
mod curtain;
mod door;
mod fan;
mod heater;
mod intercom;
mod lamp;
mod lift;
mod lock;
mod music;
mod telephone;
mod television;
mod window;

use tiny_skia::Pixmap;

use super::frame::Size;
use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen, polyline};
use super::text::{Align, Words};
use super::theme::Theme;
use crate::menu::home::{HomeKind, HomeThing};

/// Side of the square that a drawing stands on.
const UNITS: f32 = 48.0;

/// Width of an outline, in units.
const LINE: f32 = 1.8;

type Drawing = fn(&mut Pen, f32, &Theme);

fn drawing(kind: HomeKind) -> Drawing {
    match kind {
        HomeKind::Lamp => lamp::draw,
        HomeKind::Curtain => curtain::draw,
        HomeKind::Window => window::draw,
        HomeKind::Door => door::draw,
        HomeKind::Lock => lock::draw,
        HomeKind::Intercom => intercom::draw,
        HomeKind::Telephone => telephone::draw,
        HomeKind::Alarm => alarm::draw,
        HomeKind::Heater => heater::draw,
        HomeKind::Fan => fan::draw,
        HomeKind::Bed => bed::draw,
        HomeKind::Television => television::draw,
        HomeKind::Music => music::draw,
        HomeKind::Lift => lift::draw,
        HomeKind::Computer => computer::draw,
    }
}

/// Share of a cell's height that the drawing takes, at most, and that a name takes.
const SHARES: (f32, f32) = (0.60, 0.17);

/// Font size at which every name fits its cell, px.
pub(super) fn name_size(letters: &mut Lettering, things: &[HomeThing], cell: Size) -> f32 {
    let (width, height) = (0.94 * cell.width as f32, SHARES.1 * cell.height as f32);
    let size = |thing: &HomeThing| Words::new(letters, &thing.label, Face::Bold).size_in(width, height, height, 1).0;
    // A thing without a name leaves the size to the others.
    things.iter().filter(|thing| !thing.label.trim().is_empty()).map(size).fold(height, f32::min)
}

/// Paints one thing with its name below; what has just changed stands on a lighter ground in a frame.
pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, thing: &HomeThing, name_size: f32, theme: &Theme) {
    let area = Area::of(map);
    let side = (SHARES.0 * area.height).min(0.86 * area.width);
    let gap = 0.6 * name_size;
    let top = area.y + ((area.height - side - gap - 1.4 * name_size) / 2.0).max(0.0);
    if thing.changed {
        ground(map, area, theme);
    }
    let square = Area::new(area.x + (area.width - side) / 2.0, top, side, side);
    let level = if thing.level.is_finite() { thing.level.clamp(0.0, 1.0) } else { 0.0 };
    drawing(thing.kind)(&mut Pen::on_square(map, square, UNITS), level, theme);
    let (face, colour) = if thing.changed { (Face::Bold, theme.text) } else { (Face::Regular, theme.quiet_text) };
    let name = Area { y: top + side + gap, height: name_size, ..area };
    let block = Words::new(letters, &thing.label, face).flow(f32::INFINITY, name_size);
    block.paint(map, letters, name, Align::Middle, colour);
}

fn ground(map: &mut Pixmap, area: Area, theme: &Theme) {
    let mut pen = Pen::new(map);
    let radius = 0.08 * area.shorter();
    pen.panel(area, radius, theme.tile);
    pen.frame(area, radius, (0.025 * area.shorter()).max(1.5), theme.accent);
}

/// Curved lines going out from a place to the right (1) or to the left (-1): sound.
fn waves(pen: &mut Pen, x: f32, y: f32, side: f32, theme: &Theme) {
    for radius in [5.0_f32, 9.0, 13.0] {
        let points: Vec<(f32, f32)> = (-6..=6)
            .map(|k| (k as f32 * 7.0).to_radians())
            .map(|angle| (x + side * radius * angle.cos(), y + radius * angle.sin()))
            .collect();
        pen.stroke(polyline(&points, false), LINE, theme.glow);
    }
}

/// A box with an outline.
fn case(pen: &mut Pen, area: Area, radius: f32, fill: super::colour::Colour, theme: &Theme) {
    pen.panel(area, radius, fill);
    pen.frame(area, radius, LINE, theme.ink);
}

#[cfg(test)]
pub(super) const KINDS: [HomeKind; 15] = [
    HomeKind::Lamp,
    HomeKind::Curtain,
    HomeKind::Window,
    HomeKind::Door,
    HomeKind::Lock,
    HomeKind::Intercom,
    HomeKind::Telephone,
    HomeKind::Alarm,
    HomeKind::Heater,
    HomeKind::Fan,
    HomeKind::Bed,
    HomeKind::Television,
    HomeKind::Music,
    HomeKind::Lift,
    HomeKind::Computer,
];

#[cfg(test)]
mod tests {
    use super::super::shapes::blank;
    use super::super::theme::Look;
    use super::*;

    fn bytes(kind: HomeKind, level: f32, look: Look) -> Vec<u8> {
        let theme = look.theme();
        let mut map = blank(96, 96, theme.background);
        drawing(kind)(&mut Pen::on_square(&mut map, Area::new(16.0, 16.0, 64.0, 64.0), UNITS), level, theme);
        map.take()
    }

    #[test]
    fn every_thing_shows_its_state_in_every_look() {
        for (_, look) in Look::NAMED {
            for kind in KINDS {
                let (off, on) = (bytes(kind, 0.0, look), bytes(kind, 1.0, look));
                let changed = off.chunks(4).zip(on.chunks(4)).filter(|(a, b)| a != b).count();
                assert!(changed > 100, "{kind:?} in {look:?} changes only {changed} of 4096 pixels");
            }
        }
    }

    #[test]
    fn every_drawing_stays_on_its_square() {
        let ground = Look::Dark.theme().background;
        for kind in KINDS {
            for level in [0.0, 0.5, 1.0] {
                for (at, pixel) in bytes(kind, level, Look::Dark).chunks(4).enumerate() {
                    let (x, y) = (at % 96, at / 96);
                    let inside = (15..81).contains(&x) && (15..81).contains(&y);
                    assert!(inside || pixel[..3] == [ground.r, ground.g, ground.b], "{kind:?} paints {x},{y}");
                }
            }
        }
    }

    #[test]
    fn no_two_things_look_the_same() {
        let all: Vec<Vec<u8>> = KINDS.map(|kind| bytes(kind, 1.0, Look::Dark)).into();
        for (i, one) in all.iter().enumerate() {
            assert!(!all[i + 1..].contains(one), "{:?}", KINDS[i]);
        }
    }

    #[test]
    fn a_level_that_is_no_number_is_off() {
        let paint_at = |level: f32| {
            let mut map = blank(90, 60, Look::Dark.theme().background);
            let thing = HomeThing { kind: HomeKind::Lamp, label: "Lamp".into(), level, changed: false };
            paint(&mut map, &mut Lettering::new(), &thing, 10.0, Look::Dark.theme());
            map.take()
        };
        assert_eq!(paint_at(f32::NAN), paint_at(0.0));
        assert_eq!(paint_at(7.0), paint_at(1.0));
    }
}
