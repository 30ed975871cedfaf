//! The pictures that a menu may name.
//!
//! Most are glyphs of the Lucide icon font (ISC licence), some with a small arrow beside them.
//! What that set lacks is drawn here on the same grid of 24 units with the same line.

use lucide_icons::Icon;
use tiny_skia::Pixmap;

use super::colour::Colour;
use super::lettering::{Face, Lettering};
use super::shapes::{Area, Pen};

/// Width of every line of an icon, in units of which 24 make its side.
const STROKE: f32 = 2.0;

/// How one name is shown.
enum Picture {
    Glyph(Icon),
    /// A smaller glyph with an arrow drawn beside it.
    Arrow(Icon, Strokes),
    Drawn(Strokes),
}

use Picture::{Arrow, Drawn, Glyph};

type Strokes = &'static [&'static [(f32, f32)]];

const UP: Strokes = &[&[(14.5, 5.5), (18.5, 1.5), (22.5, 5.5)], &[(18.5, 1.5), (18.5, 9.0)]];
const DOWN: Strokes = &[&[(14.5, 5.0), (18.5, 9.0), (22.5, 5.0)], &[(18.5, 1.5), (18.5, 9.0)]];
const CURTAIN_OPEN: Strokes = &[
    &[(2.0, 3.0), (22.0, 3.0)],
    &[(4.0, 3.0), (4.0, 21.0), (7.0, 21.0), (7.5, 14.0), (9.5, 8.0), (10.0, 3.0)],
    &[(20.0, 3.0), (20.0, 21.0), (17.0, 21.0), (16.5, 14.0), (14.5, 8.0), (14.0, 3.0)],
];
const CURTAIN_CLOSED: Strokes = &[
    &[(2.0, 3.0), (22.0, 3.0)],
    &[(4.0, 3.0), (4.0, 21.0), (20.0, 21.0), (20.0, 3.0)],
    &[(12.0, 3.0), (12.0, 21.0)],
    &[(8.0, 7.0), (8.0, 17.0)],
    &[(16.0, 7.0), (16.0, 17.0)],
];
const LIFT: Strokes = &[
    &[(4.0, 2.0), (20.0, 2.0), (20.0, 22.0), (4.0, 22.0), (4.0, 2.0)],
    &[(8.5, 11.0), (12.0, 7.0), (15.5, 11.0)],
    &[(8.5, 14.0), (12.0, 18.0), (15.5, 14.0)],
];
const LIFT_UP: Strokes = &[
    &[(4.0, 2.0), (20.0, 2.0), (20.0, 22.0), (4.0, 22.0), (4.0, 2.0)],
    &[(8.0, 11.0), (12.0, 7.0), (16.0, 11.0)],
    &[(12.0, 7.0), (12.0, 17.0)],
];
const LIFT_DOWN: Strokes = &[
    &[(4.0, 2.0), (20.0, 2.0), (20.0, 22.0), (4.0, 22.0), (4.0, 2.0)],
    &[(8.0, 13.0), (12.0, 17.0), (16.0, 13.0)],
    &[(12.0, 7.0), (12.0, 17.0)],
];

fn named(name: &str) -> Option<Picture> {
    Some(match name {
        "alarm" => Glyph(Icon::Siren),
        "back" => Glyph(Icon::Undo2),
        "bed" => Glyph(Icon::Bed),
        "bed-down" => Arrow(Icon::Bed, DOWN),
        "bed-up" => Arrow(Icon::Bed, UP),
        "bell" => Glyph(Icon::Bell),
        "blinds" => Glyph(Icon::Blinds),
        "book" => Glyph(Icon::Book),
        "call" => Glyph(Icon::PhoneCall),
        "camera" => Glyph(Icon::Camera),
        "check" => Glyph(Icon::Check),
        "computer" => Glyph(Icon::Monitor),
        "curtain" => Drawn(CURTAIN_OPEN),
        "curtain-close" => Drawn(CURTAIN_CLOSED),
        "door" => Glyph(Icon::DoorClosed),
        "door-open" => Glyph(Icon::DoorOpen),
        "drink" => Glyph(Icon::GlassWater),
        "fan" => Glyph(Icon::Fan),
        "film" => Glyph(Icon::Film),
        "food" => Glyph(Icon::Utensils),
        "hand" => Glyph(Icon::Hand),
        "heater" => Glyph(Icon::Heater),
        "help" => Glyph(Icon::CircleQuestionMark),
        "home" => Glyph(Icon::House),
        "intercom" => Glyph(Icon::Mic),
        "lamp" => Glyph(Icon::Lamp),
        "lamp-ceiling" => Glyph(Icon::LampCeiling),
        "lift" => Drawn(LIFT),
        "lift-down" => Drawn(LIFT_DOWN),
        "lift-up" => Drawn(LIFT_UP),
        "lock" => Glyph(Icon::Lock),
        "mail" => Glyph(Icon::Mail),
        "minus" => Glyph(Icon::Minus),
        "moon" => Glyph(Icon::Moon),
        "music" => Glyph(Icon::Music),
        "mute" => Glyph(Icon::VolumeX),
        "next" => Glyph(Icon::SkipForward),
        "person" => Glyph(Icon::User),
        "play" => Glyph(Icon::Play),
        "plus" => Glyph(Icon::Plus),
        "power" => Glyph(Icon::Power),
        "previous" => Glyph(Icon::SkipBack),
        "quiet" => Glyph(Icon::BellOff),
        "radio" => Glyph(Icon::Radio),
        "rest" => Glyph(Icon::Armchair),
        "shower" => Glyph(Icon::ShowerHead),
        "stop" => Glyph(Icon::Square),
        "sun" => Glyph(Icon::Sun),
        "switch" => Glyph(Icon::ToggleRight),
        "telephone" => Glyph(Icon::Phone),
        "television" => Glyph(Icon::Tv),
        "unlock" => Glyph(Icon::LockOpen),
        "volume-down" => Glyph(Icon::Volume1),
        "volume-up" => Glyph(Icon::Volume2),
        "wind" => Glyph(Icon::Wind),
        "window" => Glyph(Icon::Grid2x2),
        "yes" => Glyph(Icon::CircleCheck),
        _ => return None,
    })
}

