//! The colours of the report: one name each, used by the style sheet and the plots as `var(--name)`.
//!
//! No other file of the report states a colour, so the contrast that the tests compute is the one
//! on the page.

/// Name of every colour with its value on a light and on a dark ground, `#rrggbb`. The grounds of
/// outcomes and the marks are those of Okabe and Ito (2008, Color Universal Design), some lightened or
/// darkened until they stand out.
pub(super) const COLOURS: &[(&str, &str, &str)] = &[
    ("paper", "#ffffff", "#14181c"),
    ("ground", "#f1f2f4", "#0b0d0f"),
    ("ink", "#1a1f24", "#e9ecef"),
    ("quiet", "#4c5661", "#aab4be"),
    ("rule", "#d6dae0", "#343b43"),
    ("axis", "#717a84", "#8b959f"),
    ("accent", "#00568a", "#6fc1f0"),
    ("accent-pale", "#eaf3f9", "#152733"),
    ("band", "#cbe3f3", "#1f4358"),
    ("window", "#eff6fb", "#18242d"),
    ("warn", "#8a3c00", "#f2a661"),
    ("warn-pale", "#fdf3e4", "#2e2115"),
    ("on-warn", "#ffffff", "#14181c"),
    ("in-force", "#d55e00", "#f08a3c"),
    ("on-fill", "#14181c", "#14181c"),
    ("halo", "#ffffff", "#ffffff"),
    ("hit", "#56b4e9", "#56b4e9"),
    ("early", "#f0e442", "#f0e442"),
    ("late", "#e69f00", "#e69f00"),
    ("omission", "#f4f4f4", "#d9d9d9"),
    ("extra", "#cc79a7", "#cc79a7"),
    ("wrong", "#e98a4b", "#e98a4b"),
    ("aborted", "#dcdcdc", "#c4c4c4"),
];

/// The declarations for the style sheet. A screen that is set to dark has the dark ones; paper never.
pub(super) fn declarations() -> String {
    let of = |value: fn(&(&str, &'static str, &'static str)) -> &'static str| -> String {
        COLOURS.iter().map(|colour| format!("--{}:{};", colour.0, value(colour))).collect()
    };
    let (light, dark) = (of(|colour| colour.1), of(|colour| colour.2));
    format!(":root{{{light}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On the light and on the dark ground.
    const GROUNDS: [usize; 2] = [0, 1];

    fn luminance(name: &str, ground: usize) -> f64 {
        let (_, light, dark) = COLOURS.iter().find(|(known, ..)| *known == name).expect("a colour of the report");
        let value = [light, dark][ground];
        let linear = |from: usize| {
            let channel = f64::from(u8::from_str_radix(&value[from..from + 2], 16).unwrap()) / 255.0;
            if channel <= 0.03928 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(1) + 0.7152 * linear(3) + 0.0722 * linear(5)
    }

    fn contrast(one: &str, other: &str, ground: usize) -> f64 {
        let (a, b) = (luminance(one, ground), luminance(other, ground));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.2, success criterion 1.4.3: 4.5:1 for text of any size.
    #[test]
    fn text_stands_out_from_what_it_stands_on() {
        let outcomes = ["hit", "early", "late", "omission", "extra", "wrong", "aborted", "halo"];
        let outcomes = outcomes.map(|name| ("on-fill", name));
        let pages = ["paper", "ground", "accent-pale", "warn-pale", "band", "window"].map(|name| ("ink", name));
        let quiet = ["paper", "ground", "accent-pale", "warn-pale", "band", "window"].map(|name| ("quiet", name));
        let rest = [
            ("accent", "paper"),
            ("accent", "accent-pale"),
            ("warn", "warn-pale"),
            ("warn", "paper"),
            ("on-warn", "warn"),
        ];
        for ((text, on), ground) in outcomes
            .into_iter()
            .chain(pages)
            .chain(quiet)
            .chain(rest)
            .flat_map(|pair| GROUNDS.map(|ground| (pair, ground)))
        {
            let ratio = contrast(text, on, ground);
            assert!(ratio >= 4.5, "{text} on {on} ({ground}): {ratio:.2}");
        }
    }

    /// WCAG 2.2, success criterion 1.4.11: 3:1 for what a plot is read from.
    #[test]
    fn marks_stand_out_from_what_they_lie_on() {
        for mark in ["ink", "axis", "accent", "warn", "quiet", "in-force"] {
            for (on, ground) in ["paper", "window"].into_iter().flat_map(|on| GROUNDS.map(|ground| (on, ground))) {
                let ratio = contrast(mark, on, ground);
                assert!(ratio >= 3.0, "{mark} on {on} ({ground}): {ratio:.2}");
            }
        }
    }

    /// The ratio of black and white in WCAG 2.2, definition of contrast ratio.
    #[test]
    fn the_formula_gives_the_known_ratio_of_black_and_white() {
        let black_on_white: f64 = (1.0 + 0.05) / 0.05;
        assert!((black_on_white - 21.0).abs() < 1e-12);
        assert!((luminance("paper", 0) - 1.0).abs() < 1e-12);
    }
}
