//! The looks: every colour that the board uses, and the proportions of a tile.
//!
//! A lit tile differs in three ways that need no colour vision and do not depend on each other: a
//! thick border, a fill that turns light to dark or dark to light, and a mark in a corner.

use super::colour::Colour;

/// Proportions of a tile, as shares of its shorter side.
pub mod proportions {
    /// The border of a lit tile; at least a twelfth.
    pub const BORDER: f32 = 1.0 / 11.5;
    /// The seam between that border and the fill.
    pub const SEAM: f32 = 0.016;
    /// The line round an unlit tile.
    pub const EDGE: f32 = 0.008;
    /// Round corners.
    pub const RADIUS: f32 = 0.08;
    /// The corner mark of a lit tile.
    pub const CORNER_MARK: f32 = 0.16;
    /// From the inner edge of the border to words and picture.
    pub const PADDING: f32 = 0.035;
    /// The mark of a thing that is on: radius of its dot.
    pub const ON_DOT: f32 = 0.042;
    /// The chevron on a tile that leads to another page: half its height.
    pub const CHEVRON: f32 = 0.06;
    /// Length of each arm of the target's brackets, and the width of their line.
    pub const BRACKET: (f32, f32) = (0.17, 0.05);
}

/// A choice of colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Look {
    /// Light letters on a dark screen; for a bedroom.
    #[default]
    Dark,
    /// Dark letters on a light screen; for a bright room.
    Light,
    /// Yellow on black; for low vision.
    BlackYellow,
}

impl Look {
    /// All of them, with the name by which each is chosen.
    pub const NAMED: [(&'static str, Self); 3] =
        [("dark", Self::Dark), ("light", Self::Light), ("black-yellow", Self::BlackYellow)];

    /// By its name in [`Look::NAMED`].
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMED.into_iter().find(|(known, _)| *known == name).map(|(_, look)| look)
    }

    /// Its colours.
    pub fn theme(self) -> &'static Theme {
        match self {
            Self::Dark => &DARK,
            Self::Light => &LIGHT,
            Self::BlackYellow => &BLACK_YELLOW,
        }
    }
}

/// The colours of one look. Text is at least 7:1 on what it stands on, states at least 3:1.
#[derive(Clone, Debug)]
pub struct Theme {
    /// The screen behind everything.
    pub background: Colour,
    /// Words and pictures on the screen.
    pub text: Colour,
    /// Lesser words on the screen.
    pub quiet_text: Colour,
    /// A tile that is not lit.
    pub tile: Colour,
    /// The thin line round an unlit tile.
    pub tile_edge: Colour,
    /// Words and picture on an unlit tile.
    pub tile_text: Colour,
    /// The same where unlit tiles are dimmed.
    pub dimmed_text: Colour,
    /// A lit tile.
    pub lit: Colour,
    /// Words and picture on a lit tile.
    pub lit_text: Colour,
    /// The thick border and the corner mark of a lit tile.
    pub ring: Colour,
    /// The thin line between border and fill of a lit tile.
    pub seam: Colour,
    /// The mark of the target on an unlit tile.
    pub target: Colour,
    /// What is on, open or up; the thing of the home that has just changed.
    pub accent: Colour,
    /// Light that the simulated home gives off.
    pub glow: Colour,
    /// Outlines in the simulated home.
    pub ink: Colour,
    /// Surfaces in the simulated home.
    pub surface: Colour,
    /// A line that needs someone to act.
    pub urgent: Colour,
    /// Words on it.
    pub urgent_text: Colour,
    /// The clinician's pages.
    pub sheet: Colour,
    /// Words on them.
    pub sheet_text: Colour,
    /// The bar at the head of the clinician's pages.
    pub sheet_bar: Colour,
    /// Words on it.
    pub sheet_bar_text: Colour,
}

