//! The code under which a client's data are kept.
//!
//! A code is short and says nothing about the person. It becomes part of file names, so whatever a
//! file system could take for something else is refused.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

use crate::problem::shortened;

/// Longest code, in characters.
pub const MOST: usize = 16;

/// A client's code: 1 to [`MOST`] letters, digits and hyphens of ASCII, beginning with no hyphen.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClientCode(String);

/// Why a text is no client code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CodeError {
    /// There is nothing.
    Empty,
    /// It has more than [`MOST`] characters.
    TooLong {
        /// How many.
        count: usize,
    },
    /// It has a slash, a backslash, a colon or a dot.
    Path {
        /// The text.
        text: String,
    },
    /// It has a character that is no letter, digit or hyphen of ASCII, or begins with a hyphen.
    Character {
        /// The text.
        text: String,
        /// The character.
        letter: char,
    },
    /// Some systems keep this name for a device.
    Reserved {
        /// The text.
        text: String,
    },
}

impl fmt::Display for CodeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CodeError::Empty => f.write_str("the client code is empty")?,
            CodeError::TooLong { count } => write!(f, "the client code has {count} characters")?,
            CodeError::Path { text } => write!(f, "the client code `{}` looks like a path", shortened(text))?,
            CodeError::Character { text, letter: ' ' } => {
                write!(f, "the client code `{}` holds a space", shortened(text))?;
            }
            CodeError::Character { text, letter } => {
                write!(f, "the client code `{}` holds `{}`", shortened(text), shortened(&letter.to_string()))?;
            }
            CodeError::Reserved { text } => write!(f, "the client code `{text}` is a device name on some systems")?,
        }
        write!(f, "; use 1 to {MOST} letters, digits and hyphens, such as `K7-03`")
    }
}

impl std::error::Error for CodeError {}

impl FromStr for ClientCode {
    type Err = CodeError;

    fn from_str(text: &str) -> Result<ClientCode, CodeError> {
        let allowed = |(place, letter): (usize, char)| letter.is_ascii_alphanumeric() || (letter == '-' && place > 0);
        if text.is_empty() {
            return Err(CodeError::Empty);
        }
        if text.contains(['/', '\\', ':', '.']) {
            return Err(CodeError::Path { text: text.into() });
        }
        if let Some((_, letter)) = text.chars().enumerate().find(|found| !allowed(*found)) {
            return Err(CodeError::Character { text: text.into(), letter });
        }
        if text.len() > MOST {
            return Err(CodeError::TooLong { count: text.len() });
        }
        if is_reserved(text) {
            return Err(CodeError::Reserved { text: text.into() });
        }
        Ok(ClientCode(text.into()))
    }
}

/// Device names of Windows, whatever the case of letters (its documentation on naming files).
fn is_reserved(text: &str) -> bool {
    let name = text.to_ascii_lowercase();
    let numbered = |prefix: &str| {
        name.strip_prefix(prefix).is_some_and(|number| number.len() == 1 && number.chars().all(|n| n.is_ascii_digit()))
    };
    matches!(name.as_str(), "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

impl ClientCode {
    /// The code.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// A warning where the code looks like a person's name: words of letters only, each with a
    /// capital and a small letter after it, or one long word of small letters.
    #[must_use]
    pub fn warning(&self) -> Option<String> {
        let words: Vec<&str> = self.0.split('-').collect();
        let named = words.len() <= 2 && words.iter().all(|word| is_name(word));
        let message = || {
            format!(
                "the client code `{self}` looks like a person's name; use a code that tells nothing, such as `K7-03`"
            )
        };
        named.then(message)
    }
}

fn is_name(word: &str) -> bool {
    let small = word.chars().skip(1).all(|letter| letter.is_ascii_lowercase());
    let first_capital = word.starts_with(|letter: char| letter.is_ascii_uppercase());
    let capitals = word.chars().all(|letter| letter.is_ascii_uppercase());
    let all_small = word.chars().all(|letter| letter.is_ascii_lowercase());
    (small && first_capital && word.len() >= 2) || ((capitals || all_small) && word.len() >= 4)
}

impl fmt::Display for ClientCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Serialize for ClientCode {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for ClientCode {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<ClientCode, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        text.parse::<ClientCode>().unwrap_err().to_string()
    }

    #[test]
    fn short_codes_are_taken_as_they_are() {
        for text in ["K7-03", "a", "0", "site2-b", "A234567890123456", "COM10", "console"] {
            assert_eq!(text.parse::<ClientCode>().unwrap().as_str(), text);
        }
    }

    #[test]
    fn paths_and_strange_characters_are_refused_with_a_remedy() {
        let remedy = "; use 1 to 16 letters, digits and hyphens, such as `K7-03`";
        assert_eq!(said(""), format!("the client code is empty{remedy}"));
        assert_eq!(said("../x"), format!("the client code `../x` looks like a path{remedy}"));
        assert_eq!(said("C:x"), format!("the client code `C:x` looks like a path{remedy}"));
        assert_eq!(said("a b"), format!("the client code `a b` holds a space{remedy}"));
        assert_eq!(said("-a"), format!("the client code `-a` holds `-`{remedy}"));
        assert_eq!(said("a\0"), format!("the client code `a\u{fffd}` holds `\u{fffd}`{remedy}"));
        assert_eq!(said("A2345678901234567"), format!("the client code has 17 characters{remedy}"));
        for text in ["CON", "nul", "Com1", "lpt9"] {
            assert_eq!(said(text), format!("the client code `{text}` is a device name on some systems{remedy}"));
        }
    }

    #[test]
    fn what_looks_like_a_name_is_warned_of() {
        let warned = |text: &str| text.parse::<ClientCode>().unwrap().warning().is_some();
        for text in ["Edith", "Al", "Edith-Stone", "edith", "EDITH", "Mary-Anne"] {
            assert!(warned(text), "{text}");
        }
        for text in ["K7-03", "A", "AB", "ab", "abc", "E-S", "Q4", "Bed4", "AXQ-TRM-BLK"] {
            assert!(!warned(text), "{text}");
        }
    }

    #[test]
    fn a_code_is_checked_when_it_is_read_from_a_file() {
        assert_eq!(serde_json::from_str::<ClientCode>("\"K7\"").unwrap().as_str(), "K7");
        assert!(serde_json::from_str::<ClientCode>("\"../K7\"").is_err());
    }
}