/// The sign of a line that needs someone to act.
pub(super) fn paint_urgent(map: &mut Pixmap, letters: &mut Lettering, square: Area, colour: Colour) {
    glyph(map, letters, Icon::TriangleAlert, square, colour);
}

/// Paints the picture of this name into a square; nothing for an unknown name.
pub(super) fn paint(map: &mut Pixmap, letters: &mut Lettering, name: &str, square: Area, colour: Colour) {
    match named(name) {
        Some(Glyph(icon)) => glyph(map, letters, icon, square, colour),
        Some(Arrow(icon, arrow)) => {
            let side = 0.84 * square.width;
            let lower_left = Area::new(square.x, square.y + square.height - 0.94 * side, side, side);
            glyph(map, letters, icon, lower_left, colour);
            strokes(map, arrow, square, colour);
        }
        Some(Drawn(lines)) => strokes(map, lines, square, colour),
        None => {}
    }
}

fn strokes(map: &mut Pixmap, lines: Strokes, square: Area, colour: Colour) {
    let mut pen = Pen::on_square(map, square, 24.0);
    lines.iter().for_each(|points| pen.line(points, STROKE, colour));
}

/// The glyphs of the font are one em wide and stand on a baseline at its lower edge.
fn glyph(map: &mut Pixmap, letters: &mut Lettering, icon: Icon, square: Area, colour: Colour) {
    let line = letters.line(&char::from(icon).to_string(), Face::Icons);
    let baseline = square.y + square.height;
    line.paint(map, square.x, baseline, square.width, colour);
}

#[cfg(test)]
mod tests {
    use super::super::shapes::blank;
    use super::*;
    use crate::menu::ICONS;

    #[test]
    fn every_name_of_the_menu_has_a_picture_within_its_square() {
        let mut letters = Lettering::new();
        for name in ICONS {
            assert!(named(name).is_some(), "no picture for `{name}`");
            let mut map = blank(96, 96, Colour::hex(0));
            paint(&mut map, &mut letters, name, Area::new(16.0, 16.0, 64.0, 64.0), Colour::hex(0xFFFFFF));
            let inked = |x: u32, y: u32| map.pixel(x, y).is_some_and(|pixel| pixel.red() > 8);
            let places: Vec<(u32, u32)> =
                (0..96).flat_map(|y| (0..96).map(move |x| (x, y))).filter(|(x, y)| inked(*x, *y)).collect();
            assert!(places.len() > 80, "`{name}` is nearly empty: {}", places.len());
            assert!(
                places.iter().all(|(x, y)| (15..81).contains(x) && (15..81).contains(y)),
                "`{name}` leaves its square"
            );
        }
    }

    #[test]
    fn every_glyph_is_in_the_font() {
        let mut letters = Lettering::new();
        for name in ICONS {
            if let Some(Glyph(icon) | Arrow(icon, _)) = named(name) {
                assert!(!letters.line(&char::from(icon).to_string(), Face::Icons).missing, "`{name}`");
            }
        }
    }

    #[test]
    fn no_two_names_look_the_same() {
        let mut letters = Lettering::new();
        let mut seen: Vec<(&str, Vec<u8>)> = Vec::new();
        for name in ICONS {
            let mut map = blank(48, 48, Colour::hex(0));
            paint(&mut map, &mut letters, name, Area::new(0.0, 0.0, 48.0, 48.0), Colour::hex(0xFFFFFF));
            let bytes = map.take();
            let twin = seen.iter().find(|(_, other)| *other == bytes);
            assert!(twin.is_none(), "`{name}` looks like `{}`", twin.map_or("", |(other, _)| other));
            seen.push((name, bytes));
        }
    }

    #[test]
    fn an_unknown_name_paints_nothing() {
        let mut map = blank(8, 8, Colour::hex(0));
        let before = map.data().to_vec();
        paint(&mut map, &mut Lettering::new(), "unheard-of", Area::new(0.0, 0.0, 8.0, 8.0), Colour::hex(0xFFFFFF));
        assert_eq!(map.data(), before);
    }
}
