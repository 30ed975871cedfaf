//! How large letters have to be to be read from the bed. Pure arithmetic.
//!
//! The rule: a capital letter subtends at least 25 minutes of arc at the eye, 50 with low vision
//! (from memory: guidance on displays recommends about 20 to 22 and asks for more where reading
//! matters; the doubling for low vision is common practice, no source). The height of a letter is
//! that of a capital, as display standards measure it (from memory: ISO 9241-303). In the built-in
//! font small letters are three quarters as tall, so at 25 minutes an `x` still subtends 18.
//!
//! Check: 25 minutes at 2 m are 14.5 mm, so letters of 15 mm pass.

/// Height of a capital in the built-in font, as a share of the font size.
pub const CAPITAL: f32 = 0.714;

/// Minutes of arc that a capital subtends at least.
pub const MINUTES: f64 = 25.0;

/// The same for a client with low vision.
pub const MINUTES_LOW_VISION: f64 = 50.0;

/// From where and on what the client looks; asked once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Viewing {
    distance_mm: u32,
    screen_width_mm: u32,
    low_vision: bool,
}

impl Default for Viewing {
    /// A 24-inch screen at 1 m.
    fn default() -> Self {
        Self { distance_mm: 1_000, screen_width_mm: 531, low_vision: false }
    }
}

impl Viewing {
    /// Takes the distance from eye to screen, 200 to 10,000 mm, and the width of the picture, 50 to 5,000 mm.
    ///
    /// # Errors
    /// A sentence that names the length out of range.
    pub fn new(distance_mm: u32, screen_width_mm: u32, low_vision: bool) -> Result<Self, String> {
        check("the distance to the screen", distance_mm, 200, 10_000)?;
        check("the width of the screen", screen_width_mm, 50, 5_000)?;
        Ok(Self { distance_mm, screen_width_mm, low_vision })
    }

    /// Height of the smallest allowed capital, mm.
    pub fn capital_mm(self) -> f64 {
        height_mm(f64::from(self.distance_mm), if self.low_vision { MINUTES_LOW_VISION } else { MINUTES })
    }

    /// Height of the smallest allowed capital on a screen this many pixels wide, px.
    pub fn capital_px(self, screen_width_px: u32) -> f32 {
        (self.capital_mm() * f64::from(screen_width_px) / f64::from(self.screen_width_mm)) as f32
    }

    /// Smallest allowed font size on a screen this many pixels wide, px.
    pub fn font_px(self, screen_width_px: u32) -> f32 {
        self.capital_px(screen_width_px) / CAPITAL
    }

    /// The distance at which a capital of this height would just be large enough on that screen, mm.
    pub fn distance_for(self, capital_px: f32, screen_width_px: u32) -> f64 {
        f64::from(self.distance_mm) * f64::from(capital_px) / f64::from(self.capital_px(screen_width_px))
    }
}

/// Height that subtends so many minutes of arc at this distance, mm.
pub fn height_mm(distance_mm: f64, minutes: f64) -> f64 {
    2.0 * distance_mm * (minutes / 60.0 / 2.0).to_radians().tan()
}

/// How many tiles of at least `tile` fit on `area` with `gap` between them; sizes as (width, height) in px.
pub fn tiles_that_fit(area: (f32, f32), tile: (f32, f32), gap: f32) -> usize {
    let along = |length: f32, one: f32| ((length + gap) / (one + gap)).max(0.0).floor() as usize;
    along(area.0, tile.0) * along(area.1, tile.1)
}

fn check(what: &str, value: u32, least: u32, most: u32) -> Result<(), String> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    Err(format!("cannot use `{value}` mm as {what}: it must lie between {least} and {most} mm; measure it again"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trigonometry: 2·d·tan(half the angle).
    #[test]
    fn fifteen_millimetres_at_two_metres_pass() {
        let least = height_mm(2_000.0, MINUTES);
        assert!((least - 14.544).abs() < 1e-3, "{least}");
        let viewing = Viewing::new(2_000, 531, false).unwrap();
        assert!(viewing.capital_mm() <= 15.0);
        let low = Viewing::new(2_000, 531, true).unwrap();
        assert!((low.capital_mm() - 29.089).abs() < 1e-3);
    }

    #[test]
    fn pixels_follow_the_width_of_the_screen() {
        let viewing = Viewing::new(2_000, 531, false).unwrap();
        let (full, ultra) = (viewing.capital_px(1_920), viewing.capital_px(3_840));
        assert!((full - 52.59).abs() < 0.01, "{full}");
        assert!((ultra / full - 2.0).abs() < 1e-6);
        assert!((viewing.distance_for(full / 2.0, 1_920) - 1_000.0).abs() < 0.1);
    }

    #[test]
    fn lengths_out_of_range_are_refused_with_a_remedy() {
        assert!(Viewing::new(0, 531, false).unwrap_err().contains("measure it again"));
        assert!(Viewing::new(2_000, u32::MAX, false).is_err());
    }

    #[test]
    fn whole_tiles_are_counted() {
        assert_eq!(tiles_that_fit((100.0, 50.0), (48.0, 50.0), 4.0), 2);
        assert_eq!(tiles_that_fit((100.0, 50.0), (49.0, 50.0), 4.0), 1);
        assert_eq!(tiles_that_fit((100.0, 50.0), (10.0, 51.0), 4.0), 0);
    }
}
