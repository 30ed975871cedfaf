//! Places on the frame, and copying pictures into it.

use tiny_skia::Pixmap;

use super::setup::Turn;

/// Width and height in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Size {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// A rectangle in whole pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Rect {
    /// Left edge.
    pub x: u32,
    /// Upper edge.
    pub y: u32,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

impl Rect {
    pub(super) fn new(x: u32, y: u32, width: u32, height: u32) -> Self {
        Self { x, y, width, height }
    }

    /// Whether a place on the frame lies in it.
    #[must_use]
    pub fn holds(self, x: f64, y: f64) -> bool {
        let within =
            |at: f64, from: u32, length: u32| (f64::from(from)..f64::from(from) + f64::from(length)).contains(&at);
        within(x, self.x, self.width) && within(y, self.y, self.height)
    }

    pub(super) fn size(self) -> Size {
        Size { width: self.width, height: self.height }
    }

    pub(super) fn is_empty(self) -> bool {
        self.width == 0 || self.height == 0
    }

    /// Bytes that an upload of this rectangle takes, four a pixel.
    pub fn bytes(self) -> u64 {
        4 * u64::from(self.width) * u64::from(self.height)
    }

    pub(super) fn inset_sides(self, by: u32) -> Self {
        let by = by.min(self.width / 2);
        Self { x: self.x + by, width: self.width - 2 * by, ..self }
    }

    /// The uppermost `height` pixels of it.
    pub(super) fn uppermost(self, height: u32) -> Self {
        Self { height: height.min(self.height), ..self }
    }

    /// The lowest `height` pixels of it.
    pub(super) fn lowest(self, height: u32) -> Self {
        self.without_above(self.height.saturating_sub(height))
    }

    /// The rightmost `width` pixels of it.
    pub(super) fn rightmost(self, width: u32) -> Self {
        let width = width.min(self.width);
        Self { x: self.x + self.width - width, width, ..self }
    }

    pub(super) fn without_above(self, height: u32) -> Self {
        let height = height.min(self.height);
        Self { y: self.y + height, height: self.height - height, ..self }
    }

    pub(super) fn without_below(self, height: u32) -> Self {
        Self { height: self.height.saturating_sub(height), ..self }
    }

    pub(super) fn shortened_right(self, width: u32) -> Self {
        Self { width: self.width.saturating_sub(width), ..self }
    }

    /// Where the rectangle lies once the area of `size` it stands in has been turned.
    pub(super) fn turned(self, size: Size, turn: Turn) -> Self {
        let Self { x, y, width, height } = self;
        match turn {
            Turn::None => self,
            Turn::Quarter => Self::new(size.height - y - height, x, height, width),
            Turn::Half => Self::new(size.width - x - width, size.height - y - height, width, height),
            Turn::ThreeQuarters => Self::new(y, size.width - x - width, height, width),
        }
    }
}

/// An opaque picture, four bytes a pixel (red, green, blue, alpha).
pub(super) struct Image {
    pub size: Size,
    bytes: Vec<u8>,
}

impl Image {
    /// From what was painted upright, turned as the screen is.
    pub fn turned(upright: Pixmap, turn: Turn) -> Self {
        let from = Size { width: upright.width(), height: upright.height() };
        if turn == Turn::None {
            return Self { size: from, bytes: upright.take() };
        }
        let size = Rect::new(0, 0, from.width, from.height).turned(from, turn).size();
        let mut bytes = Vec::with_capacity(upright.data().len());
        for y in 0..size.height {
            for x in 0..size.width {
                let (column, row) = origin(x, y, from, turn);
                let at = 4 * (row as usize * from.width as usize + column as usize);
                bytes.extend_from_slice(&upright.data()[at..at + 4]);
            }
        }
        Self { size, bytes }
    }

    pub fn byte_count(&self) -> usize {
        self.bytes.len()
    }

    /// Copies the picture row by row into a frame of this size, its corner at `x`, `y`.
    pub fn copy_to(&self, frame: &mut [u8], frame_size: Size, x: u32, y: u32) {
        let row_bytes = 4 * self.size.width as usize;
        if row_bytes == 0 {
            return;
        }
        let stride = 4 * frame_size.width as usize;
        let first = y as usize * stride + 4 * x as usize;
        for (row, source) in self.bytes.chunks_exact(row_bytes).enumerate() {
            let at = first + row * stride;
            frame[at..at + row_bytes].copy_from_slice(source);
        }
    }
}

/// Which pixel of the upright picture stands at `x`, `y` of the turned one.
fn origin(x: u32, y: u32, from: Size, turn: Turn) -> (u32, u32) {
    match turn {
        Turn::None => (x, y),
        Turn::Quarter => (y, from.height - 1 - x),
        Turn::Half => (from.width - 1 - x, from.height - 1 - y),
        Turn::ThreeQuarters => (from.width - 1 - y, x),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_and_its_pixels_turn_the_same_way() {
        let size = Size { width: 7, height: 5 };
        for turn in Turn::ALL {
            let mark = Rect::new(2, 1, 1, 1).turned(size, turn);
            assert_eq!(origin(mark.x, mark.y, size, turn), (2, 1), "{turn:?}");
        }
    }
}
