//! Every picture of the gallery against the one stored in `tests/pictures`.
//!
//! After a change that is meant: `BOARD_PICTURES=store cargo test --release --lib app::board`, then
//! look at what git shows as changed. To look at them larger, without a screen:
//! `BOARD_PICTURES=/some/folder BOARD_SIZE=1920x1080 cargo test --release --lib app::board`.

use std::path::{Path, PathBuf};

use tiny_skia::Pixmap;

use super::gallery::{Shot, shots};
use crate::app::board::picture;

const SIZE: (u32, u32) = (640, 360);

/// How far a channel may be off: another processor may round an edge another way.
const TOLERANCE: u8 = 3;

fn stored(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures").join(format!("board-{name}.png"))
}

fn paint(shot: &Shot, (width, height): (u32, u32)) -> Pixmap {
    picture(&shot.scene, width, height, &shot.setup)
}

fn differing(one: &Pixmap, other: &Pixmap) -> usize {
    let far = |(a, b): &(&u8, &u8)| a.abs_diff(**b) > TOLERANCE;
    one.data().iter().zip(other.data()).filter(far).count()
}

fn write_if_asked(shot: &Shot) {
    match std::env::var("BOARD_PICTURES").as_deref() {
        Err(_) => {}
        Ok("store") => paint(shot, SIZE).save_png(stored(shot.name)).expect("a picture is stored"),
        Ok(folder) => {
            let size = std::env::var("BOARD_SIZE").ok().and_then(|size| {
                let (width, height) = size.split_once('x')?;
                Some((width.parse().ok()?, height.parse().ok()?))
            });
            let path = Path::new(folder).join(format!("{}.png", shot.name));
            paint(shot, size.unwrap_or(SIZE)).save_png(path).expect("a picture is written");
        }
    }
}

#[test]
fn every_scene_looks_as_it_is_stored() {
    shots().iter().for_each(write_if_asked);
    for shot in shots() {
        let path = stored(shot.name);
        let before = Pixmap::load_png(&path).unwrap_or_else(|error| {
            panic!("cannot read `{}`: {error}; store it with BOARD_PICTURES=store", path.display())
        });
        let now = paint(&shot, SIZE);
        assert_eq!((before.width(), before.height()), SIZE, "{}", shot.name);
        let count = differing(&before, &now);
        assert_eq!(count, 0, "`{}` differs in {count} bytes; see the head of this file", shot.name);
    }
}

#[test]
fn no_two_scenes_of_the_gallery_look_alike() {
    let all: Vec<(&str, Pixmap)> = shots().iter().map(|shot| (shot.name, paint(shot, (320, 180)))).collect();
    for (i, (name, one)) in all.iter().enumerate() {
        for (other_name, other) in &all[i + 1..] {
            assert!(differing(one, other) > 0, "`{name}` and `{other_name}`");
        }
    }
}