static DARK: Theme = Theme {
    background: Colour::hex(0x11161C),
    text: Colour::hex(0xF3F1EA),
    quiet_text: Colour::hex(0xB4BDC6),
    tile: Colour::hex(0x1E2731),
    tile_edge: Colour::hex(0x748494),
    tile_text: Colour::hex(0xF3F1EA),
    dimmed_text: Colour::hex(0xAFB9C2),
    lit: Colour::hex(0xFFD65C),
    lit_text: Colour::hex(0x14181C),
    ring: Colour::hex(0xFFF9E8),
    seam: Colour::hex(0x11161C),
    target: Colour::hex(0x7CC7F2),
    accent: Colour::hex(0x6FD3B4),
    glow: Colour::hex(0xFFD65C),
    ink: Colour::hex(0xB4BDC6),
    surface: Colour::hex(0x3A4754),
    urgent: Colour::hex(0xFFB454),
    urgent_text: Colour::hex(0x14181C),
    sheet: Colour::hex(0x26313C),
    sheet_text: Colour::hex(0xF3F1EA),
    sheet_bar: Colour::hex(0xA9C6DA),
    sheet_bar_text: Colour::hex(0x14181C),
};

static LIGHT: Theme = Theme {
    background: Colour::hex(0xEFECE4),
    text: Colour::hex(0x16202A),
    quiet_text: Colour::hex(0x424D58),
    tile: Colour::hex(0xFFFEFA),
    tile_edge: Colour::hex(0x77828D),
    tile_text: Colour::hex(0x16202A),
    dimmed_text: Colour::hex(0x4A545E),
    lit: Colour::hex(0x0F4C81),
    lit_text: Colour::hex(0xFFFFFF),
    ring: Colour::hex(0x10161C),
    seam: Colour::hex(0xFFFEFA),
    target: Colour::hex(0x6A2C8F),
    accent: Colour::hex(0x00694D),
    glow: Colour::hex(0xF2B51D),
    ink: Colour::hex(0x424D58),
    surface: Colour::hex(0xCFCBC0),
    urgent: Colour::hex(0x7A2E00),
    urgent_text: Colour::hex(0xFFFFFF),
    sheet: Colour::hex(0xD9E2EA),
    sheet_text: Colour::hex(0x16202A),
    sheet_bar: Colour::hex(0x24435E),
    sheet_bar_text: Colour::hex(0xFFFFFF),
};

