//! How large letters have to be to be read from the bed. Pure arithmetic; paints nothing.
//!
//! The rule: a capital letter subtends at least 25 minutes of arc at the eye, 50 with low vision
//! (from memory: guidance on displays recommends about 20 to 22 and asks for more where reading
//! matters; the doubling for low vision is common practice, no source). The height of a letter is
//! that of a capital, as display standards measure it (from memory: ISO 9241-303). In the built-in
//! font small letters are three quarters as tall, so at 25 minutes an `x` still subtends 18.
//!
//! Check: 25 minutes at 2 m are 14.5 mm, so letters of 15 mm pass.

use std::ops::RangeInclusive;

/// Height of a capital in the built-in font, as a share of the font size.
pub const CAPITAL: f32 = 0.714;

/// Minutes of arc that a capital subtends at least.
pub const MINUTES: f64 = 25.0;

/// The same for a client with low vision.
pub const MINUTES_LOW_VISION: f64 = 50.0;

pub(super) const DISTANCE_MM: RangeInclusive<u32> = 200..=10_000;
pub(super) const SCREEN_WIDTH_MM: RangeInclusive<u32> = 50..=5_000;

/// What a page of tiles asks of the screen, and what the screen can give.
#[derive(Clone, Debug, PartialEq)]
pub struct Legibility {
    /// Height of the smallest capital that can be read from the bed, px.
    pub letter_px_needed: f32,
    /// Height of the smallest capital among the words meant for the client on this page, px.
    pub letter_px: f32,
    /// All words meant for the client are large enough and whole.
    pub fits: bool,
    /// The most tiles with words like these that fit on this screen, 0 to 36.
    pub largest_tile_count: usize,
    /// Words with letters that the built-in font lacks (it has Latin, Greek and Cyrillic).
    pub without_letters: Vec<String>,
    /// The distance from which these letters can be read, mm.
    pub distance_mm_possible: u32,
    distance_mm: u32,
    tile_count: usize,
}

impl Legibility {
    /// `tiles` are those on the page and the most that fit.
    pub(super) fn new(
        viewing: Viewing,
        screen_width_px: u32,
        letter_px: f32,
        tiles: (usize, usize),
        without_letters: Vec<String>,
    ) -> Self {
        let needed = viewing.capital_px(screen_width_px);
        let possible = f64::from(viewing.distance_mm) * f64::from(letter_px / needed);
        Self {
            letter_px_needed: needed,
            letter_px,
            // A hundredth of a pixel is lost in the arithmetic, not in the reading.
            fits: letter_px + 0.01 >= needed && without_letters.is_empty(),
            largest_tile_count: tiles.1,
            without_letters,
            distance_mm_possible: possible as u32,
            distance_mm: viewing.distance_mm,
            tile_count: tiles.0,
        }
    }

    /// What to tell the clinician when the words cannot be read from the bed.
    pub fn warning(&self) -> Option<String> {
        if self.fits {
            return None;
        }
        if let Some(words) = self.without_letters.first() {
            return Some(format!(
                "cannot show `{words}`: the built-in font has Latin, Greek and Cyrillic letters only"
            ));
        }
        let remedy = match self.largest_tile_count {
            fewer if fewer > 0 && fewer < self.tile_count => format!("show at most {}", tiles(fewer)),
            _ => "use a larger screen or shorter words".to_owned(),
        };
        Some(format!(
            "letters are too small to read from {:.1} m: {remedy}, or bring the screen to {:.1} m",
            f64::from(self.distance_mm) / 1_000.0,
            // Rounded towards the client, so that the promise holds.
            (f64::from(self.distance_mm_possible) / 100.0).floor() / 10.0,
        ))
    }
}

fn tiles(count: usize) -> String {
    if count == 1 { "1 tile".to_owned() } else { format!("{count} tiles") }
}

/// From where and on what the client looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Viewing {
    distance_mm: u32,
    screen_width_mm: u32,
    low_vision: bool,
}

impl Viewing {
    /// Lengths out of range count as the nearest possible one.
    pub fn new(distance_mm: u32, screen_width_mm: u32, low_vision: bool) -> Self {
        let within = |value: u32, range: RangeInclusive<u32>| value.clamp(*range.start(), *range.end());
        let (distance_mm, screen_width_mm) =
            (within(distance_mm, DISTANCE_MM), within(screen_width_mm, SCREEN_WIDTH_MM));
        Self { distance_mm, screen_width_mm, low_vision }
    }

    /// Height of the smallest allowed capital, mm.
    pub fn capital_mm(self) -> f64 {
        height_mm(f64::from(self.distance_mm), if self.low_vision { MINUTES_LOW_VISION } else { MINUTES })
    }

    /// Height of the smallest allowed capital on a screen this many pixels wide, px.
    pub fn capital_px(self, screen_width_px: u32) -> f32 {
        (self.capital_mm() * f64::from(screen_width_px.max(1)) / f64::from(self.screen_width_mm)) as f32
    }

    /// Smallest allowed font size on a screen this many pixels wide, px.
    pub fn font_px(self, screen_width_px: u32) -> f32 {
        self.capital_px(screen_width_px) / CAPITAL
    }
}

/// Height that subtends so many minutes of arc at this distance, mm.
pub fn height_mm(distance_mm: f64, minutes: f64) -> f64 {
    2.0 * distance_mm * (minutes / 60.0 / 2.0).to_radians().tan()
}

pub(super) fn check(what: &str, value: u32, range: RangeInclusive<u32>) -> Result<(), String> {
    if range.contains(&value) {
        return Ok(());
    }
    let (least, most) = range.into_inner();
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
        assert!(Viewing::new(2_000, 531, false).capital_mm() <= 15.0);
        assert!((Viewing::new(2_000, 531, true).capital_mm() - 29.089).abs() < 1e-3);
    }

    #[test]
    fn pixels_follow_the_width_of_the_screen() {
        let viewing = Viewing::new(2_000, 531, false);
        let (full, ultra) = (viewing.capital_px(1_920), viewing.capital_px(3_840));
        assert!((full - 52.59).abs() < 0.01, "{full}");
        assert!((ultra / full - 2.0).abs() < 1e-6);
    }

    #[test]
    fn the_warning_names_the_remedy_that_is_left() {
        let viewing = Viewing::new(2_000, 531, false);
        let judge = |letter: f32, tiles| Legibility::new(viewing, 1_920, letter, tiles, vec![]);
        assert_eq!(judge(53.0, (6, 9)).warning(), None);
        let fewer = judge(26.3, (9, 4)).warning().unwrap();
        assert_eq!(
            fewer,
            "letters are too small to read from 2.0 m: show at most 4 tiles, or bring the screen to 1.0 m"
        );
        let strange = Legibility::new(viewing, 1_920, 53.0, (6, 9), vec!["מנורה".into()]);
        assert!(strange.warning().unwrap().contains("`מנורה`"));
        assert!(judge(26.3, (1, 0)).warning().unwrap().contains("larger screen"));
    }
}
