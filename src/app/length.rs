//! A length asked of the clinician: typed in centimetres, kept in millimetres.

use std::fmt;
use std::ops::RangeInclusive;

use winit::keyboard::{KeyCode, PhysicalKey};

use super::binding::Binding;
use super::keys;

/// A question for a length and the digits typed so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Length {
    question: &'static str,
    remark: &'static str,
    range_mm: RangeInclusive<u32>,
    offered_mm: u32,
    typed: String,
}

/// Digits and point of the longest length that can be typed.
const LONGEST: usize = 6;

impl Length {
    /// Asks for the distance to the screen.
    #[must_use]
    pub fn distance(offered_mm: u32) -> Length {
        Length {
            question: "How far is the screen from the eyes?",
            remark: "20 to 1000 cm: letters are made large enough for it.",
            range_mm: 200..=10_000,
            offered_mm,
            typed: String::new(),
        }
    }

    /// Asks for the width of the screen.
    #[must_use]
    pub fn width(offered_mm: u32) -> Length {
        Length {
            question: "How wide is the lit part of the screen?",
            remark: "5 to 500 cm: measure the picture, without its frame.",
            range_mm: 50..=5_000,
            offered_mm,
            typed: String::new(),
        }
    }

    /// The words of the question.
    #[must_use]
    pub fn question(&self) -> &'static str {
        self.question
    }

    /// The range, and what it is for.
    #[must_use]
    pub fn remark(&self) -> &'static str {
        self.remark
    }

    /// After one more key: digits and a point add, backspace takes away, all else does nothing.
    #[must_use]
    pub fn typed(mut self, binding: Binding) -> Length {
        let Binding::Key(PhysicalKey::Code(key)) = binding else { return self };
        if key == KeyCode::Backspace {
            self.typed.pop();
        } else if let Some(sign) = sign(key).filter(|_| self.typed.len() < LONGEST) {
            self.typed.push(sign);
        }
        self
    }

    /// The length; `None` for what is no number or out of range.
    #[must_use]
    pub fn millimetres(&self) -> Option<u32> {
        if self.typed.is_empty() {
            return Some(self.offered_mm);
        }
        let millimetres = (self.typed.parse::<f64>().ok()? * 10.0).round() as u32;
        self.range_mm.contains(&millimetres).then_some(millimetres)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.typed.is_empty() {
            return write!(out, "{} cm (type another)", f64::from(self.offered_mm) / 10.0);
        }
        write!(out, "{} cm{}", self.typed, if self.millimetres().is_some() { "" } else { ": out of range" })
    }
}

fn sign(key: KeyCode) -> Option<char> {
    match key {
        KeyCode::Period | KeyCode::Comma | KeyCode::NumpadDecimal => Some('.'),
        digit => keys::digit(digit).map(|digit| char::from(b'0' + digit)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(length: Length, keys: &[&str]) -> Length {
        keys.iter().fold(length, |length, key| length.typed(key.parse().unwrap()))
    }

    #[test]
    fn nothing_typed_takes_what_is_offered() {
        assert_eq!(Length::width(531).millimetres(), Some(531));
        assert_eq!(Length::width(531).to_string(), "53.1 cm (type another)");
    }

    #[test]
    fn centimetres_become_millimetres() {
        let length = after(Length::width(531), &["Digit6", "Numpad0", "Period", "Digit2"]);
        assert_eq!((length.millimetres(), length.to_string()), (Some(602), "60.2 cm".into()));
        assert_eq!(after(length, &["Backspace", "Backspace"]).millimetres(), Some(600));
    }

    #[test]
    fn what_cannot_be_is_not_taken() {
        for keys in [&["Digit1"][..], &["Period"], &["Digit9"; 6], &["Digit1", "Period", "Period"]] {
            let length = after(Length::distance(1_500), keys);
            assert_eq!(length.millimetres(), None, "{length}");
            assert!(length.to_string().contains("out of range"));
        }
    }
}
