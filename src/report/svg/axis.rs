//! Axes with their marks and names.

use super::marks::{line, words};
use super::scale::Scale;
use crate::report::text::clock;

/// Steps between the marks of an axis of numbers.
const STEPS: [f64; 3] = [1.0, 2.0, 5.0];
/// Steps between the marks of an axis of minutes and seconds.
const CLOCK_STEPS: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0];

/// An axis of numbers under a plot, 34 units high, with its name at the right.
pub(super) fn below(scale: &Scale, y: f64, name: &str) -> String {
    beneath(scale, y, name, scale.marks(9.0, &STEPS, 10.0), number)
}

/// The same of minutes and seconds.
pub(super) fn of_time(scale: &Scale, y: f64) -> String {
    let marks = scale.marks(10.0, &CLOCK_STEPS, 60.0);
    beneath(scale, y, "minutes and seconds since the start", marks, clock)
}

fn beneath(scale: &Scale, y: f64, name: &str, marks: Vec<f64>, shown: fn(f64) -> String) -> String {
    let (start, end) = scale.places();
    let marks = marks.into_iter().map(|value| {
        let x = scale.place(value);
        line("axis", (x, y), (x, y + 4.0)) + &words("tick middle", (x, y + 16.0), &shown(value))
    });
    line("axis", (start, y), (end, y)) + &marks.collect::<String>() + &words("tick clear end", (end, y + 30.0), name)
}

/// An axis at the left of a plot, with a line across for each mark.
pub(super) fn across(scale: &Scale, (left, right): (f64, f64)) -> String {
    let marks = scale.marks(5.0, &STEPS, 10.0).into_iter().map(|value| {
        let y = scale.place(value);
        line("grid", (left, y), (right, y)) + &words("tick end", (left - 8.0, y + 4.0), &number(value))
    });
    marks.collect()
}

/// Up to three decimals, and no more than are needed.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_have_the_decimals_that_they_need() {
        assert_eq!([0.6000000000000001, -2.0, -0.0, 0.05, 20.0].map(number), ["0.6", "−2", "0", "0.05", "20"]);
    }
}
