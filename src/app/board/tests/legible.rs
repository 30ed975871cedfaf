//! Whether the words of a page can be read from the bed, and what is said if they cannot.

use super::gallery::{house_step, scene, tiles};
use crate::app::board::{Board, BoardSetup, Legibility};
use crate::session::scene::{Body, Scene};

fn judge(scene: &Scene, setup: BoardSetup) -> Legibility {
    Board::new(1_920, 1_080, setup).legibility(scene)
}

#[test]
fn six_tiles_can_be_read_from_two_metres() {
    let two_metres = judge(&house_step(0), BoardSetup { distance_mm: 2_000, ..BoardSetup::default() });
    assert!(two_metres.fits && two_metres.warning().is_none(), "{two_metres:?}");
    assert!(two_metres.largest_tile_count >= 6, "{two_metres:?}");
    // 25 minutes of arc at 2 m on 531 mm of 1920 pixels.
    assert!((two_metres.letter_px_needed - 52.59).abs() < 0.01, "{two_metres:?}");
    assert!(two_metres.letter_px + 0.01 >= two_metres.letter_px_needed);
}

#[test]
fn a_board_that_is_too_far_away_says_how_many_tiles_are_left() {
    let setup = BoardSetup { distance_mm: 2_000, low_vision: true, ..BoardSetup::default() };
    let judged = judge(&house_step(0), setup);
    assert!(!judged.fits && (1..6).contains(&judged.largest_tile_count), "{judged:?}");
    let warning = judged.warning().unwrap();
    assert!(warning.contains(&format!("at most {} tile", judged.largest_tile_count)), "{warning}");
}

#[test]
fn the_distance_that_is_promised_is_enough() {
    let setup = BoardSetup { distance_mm: 4_000, ..BoardSetup::default() };
    let judged = judge(&house_step(0), setup);
    assert!(!judged.fits);
    let nearer = BoardSetup { distance_mm: judged.distance_mm_possible, ..setup };
    let then = judge(&house_step(0), nearer);
    assert!(then.fits, "{judged:?} {then:?}");
}

#[test]
fn the_number_that_is_promised_can_be_read() {
    for distance_mm in [1_000, 2_000, 3_000] {
        let setup = BoardSetup { distance_mm, ..BoardSetup::default() };
        let longest = ("Light and warmth", "lamp");
        let page = |count: usize, columns| scene(Body::Tiles(tiles(columns, &vec![longest; count], &[])));
        let count = judge(&page(1, 1), setup).largest_tile_count;
        assert!(count > 0);
        assert!((1..=count).any(|columns| judge(&page(count, columns), setup).fits), "{count} from {distance_mm} mm");
    }
}

#[test]
fn words_without_letters_are_named() {
    let judged = judge(&scene(Body::Tiles(tiles(1, &[("מנורה", "lamp")], &[]))), BoardSetup::default());
    assert_eq!(judged.without_letters, ["מנורה"]);
    assert!(judged.warning().unwrap().contains("`מנורה`"));
}

/// Hostile pages: nothing panics, nothing takes long, something is painted.
#[test]
fn any_number_of_tiles_and_any_length_of_words_is_painted() {
    let long = "word ".repeat(5_000);
    let wide = "W".repeat(5_000);
    let many = vec![("Lamp", "lamp"); 3_000];
    for body in [
        tiles(usize::MAX, &many, &[]),
        tiles(0, &many, &[]),
        tiles(1, &[], &[]),
        tiles(2, &[(&long, "lamp"), (&wide, "no such picture"), ("\u{0}\n\t\u{202E}", "")], &[0]),
    ] {
        let page = scene(Body::Tiles(body));
        let mut frame = vec![0; 320 * 200 * 4];
        let mut board = Board::new(320, 200, BoardSetup::default());
        board.paint(&page, &mut frame);
        board.prepare();
        board.legibility(&page);
        assert!(frame.iter().any(|byte| *byte != 0));
    }
}
