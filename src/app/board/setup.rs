//! How a board is set up: once, before it is shown.

use super::legibility::Viewing;
use super::theme::Look;

/// Everything that is chosen before the board is shown.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Setup {
    /// Colours.
    pub look: Look,
    /// How far away and how wide the screen is.
    pub viewing: Viewing,
    /// How the screen stands.
    pub turn: Turn,
    /// The part of the screen that is used.
    pub portion: Portion,
    /// Tiles that are not lit are fainter (still at least 7:1).
    pub dim_unlit: bool,
    /// A corner that changes between black and white with every scene, for a light sensor.
    pub sensor_patch: bool,
    /// Where letters come from that the built-in fonts lack.
    pub fonts: Fonts,
}

/// Where letters come from that the built-in fonts lack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Fonts {
    /// The fonts of this computer, read when first needed.
    #[default]
    BuiltInThenSystem,
    /// Nowhere: pictures are the same on every computer.
    BuiltIn,
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

    pub(super) fn swaps_sides(self) -> bool {
        matches!(self, Self::Quarter | Self::ThreeQuarters)
    }
}

/// A part of the screen, in per cent of its width and height, before any turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Portion {
    left: u8,
    top: u8,
    width: u8,
    height: u8,
}

impl Default for Portion {
    fn default() -> Self {
        Self { left: 0, top: 0, width: 100, height: 100 }
    }
}

impl Portion {
    /// Checks that the part lies on the screen and is at least a tenth of it each way.
    ///
    /// # Errors
    /// A sentence that says what is wrong and what would be right.
    pub fn new(left: u8, top: u8, width: u8, height: u8) -> Result<Self, String> {
        let inside = |start: u8, length: u8| length >= 10 && u16::from(start) + u16::from(length) <= 100;
        if inside(left, width) && inside(top, height) {
            return Ok(Self { left, top, width, height });
        }
        Err(format!(
            "cannot use the part of the screen `{left},{top},{width},{height}`: \
             left and width, top and height must each add up to at most 100 per cent, \
             and width and height be at least 10; the whole screen is `0,0,100,100`"
        ))
    }

    pub(super) fn of(self, size: super::Size) -> super::Rect {
        let share = |length: u32, percent: u8| (u64::from(length) * u64::from(percent) / 100) as u32;
        super::Rect::new(
            share(size.width, self.left),
            share(size.height, self.top),
            share(size.width, self.width),
            share(size.height, self.height),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_off_the_screen_is_refused() {
        assert!(Portion::new(50, 0, 50, 100).is_ok());
        assert!(Portion::new(60, 0, 50, 100).unwrap_err().contains("0,0,100,100"));
        assert!(Portion::new(255, 255, 255, 255).is_err());
        assert!(Portion::new(0, 0, 5, 100).is_err());
    }

    #[test]
    fn turns_are_right_angles() {
        assert_eq!(Turn::from_degrees(270), Some(Turn::ThreeQuarters));
        assert_eq!(Turn::from_degrees(45), None);
    }
}
