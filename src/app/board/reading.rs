//! Whether the words of a page can be read from the bed; if not, what would help.

use super::arrangement::{Arrangement, largest_count};
use super::bands;
use super::frame::{Rect, Size};
use super::layout::{Layout, cell_size};
use super::legibility::{CAPITAL, Legibility};
use super::lettering::{Face, Lettering};
use super::message;
use super::plan::{Ground, grid, labels};
use super::setup::BoardSetup;
use super::shapes::Area;
use crate::session::scene::{Body, Message, Reader, Scene, Tiles};

/// How often a nearer distance is tried.
const TRIES: usize = 12;

/// Judges the words meant for the client.
pub(super) fn judge(scene: &Scene, setup: &BoardSetup, frame: Size, letters: &mut Lettering) -> Legibility {
    let mut judged = at_this_distance(scene, setup, frame, letters);
    // Nearer, letters are wanted smaller and the page is divided anew, so the promise is tried out.
    for _ in 0..TRIES {
        let nearer = BoardSetup { distance_mm: judged.distance_mm_possible, ..*setup };
        let then = at_this_distance(scene, &nearer, frame, letters);
        if then.distance_mm_possible >= judged.distance_mm_possible {
            break;
        }
        judged.distance_mm_possible = then.distance_mm_possible;
    }
    judged
}

fn at_this_distance(scene: &Scene, setup: &BoardSetup, frame: Size, letters: &mut Lettering) -> Legibility {
    let ground = Ground::new(setup, frame);
    let layout = ground.layout(scene);
    let needed = ground.font_needed;
    let body = match &scene.body {
        Body::Tiles(tiles) => tiles_size(tiles, &layout, needed, letters),
        Body::Message(message) => message_size(message, &layout, needed, letters),
        // Read from close by.
        Body::Strip(_) => needed,
    };
    let cue = scene.cue.as_ref().map(|cue| bands::cue_size(letters, cue, area(layout.cue), needed));
    let capital_px = cue.map_or(body, |cue| cue.min(body)) * CAPITAL;
    let counts = tile_counts(scene, &layout, needed, letters);
    Legibility::new(setup.viewing(), frame.width, capital_px, counts, without_letters(scene, letters))
}

fn area(rect: Rect) -> Area {
    Area::new(0.0, 0.0, rect.width as f32, rect.height as f32)
}

fn tiles_size(tiles: &Tiles, layout: &Layout, needed: f32, letters: &mut Lettering) -> f32 {
    let (columns, rows) = grid(tiles);
    let size = cell_size(layout.body, columns, rows, layout.gap);
    Arrangement::of(size, &labels(tiles, letters), needed).size
}

/// The clinician reads from close by.
fn message_size(message: &Message, layout: &Layout, needed: f32, letters: &mut Lettering) -> f32 {
    match message.to {
        Reader::Client => message::smallest_size(letters, message, area(layout.body), needed),
        Reader::Clinician => needed,
    }
}

/// How many tiles there are, and how many with such words would fit.
fn tile_counts(scene: &Scene, layout: &Layout, needed: f32, letters: &mut Lettering) -> (usize, usize) {
    match &scene.body {
        Body::Tiles(tiles) => {
            let words = labels(tiles, letters);
            (tiles.tiles.len(), largest_count(layout.body, layout.gap, &words, needed))
        }
        Body::Message(_) | Body::Strip(_) => (0, 0),
    }
}

fn without_letters(scene: &Scene, letters: &mut Lettering) -> Vec<String> {
    let body: Vec<&String> = match &scene.body {
        Body::Tiles(tiles) => tiles.tiles.iter().map(|tile| &tile.label).collect(),
        Body::Message(message) => std::iter::once(&message.title).chain(&message.lines).collect(),
        Body::Strip(strip) => strip.lines.iter().collect(),
    };
    let all = body.into_iter().chain(scene.cue.as_ref().map(|cue| &cue.text));
    all.filter(|text| letters.line(text, Face::Bold).missing).cloned().collect()
}
