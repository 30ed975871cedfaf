//! What painting the board costs: a step of the highlight at 3840×2160, and the first picture at 1920×1080.

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group, criterion_main};
use pacewright::app::board::{Board, BoardSetup};
use pacewright::session::scene::{Body, Cue, Scene, Tile, Tiles};

const HOUSE: [(&str, &str); 6] = [
    ("Alarm call", "alarm"),
    ("Front door", "door"),
    ("Telephone", "telephone"),
    ("Light and warmth", "lamp"),
    ("Bed", "bed"),
    ("Television", "television"),
];

fn scene(number: u64) -> Scene {
    let lit = number as usize % HOUSE.len();
    let tile = |(at, (label, icon)): (usize, &(&str, &str))| Tile {
        label: (*label).into(),
        icon: (*icon).into(),
        lit: at == lit,
        ..Tile::default()
    };
    let tiles = HOUSE.iter().enumerate().map(tile).collect();
    let cue = Some(Cue { text: "Turn the lamp on.".into(), icon: Some("lamp".into()) });
    let body = Body::Tiles(Tiles { columns: 3, tiles });
    Scene { number, cue, body, home: vec![], note: None, left: Some(6), answered: false }
}

/// FNV-1a over the frame, so that a change of the work shows.
fn checksum(frame: &[u8]) -> u64 {
    frame.iter().fold(0xCBF2_9CE4_8422_2325, |sum, byte| (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01B3))
}

fn step(criterion: &mut Criterion) {
    let (width, height) = (3_840, 2_160);
    let mut board = Board::new(width, height, BoardSetup::default());
    let mut frame = vec![0; 4 * (width * height) as usize];
    board.paint(&scene(0), &mut frame);
    let unprepared = Instant::now();
    let damage = board.paint(&scene(1), &mut frame);
    println!("a step not prepared: {:.2} ms", unprepared.elapsed().as_secs_f64() * 1e3);
    println!("upload of a step: {} bytes in {} rectangles", damage.bytes(), damage.rects.len());
    let prepare = Instant::now();
    board.prepare();
    println!("preparing the page: {:.2} ms", prepare.elapsed().as_secs_f64() * 1e3);
    println!("kept painted ahead: {} bytes", board.kept_bytes());
    let mut number = 1;
    criterion.bench_function("board step, two tiles, 3840x2160", |bencher| {
        bencher.iter(|| {
            number += 1;
            black_box(board.paint(&scene(number), &mut frame))
        });
    });
    board.paint(&scene(0), &mut frame);
    println!("checksum of the frame: {:016x}", checksum(&frame));
}

fn first(criterion: &mut Criterion) {
    let (width, height) = (1_920, 1_080);
    let mut frame = vec![0; 4 * (width * height) as usize];
    criterion.bench_function("board first picture with fonts, 1920x1080", |bencher| {
        bencher.iter(|| {
            let mut board = Board::new(width, height, BoardSetup::default());
            black_box(board.paint(&scene(0), &mut frame))
        });
    });
    println!("checksum of the frame: {:016x}", checksum(&frame));
}

criterion_group! { name = board; config = Criterion::default().sample_size(20); targets = step, first }
criterion_main!(board);
