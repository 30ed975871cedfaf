//! How a board is set up: once, before it is shown.

use super::frame::{Rect, Size};
use super::legibility::{self, Viewing};
use super::theme::Look;

/// Everything that is chosen before the board is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardSetup {
    /// Colours.
    pub look: Look,
    /// From the client's eye to the screen, mm.
    pub distance_mm: u32,
    /// Width of the lit picture of the screen as it was built (before any turn), mm.
    pub screen_width_mm: u32,
    /// Letters twice as large.
    pub low_vision: bool,
    /// How the screen stands.
    pub turn: Turn,
    /// The part of the screen that is used.
    pub part: Part,
    /// A corner that is white on scenes of odd number and black on even ones, for a light sensor.
    pub corner_patch: bool,
    /// Tiles that are not lit are fainter; their words still have a contrast of 7:1.
    pub dim_unlit: bool,
    /// A field at the lower edge that is the client's switch.
    pub touch_field: bool,
}

/// Height of the field that is touched, as a share of the part of the screen that is used: as wide as that is, a hand
/// that lies at either side reaches it.
const FIELD: f32 = 0.2;

impl Default for BoardSetup {
    /// A 24-inch screen at 1 m, dark, upright, all of it.
    fn default() -> Self {
        Self {
            look: Look::Dark,
            distance_mm: 1_000,
            screen_width_mm: 531,
            low_vision: false,
            turn: Turn::None,
            part: Part::Whole,
            corner_patch: false,
            dim_unlit: false,
            touch_field: false,
        }
    }
}

impl BoardSetup {
    /// Whether the two lengths can be true. The board itself takes the nearest possible length.
    ///
    /// # Errors
    /// A sentence that names the length, its range and the remedy.
    pub fn check(&self) -> Result<(), String> {
        legibility::check("the distance to the screen", self.distance_mm, legibility::DISTANCE_MM)?;
        legibility::check("the width of the screen", self.screen_width_mm, legibility::SCREEN_WIDTH_MM)
    }

    fn field_height(&self, used: Rect) -> u32 {
        if self.touch_field { (FIELD * used.height as f32).round() as u32 } else { 0 }
    }

    /// The field that is touched, upright; empty where there is none.
    pub(super) fn field(&self, upright: Size) -> Rect {
        let part = self.part.of(upright);
        part.lowest(self.field_height(part))
    }

    /// What is left for all that is shown, upright.
    pub(super) fn used(&self, upright: Size) -> Rect {
        let part = self.part.of(upright);
        part.without_below(self.field_height(part))
    }

    pub(super) fn viewing(&self) -> Viewing {
        Viewing::new(self.distance_mm, self.screen_width_mm, self.low_vision)
    }
}

/// How far the picture is turned, clockwise, for a screen that stands on its side or hangs upside down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Turn {
    /// Upright.
    #[default]
    None,
    /// 90 degrees.
    Quarter,
    /// 180 degrees.
    Half,
    /// 270 degrees.
    ThreeQuarters,
}

impl Turn {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::None, Self::Quarter, Self::Half, Self::ThreeQuarters];

    /// From degrees clockwise; 0, 90, 180 or 270, otherwise none.
    pub fn from_degrees(degrees: u32) -> Option<Self> {
        Self::ALL.into_iter().zip([0, 90, 180, 270]).find(|(_, turn)| *turn == degrees).map(|(turn, _)| turn)
    }

    /// The size of the upright picture that fills a frame of this size once turned.
    pub(super) fn upright(self, frame: Size) -> Size {
        match self {
            Self::None | Self::Half => frame,
            Self::Quarter | Self::ThreeQuarters => Size { width: frame.height, height: frame.width },
        }
    }
}

/// The part of the screen that is used, as the client sees it, after any turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Part {
    /// All of it.
    #[default]
    Whole,
    /// The left half.
    LeftHalf,
    /// The right half.
    RightHalf,
    /// The upper half.
    UpperHalf,
    /// The lower half.
    LowerHalf,
    /// The middle, three quarters of the width and of the height.
    Middle,
}

impl Part {
    /// All of them, with the name by which each is chosen.
    pub const NAMED: [(&'static str, Self); 6] = [
        ("whole", Self::Whole),
        ("left-half", Self::LeftHalf),
        ("right-half", Self::RightHalf),
        ("upper-half", Self::UpperHalf),
        ("lower-half", Self::LowerHalf),
        ("middle", Self::Middle),
    ];

    /// By its name in [`Part::NAMED`].
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMED.into_iter().find(|(known, _)| *known == name).map(|(_, part)| part)
    }

    pub(super) fn of(self, size: Size) -> Rect {
        let Size { width, height } = size;
        match self {
            Self::Whole => Rect::new(0, 0, width, height),
            Self::LeftHalf => Rect::new(0, 0, width / 2, height),
            Self::RightHalf => Rect::new(width - width / 2, 0, width / 2, height),
            Self::UpperHalf => Rect::new(0, 0, width, height / 2),
            Self::LowerHalf => Rect::new(0, height - height / 2, width, height / 2),
            Self::Middle => Rect::new(width / 8, height / 8, width - 2 * (width / 8), height - 2 * (height / 8)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_lies_on_the_screen() {
        for size in [Size { width: 1, height: 1 }, Size { width: 641, height: 359 }] {
            for (name, part) in Part::NAMED {
                let rect = part.of(size);
                assert!(rect.x + rect.width <= size.width && rect.y + rect.height <= size.height, "{name}");
                assert_eq!(Part::from_name(name), Some(part));
            }
        }
    }

    #[test]
    fn the_field_that_is_touched_lies_under_all_that_is_shown() {
        let size = Size { width: 1_280, height: 720 };
        let with = BoardSetup { touch_field: true, ..BoardSetup::default() };
        assert_eq!((with.field(size), with.used(size).height), (Rect::new(0, 576, 1_280, 144), 576));
        let half = BoardSetup { part: Part::RightHalf, ..with };
        assert_eq!(half.field(size), Rect::new(640, 576, 640, 144));
        let without = BoardSetup::default();
        assert!(without.field(size).is_empty() && without.used(size) == Rect::new(0, 0, 1_280, 720));
        assert!(with.field(size).holds(0.0, 576.0) && !with.field(size).holds(0.0, 575.9));
        assert!(!without.field(size).holds(0.0, 719.0), "an empty one holds nothing");
    }

    #[test]
    fn turns_are_right_angles() {
        assert_eq!(Turn::from_degrees(270), Some(Turn::ThreeQuarters));
        assert_eq!(Turn::from_degrees(45), None);
    }

    #[test]
    fn impossible_lengths_are_refused_with_a_remedy() {
        let far = BoardSetup { distance_mm: 0, ..BoardSetup::default() };
        assert!(far.check().unwrap_err().contains("measure it again"));
        assert!(BoardSetup { screen_width_mm: u32::MAX, ..BoardSetup::default() }.check().is_err());
        assert!(BoardSetup::default().check().is_ok());
    }
}
