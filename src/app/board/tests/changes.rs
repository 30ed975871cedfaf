//! Painting only what changed equals painting everything, whatever came before.

use proptest::prelude::*;

use super::gallery::{cue, house_step, scene, thing, tile};
use crate::app::board::{Board, BoardSetup, Look, Part, Turn, picture};
use crate::menu::home::{HomeKind, HomeThing};
use crate::session::scene::{Body, Message, Note, Reader, Scene, Tile, Tiles};

fn any_tile() -> impl Strategy<Value = Tile> {
    let label = prop::sample::select(vec!["", "Lamp", "Open the front door", "Übergangswohnung"]);
    let icon = prop::sample::select(vec!["", "lamp", "bed-up", "no such picture"]);
    (label, icon, any::<[bool; 5]>()).prop_map(|(label, icon, [lit, target, on, opens, blank])| Tile {
        lit,
        target,
        on,
        opens,
        blank,
        ..tile(label, icon)
    })
}

fn any_body() -> impl Strategy<Value = Body> {
    let tiles = (0usize..5, prop::collection::vec(any_tile(), 0..7))
        .prop_map(|(columns, tiles)| Body::Tiles(Tiles { columns, tiles }));
    let message = (any::<bool>(), prop::collection::vec("[a-zA-Z ]{0,30}", 0..4)).prop_map(|(client, lines)| {
        let to = if client { Reader::Client } else { Reader::Clinician };
        Body::Message(Message { title: "Resting.".into(), lines, icon: client.then(|| "rest".into()), to })
    });
    prop_oneof![3 => tiles, 1 => message]
}

fn any_scene() -> impl Strategy<Value = Scene> {
    let home = prop::collection::vec((any::<bool>(), -0.5f32..1.5), 0..3);
    (any::<u64>(), any::<[bool; 3]>(), any_body(), home, prop::option::of(0u32..30)).prop_map(
        |(number, [asks, answered, urgent], body, home, left)| {
            let home = home
                .into_iter()
                .map(|(changed, level)| HomeThing { changed, ..thing(HomeKind::Lamp, "Lamp", level) })
                .collect();
            let note = Some(Note { text: "Someone must click.".into(), urgent });
            Scene {
                number,
                cue: if asks { cue("Turn it on.", "lamp") } else { None },
                home,
                note,
                left,
                answered,
                ..scene(body)
            }
        },
    )
}

fn any_setup() -> impl Strategy<Value = BoardSetup> {
    let part = prop::sample::select(Part::NAMED.map(|(_, part)| part).to_vec());
    let look = prop::sample::select(Look::NAMED.map(|(_, look)| look).to_vec());
    let turn = prop::sample::select(Turn::ALL.to_vec());
    (part, look, turn, any::<[bool; 3]>()).prop_map(|(part, look, turn, [low_vision, corner_patch, dim_unlit])| {
        BoardSetup { part, look, turn, low_vision, corner_patch, dim_unlit, ..BoardSetup::default() }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn painting_what_changed_equals_painting_everything(
        setup in any_setup(),
        scenes in prop::collection::vec((any_scene(), any::<bool>()), 1..5),
        width in 1u32..220, height in 1u32..160,
    ) {
        let mut board = Board::new(width, height, setup);
        let mut frame = vec![0; 4 * (width * height) as usize];
        for (scene, prepared) in &scenes {
            if *prepared {
                board.prepare();
            }
            let before = frame.clone();
            let damage = board.paint(scene, &mut frame);
            let whole = picture(scene, width, height, &setup);
            prop_assert!(whole.data() == &frame[..], "the frame differs from a full painting");
            let named = |x: u32, y: u32| {
                damage.rects.iter().any(|r| (r.x..r.x + r.width).contains(&x) && (r.y..r.y + r.height).contains(&y))
            };
            for (at, (old, new)) in before.chunks(4).zip(frame.chunks(4)).enumerate() {
                let (x, y) = (at as u32 % width, at as u32 / width);
                prop_assert!(old == new || named(x, y), "{x},{y} changed and is not named");
            }
        }
    }
}

#[test]
fn a_step_repaints_exactly_two_tiles() {
    let mut board = Board::new(640, 360, BoardSetup::default());
    let mut frame = vec![0; 640 * 360 * 4];
    assert_eq!(board.paint(&house_step(0), &mut frame).bytes(), 640 * 360 * 4);
    let damage = board.paint(&house_step(1), &mut frame);
    assert_eq!(damage.rects.len(), 2);
    assert!(damage.bytes() < 640 * 360 * 4 / 4, "{damage:?}");
    assert!(board.paint(&house_step(1), &mut frame).is_empty(), "nothing changed");
}

#[test]
fn no_more_is_kept_than_both_states_of_one_page_whatever_was_shown() {
    let mut board = Board::new(640, 360, BoardSetup::default());
    let mut frame = vec![0; 640 * 360 * 4];
    let mut kept = Vec::new();
    for channel in 0..40 {
        let names: Vec<String> = (0..6).map(|place| format!("Channel {}", channel + place)).collect();
        let tiles = names.iter().map(|name| Tile { on: channel % 2 == 0, ..tile(name, "television") }).collect();
        board.paint(&scene(Body::Tiles(Tiles { columns: 3, tiles })), &mut frame);
        board.prepare();
        kept.push(board.kept_bytes());
        let words = Message { title: "Resting.".into(), lines: vec![], icon: None, to: Reader::Client };
        board.paint(&scene(Body::Message(words)), &mut frame);
        board.prepare();
        assert_eq!(board.kept_bytes(), kept[0], "a page of words between drops nothing");
    }
    assert!(kept[0] > 0 && kept.iter().all(|bytes| *bytes == kept[0]), "{kept:?}");
}

#[test]
fn a_frame_of_another_size_is_left_alone() {
    let mut frame = vec![7; 12];
    assert!(Board::new(640, 360, BoardSetup::default()).paint(&house_step(0), &mut frame).is_empty());
    assert_eq!(frame, [7; 12]);
}

#[test]
fn the_board_moves_between_threads() {
    fn is_send<T: Send>(_: &T) {}
    is_send(&Board::new(8, 8, BoardSetup::default()));
}
