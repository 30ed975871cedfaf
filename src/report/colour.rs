//! The colours of the report: one name each, used by the style sheet and the plots as `var(--name)`.
//!
//! No other file of the report states a colour, so the contrast that the tests compute is the one
//! on the page.

/// Name and value of every colour, `#rrggbb`.
pub(super) const COLOURS: &[(&str, &str)] = &[
    ("paper", "#ffffff"),
    ("ground", "#f3f1ec"),
    ("ink", "#1c2228"),
    ("quiet", "#4f5963"),
    ("rule", "#d5d2ca"),
    ("axis", "#737b83"),
    ("accent", "#0c5a61"),
    ("accent-pale", "#e7f1f0"),
    ("band", "#cfe3e2"),
    ("warn", "#7a3b00"),
    ("warn-pale", "#fcf2e2"),
    ("hit", "#a9d3d1"),
    ("early", "#f3dfae"),
    ("late", "#f0c4a8"),
    ("omission", "#f7f6f3"),
    ("extra", "#d9cde8"),
    ("wrong", "#e6b8c2"),
    ("aborted", "#dcdcdc"),
];

/// The declarations for the style sheet.
pub(super) fn declarations() -> String {
    let lines: String = COLOURS.iter().map(|(name, value)| format!("--{name}:{value};")).collect();
    format!(":root{{{lines}}}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn luminance(name: &str) -> f64 {
        let (_, value) = COLOURS.iter().find(|(known, _)| *known == name).expect("a colour of the report");
        let linear = |from: usize| {
            let channel = f64::from(u8::from_str_radix(&value[from..from + 2], 16).unwrap()) / 255.0;
            if channel <= 0.03928 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(1) + 0.7152 * linear(3) + 0.0722 * linear(5)
    }

    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.2, success criterion 1.4.3: 4.5:1 for text of any size.
    #[test]
    fn text_stands_out_from_what_it_stands_on() {
        let outcomes = ["hit", "early", "late", "omission", "extra", "wrong", "aborted"].map(|name| ("ink", name));
        let pages = ["paper", "ground", "accent-pale", "warn-pale", "band"].map(|name| ("ink", name));
        let rest = [
            ("quiet", "paper"),
            ("quiet", "ground"),
            ("quiet", "accent-pale"),
            ("quiet", "band"),
            ("warn", "accent-pale"),
            ("accent", "paper"),
            ("accent", "accent-pale"),
            ("accent", "band"),
            ("warn", "warn-pale"),
            ("warn", "paper"),
            ("paper", "warn"),
        ];
        for (text, ground) in outcomes.into_iter().chain(pages).chain(rest) {
            let ratio = contrast(text, ground);
            assert!(ratio >= 4.5, "{text} on {ground}: {ratio:.2}");
        }
    }

    /// WCAG 2.2, success criterion 1.4.11: 3:1 for what a plot is read from.
    #[test]
    fn marks_stand_out_from_the_paper() {
        for mark in ["ink", "axis", "accent", "warn", "quiet"] {
            let ratio = contrast(mark, "paper");
            assert!(ratio >= 3.0, "{mark}: {ratio:.2}");
        }
    }

    /// The relative luminance of `#767676` against white is the textbook case just above 4.5:1.
    #[test]
    fn the_formula_gives_the_known_ratio_of_black_and_white() {
        let black_on_white: f64 = (1.0 + 0.05) / 0.05;
        assert!((black_on_white - 21.0).abs() < 1e-12);
        assert!((luminance("paper") - 1.0).abs() < 1e-12);
    }
}