static BLACK_YELLOW: Theme = Theme {
    background: Colour::hex(0x000000),
    text: Colour::hex(0xFFE600),
    quiet_text: Colour::hex(0xD6C400),
    tile: Colour::hex(0x000000),
    tile_edge: Colour::hex(0xA89A00),
    tile_text: Colour::hex(0xFFE600),
    dimmed_text: Colour::hex(0xBFAF00),
    lit: Colour::hex(0xFFE600),
    lit_text: Colour::hex(0x000000),
    ring: Colour::hex(0xFFFFFF),
    seam: Colour::hex(0x000000),
    target: Colour::hex(0xFFFFFF),
    accent: Colour::hex(0xFFFFFF),
    glow: Colour::hex(0xFFE600),
    ink: Colour::hex(0xD6C400),
    surface: Colour::hex(0x3D3800),
    urgent: Colour::hex(0xFFFFFF),
    urgent_text: Colour::hex(0x000000),
    sheet: Colour::hex(0x2B2B2B),
    sheet_text: Colour::hex(0xFFFFFF),
    sheet_bar: Colour::hex(0xFFFFFF),
    sheet_bar_text: Colour::hex(0x000000),
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::board::colour::{contrast, flashes, general_flash, saturated_red};
    use crate::app::board::frame::Rect;
    use crate::app::board::layout::{Layout, cell_size};
    use crate::settings::Id;
    use crate::settings::Kind;

    /// WCAG 2.2, success criterion 1.4.6: text at 7:1.
    #[test]
    fn all_text_has_at_least_seven_to_one() {
        for look in Look::NAMED.map(|(_, look)| look) {
            let t = look.theme();
            let pairs = [
                ("text", t.text, t.background),
                ("quiet text", t.quiet_text, t.background),
                ("tile", t.tile_text, t.tile),
                ("dimmed tile", t.dimmed_text, t.tile),
                ("lit tile", t.lit_text, t.lit),
                ("urgent", t.urgent_text, t.urgent),
                ("sheet", t.sheet_text, t.sheet),
                ("sheet bar", t.sheet_bar_text, t.sheet_bar),
            ];
            for (what, ink, ground) in pairs {
                assert!(contrast(ink, ground) >= 7.0, "{look:?} {what}: {}", contrast(ink, ground));
            }
        }
    }

    /// WCAG 2.2, success criterion 1.4.11: controls and their states at 3:1.
    #[test]
    fn all_states_have_at_least_three_to_one() {
        for look in Look::NAMED.map(|(_, look)| look) {
            let t = look.theme();
            let pairs = [
                ("lit against unlit fill", t.lit, t.tile),
                ("border against screen", t.ring, t.background),
                ("border against unlit tile", t.ring, t.tile),
                ("seam against border", t.seam, t.ring),
                ("seam against fill", t.seam, t.lit),
                ("target", t.target, t.tile),
                ("target when lit", t.lit_text, t.lit),
                ("edge against screen", t.tile_edge, t.background),
                ("edge against tile", t.tile_edge, t.tile),
                ("on mark", t.accent, t.tile),
                ("home changed", t.accent, t.background),
                ("home outline", t.ink, t.background),
                ("urgent line", t.urgent, t.background),
                ("sheet bar", t.sheet_bar, t.sheet),
            ];
            for (what, one, other) in pairs {
                assert!(contrast(one, other) >= 3.0, "{look:?} {what}: {}", contrast(one, other));
            }
        }
    }

    /// WCAG 2.2, 2.3.1: no red flash, as no colour of a highlight is a saturated red.
    #[test]
    fn no_highlight_goes_through_saturated_red() {
        for look in Look::NAMED.map(|(_, look)| look) {
            let t = look.theme();
            for colour in [t.background, t.tile, t.tile_edge, t.tile_text, t.lit, t.lit_text, t.ring, t.seam, t.target]
            {
                assert!(!saturated_red(colour), "{look:?} {colour:?}");
            }
        }
    }

    /// Changes of one place that is lit at every other step.
    fn every_other_step(look: Look, step_us: i64) -> usize {
        let t = look.theme();
        let at = |k: i64| if k % 2 == 0 { t.tile.luminance() } else { t.lit.luminance() };
        flashes(&(0..30).map(|k| (k * step_us, at(k))).collect::<Vec<_>>())
    }

    fn fastest_scan_us() -> i64 {
        match Id::ScanInterval.setting().kind {
            Kind::Time { min, .. } => min,
            other => panic!("the scan interval is a time, not {other:?}"),
        }
    }

    /// WCAG 2.2, 2.3.1: no single place flashes more than three times in a second at the fastest scan
    /// that can be set, even if it is lit at every other step; the check itself can fail.
    #[test]
    fn no_place_flashes_more_than_three_times_a_second_at_the_fastest_scan() {
        for (_, look) in Look::NAMED {
            let t = look.theme();
            assert!(general_flash(t.tile.luminance(), t.lit.luminance()), "the change is large enough to count");
            assert!(every_other_step(look, fastest_scan_us()) <= 3, "{look:?}");
            assert!(every_other_step(look, 120_000) > 3, "{look:?}");
        }
    }

    /// WCAG 2.2, 2.3.1, area rule: a quarter of 341×256 of 1024×768 pixels, 21,824, may flash freely.
    /// A tile is larger, so if all tiles of a view are counted together it is the rate that keeps the
    /// scan safe: below 0.334 s a step, where more than three may light in a second, the registry warns.
    #[test]
    fn a_scan_that_may_light_more_than_three_tiles_a_second_carries_a_caution() {
        let most_pixels = 341 * 256 / 4;
        assert_eq!(most_pixels, 21_824);
        let layout = Layout::new(Rect::new(0, 0, 1_024, 768), 30.0, true, false, true);
        let tile = cell_size(layout.body, 3, 2, layout.gap);
        assert!(tile.width * tile.height > most_pixels);
        assert!(layout.patch.width * layout.patch.height < most_pixels, "the patch for a sensor may flash freely");
        let lit_in_a_second = |step_us: i64| (1_000_000 + step_us - 1) / step_us;
        for step in (fastest_scan_us()..500_000).step_by(1_000) {
            let cautioned = Id::ScanInterval.setting().caution_at(step).is_some();
            assert_eq!(cautioned, lit_in_a_second(step) > 3, "{step}");
        }
    }
}
