//! Colours, and the published rules for contrast and flashes.
//!
//! Source of the formulas: WCAG 2.2, definitions of relative luminance, contrast ratio, and
//! general flash and red flash thresholds (W3C).

/// One opaque colour in sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Colour {
    /// Red, 0 to 255.
    pub r: u8,
    /// Green, 0 to 255.
    pub g: u8,
    /// Blue, 0 to 255.
    pub b: u8,
}

impl Colour {
    /// From a number written as `0xRRGGBB`.
    pub const fn hex(rgb: u32) -> Self {
        Self { r: (rgb >> 16) as u8, g: (rgb >> 8) as u8, b: rgb as u8 }
    }

    /// A colour between this (0) and another (1).
    pub fn towards(self, other: Self, share: f32) -> Self {
        let part = |a: u8, b: u8| (f32::from(a) + (f32::from(b) - f32::from(a)) * share.clamp(0.0, 1.0)).round() as u8;
        Self { r: part(self.r, other.r), g: part(self.g, other.g), b: part(self.b, other.b) }
    }

    /// Relative luminance, 0 (black) to 1 (white).
    pub fn luminance(self) -> f64 {
        let [r, g, b] = self.linear();
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    fn linear(self) -> [f64; 3] {
        [self.r, self.g, self.b].map(|byte| {
            let channel = f64::from(byte) / 255.0;
            if channel <= 0.03928 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
        })
    }
}

/// Contrast ratio of two colours, 1 to 21, the same either way round.
pub fn contrast(one: Colour, other: Colour) -> f64 {
    let (a, b) = (one.luminance(), other.luminance());
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Whether WCAG counts the colour as a saturated red: R/(R+G+B) of at least 0.8, linear.
pub fn saturated_red(colour: Colour) -> bool {
    let [r, g, b] = colour.linear();
    let sum = r + g + b;
    sum > 0.0 && r / sum >= 0.8
}

/// Whether a change between two luminances can be half of a general flash: at least a tenth of the
/// maximum relative luminance, the darker one below 0.80.
pub fn general_flash(one: f64, other: f64) -> bool {
    (one - other).abs() >= 0.1 && one.min(other) < 0.8
}

/// The most general flashes (pairs of opposing changes) of one place in any one second.
///
/// `changes` are times in microseconds, growing, each with the luminance from then on.
pub fn flashes(changes: &[(i64, f64)]) -> usize {
    let moves = opposing(changes);
    let within = |start: i64| moves.iter().filter(|at| **at >= start && **at < start + 1_000_000).count();
    moves.iter().map(|at| within(*at) / 2).max().unwrap_or(0)
}

fn opposing(changes: &[(i64, f64)]) -> Vec<i64> {
    changes.windows(2).filter(|pair| general_flash(pair[0].1, pair[1].1)).map(|pair| pair[1].0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2, success criteria 1.4.3 and 1.4.6: greys that just pass or miss, from the formula.
    #[test]
    fn greys_on_white_have_the_published_ratios() {
        let white = Colour::hex(0xFFFFFF);
        for (grey, ratio) in [(0x767676, 4.542225), (0x777777, 4.478089)] {
            assert!((contrast(Colour::hex(grey), white) - ratio).abs() < 1e-6, "{grey:x}");
        }
        for (grey, ratio) in [(0x949494, 3.0335), (0x595959, 7.0047)] {
            assert!((contrast(Colour::hex(grey), white) - ratio).abs() < 5e-5, "{grey:x}");
        }
        assert!((contrast(Colour::hex(0), white) - 21.0).abs() < 1e-12);
    }

    /// The palette of Okabe and Ito (Color Universal Design), ratios by the WCAG formula.
    #[test]
    fn the_okabe_ito_palette_has_its_known_ratios() {
        let rows: [(u32, f64, f64, f64); 7] = [
            (0xE69F00, 0.41619, 2.252, 9.324),
            (0x56B4E9, 0.40504, 2.307, 9.101),
            (0x009E73, 0.25692, 3.421, 6.138),
            (0xF0E442, 0.74405, 1.322, 15.881),
            (0x0072B2, 0.15249, 5.185, 4.050),
            (0xD55E00, 0.22152, 3.867, 5.430),
            (0xCC79A7, 0.29302, 3.061, 6.860),
        ];
        for (hex, luminance, on_white, on_black) in rows {
            let colour = Colour::hex(hex);
            assert!((colour.luminance() - luminance).abs() < 5e-6, "{hex:x}");
            assert!((contrast(colour, Colour::hex(0xFFFFFF)) - on_white).abs() < 5e-4, "{hex:x}");
            assert!((contrast(colour, Colour::hex(0)) - on_black).abs() < 5e-4, "{hex:x}");
        }
        assert!((contrast(Colour::hex(0xF0E442), Colour::hex(0x1A1A1A)) - 13.16).abs() < 5e-3);
    }

    /// WCAG 2.2 red flash: of the palette only vermillion is a saturated red (0.856); orange is not (0.695).
    #[test]
    fn vermillion_is_a_saturated_red_and_orange_is_not() {
        assert!(saturated_red(Colour::hex(0xD55E00)));
        assert!(!saturated_red(Colour::hex(0xE69F00)));
    }

    /// The older text of WCAG has 0.04045 as the limit of the linear part, the newer 0.03928: no byte lies between.
    #[test]
    fn both_published_limits_of_the_linear_part_agree_on_every_byte() {
        let between = |byte: &u8| (0.03928..=0.04045).contains(&(f64::from(*byte) / 255.0));
        assert_eq!((0..=u8::MAX).find(between), None);
    }

    /// WCAG 2.3.1: three flashes in a second pass, four do not. Nine samples that alternate between
    /// 0.05 and 0.80 of the maximum luminance are four flashes.
    #[test]
    fn flashes_are_pairs_of_changes_in_one_second() {
        let blink = |period: i64| (0..40).map(|k| (k * period, if k % 2 == 0 { 0.0 } else { 1.0 })).collect::<Vec<_>>();
        assert_eq!(flashes(&blink(167_000)), 3);
        assert_eq!(flashes(&blink(125_000)), 4);
        let samples: Vec<(i64, f64)> = (0..9).map(|k| (k * 100_000, if k % 2 == 0 { 0.05 } else { 0.80 })).collect();
        assert_eq!(flashes(&samples), 4);
        assert_eq!(flashes(&[(0, 0.85), (1, 1.0), (2, 0.85)]), 0);
    }
}
