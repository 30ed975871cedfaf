//! What the screen looks like from the bed: pixels to thousandths of a degree.
//!
//! An angle is taken as length over distance, as for a screen that bends round the eye: at the edge of a
//! screen of 30° that is 2 % more than on a flat one.

use super::board::{BoardSetup, Size, tile_rects};
use crate::engine::effect::Spot;
use crate::session::scene::Scene;

/// The board and where it is seen from.
#[derive(Clone, Copy, Debug)]
pub struct Eye {
    board: BoardSetup,
    frame: Size,
    /// Thousandths of a degree of one pixel.
    per_pixel: f64,
}

impl Eye {
    /// The board with this set-up on a frame of this many pixels.
    #[must_use]
    pub fn new(board: BoardSetup, width: u32, height: u32) -> Eye {
        let pixel_mm = f64::from(board.screen_width_mm) / f64::from(width.max(1));
        let per_pixel = (pixel_mm / f64::from(board.distance_mm.max(1))).to_degrees() * 1_000.0;
        Eye { board, frame: Size { width, height }, per_pixel }
    }

    /// A place on the frame; what is no number lies at the corner.
    #[must_use]
    pub fn place(&self, x: f64, y: f64) -> (i32, i32) {
        // The cast stops at the ends of the range.
        ((x * self.per_pixel).round() as i32, (y * self.per_pixel).round() as i32)
    }

    /// Where the tiles of the scene stand, row by row.
    #[must_use]
    pub fn spots(&self, scene: &Scene) -> Vec<Spot> {
        let rects = tile_rects(scene, &self.board, self.frame);
        let spot = |rect: super::board::Rect| {
            let (x, y) = self.place(f64::from(rect.x), f64::from(rect.y));
            let (right, lower) = self.place(f64::from(rect.x + rect.width), f64::from(rect.y + rect.height));
            Spot { x, y, width: right - x, height: lower - y }
        };
        rects.into_iter().map(spot).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::scene::{Body, Tile, Tiles};

    fn eye() -> Eye {
        let board = BoardSetup { distance_mm: 1_000, screen_width_mm: 500, ..BoardSetup::default() };
        Eye::new(board, 1_000, 600)
    }

    #[test]
    fn a_pixel_of_half_a_millimetre_at_a_metre_is_29_thousandths_of_a_degree() {
        // 0.0005 rad.
        assert_eq!(eye().place(100.0, -100.0), (2_865, -2_865));
        assert_eq!(eye().place(f64::NAN, f64::INFINITY), (0, i32::MAX));
    }

    #[test]
    fn every_tile_has_its_spot_and_none_touch() {
        let tiles = Tiles { columns: 3, tiles: vec![Tile::default(); 6] };
        let body = Body::Tiles(tiles);
        let scene = Scene { number: 1, cue: None, body, home: Vec::new(), note: None, left: None, answered: false };
        let spots = eye().spots(&scene);
        assert_eq!(spots.len(), 6);
        assert!(spots[1].x > spots[0].x + spots[0].width && spots[3].y > spots[0].y + spots[0].height);
        assert!(spots.iter().all(|spot| spot.width > 4_000 && spot.height > 2_000));
    }
}
