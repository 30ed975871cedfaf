//! What is left of a line while it is read from the front, and how plain values stand in it.
//!
//! Only the one spelling is read that the writer makes: no space, no escape, no leading zero. Of
//! anything else nothing is made, and the caller leaves it to the tolerant parser.

use serde::Deserialize;
use serde::de::value::{BorrowedStrDeserializer, Error};

use crate::engine::effect::{Activation, Ignored, Lit, Switch, Why};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx};
use crate::session::event::BlockKind;
use crate::session::input::{Interruption, Prompt};
use crate::session::trial::{Outcome, Press};
use crate::time::{Moment, Span};

/// The rest of a line.
pub(super) struct Rest<'l>(pub(super) &'l str);

impl<'l> Rest<'l> {
    /// Passes over `expected`, if it stands here.
    pub(super) fn pass(&mut self, expected: &str) -> Option<()> {
        self.0 = self.0.strip_prefix(expected)?;
        Some(())
    }

    /// Takes a value.
    pub(super) fn take<T: Plain>(&mut self) -> Option<T> {
        T::plain(self)
    }

    /// Takes a string that holds no escape.
    pub(super) fn words(&mut self) -> Option<&'l str> {
        self.pass("\"")?;
        let end = self.0.bytes().position(|byte| byte == b'"' || byte == b'\\' || byte < b' ')?;
        let (words, rest) = self.0.split_at(end);
        self.0 = rest;
        self.pass("\"")?;
        Some(words)
    }

    /// Takes the digits of a whole number.
    fn digits(&mut self) -> Option<u64> {
        let mut value = 0_u64;
        let mut count = 0;
        for digit in self.0.bytes().map(|byte| byte.wrapping_sub(b'0')).take_while(|digit| *digit < 10) {
            value = value.checked_mul(10)?.checked_add(digit.into())?;
            count += 1;
        }
        let leading_zero = count > 1 && self.0.starts_with('0');
        self.0 = &self.0[count..];
        (count > 0 && !leading_zero).then_some(value)
    }
}

/// Reads the fields of a struct or variant in the order in which they are written, each after a comma.
macro_rules! fields {
    ($rest:ident, $($made:ident)::+ { $($field:ident),+ }) => {
        $($made)::+ { $($field: { $rest.pass(concat!(",\"", stringify!($field), "\":"))?; $rest.take()? }),+ }
    };
}
pub(super) use fields;

/// Reads a struct that stands as an object of its own.
macro_rules! object {
    ($rest:ident, $($made:ident)::+ { $first:ident, $($field:ident),+ }) => {{
        let made = $($made)::+ {
            $first: { $rest.pass(concat!("{\"", stringify!($first), "\":"))?; $rest.take()? },
            $($field: { $rest.pass(concat!(",\"", stringify!($field), "\":"))?; $rest.take()? }),+
        };
        $rest.pass("}")?;
        made
    }};
}

/// A value that can be read in its one spelling.
pub(super) trait Plain: Sized {
    /// Takes the value from the front; `None` when it is spelled in any other way.
    fn plain(rest: &mut Rest) -> Option<Self>;
}

impl Plain for u64 {
    fn plain(rest: &mut Rest) -> Option<u64> {
        rest.digits()
    }
}

impl Plain for i64 {
    fn plain(rest: &mut Rest) -> Option<i64> {
        if rest.pass("-").is_none() {
            return rest.digits()?.try_into().ok();
        }
        // JSON has a negative zero, which is no whole number.
        let size = rest.digits().filter(|size| *size > 0)?;
        0_i64.checked_sub_unsigned(size)
    }
}

impl Plain for bool {
    fn plain(rest: &mut Rest) -> Option<bool> {
        match rest.pass("true") {
            Some(()) => Some(true),
            None => rest.pass("false").map(|()| false),
        }
    }
}

impl Plain for String {
    fn plain(rest: &mut Rest) -> Option<String> {
        rest.words().map(str::to_owned)
    }
}

impl<T: Plain> Plain for Option<T> {
    fn plain(rest: &mut Rest) -> Option<Option<T>> {
        match rest.pass("null") {
            Some(()) => Some(None),
            None => rest.take().map(Some),
        }
    }
}

impl<T: Plain> Plain for Vec<T> {
    fn plain(rest: &mut Rest) -> Option<Vec<T>> {
        let mut all = Vec::new();
        rest.pass("[")?;
        while rest.pass("]").is_none() {
            if !all.is_empty() {
                rest.pass(",")?;
            }
            all.push(rest.take()?);
        }
        Some(all)
    }
}

macro_rules! small_numbers {
    ($($number:ty),+) => {
        $(impl Plain for $number {
            fn plain(rest: &mut Rest) -> Option<$number> {
                rest.digits()?.try_into().ok()
            }
        })+
    };
}
small_numbers!(u8, u16, u32);

macro_rules! wrapped_numbers {
    ($($wrapper:ident),+) => {
        $(impl Plain for $wrapper {
            fn plain(rest: &mut Rest) -> Option<$wrapper> {
                rest.take().map($wrapper)
            }
        })+
    };
}
wrapped_numbers!(Moment, Span, Switch, GroupIx, EntryIx, ItemIx);

/// Enums that stand as one word; serde knows the words.
macro_rules! single_words {
    ($($word:ident),+) => {
        $(impl Plain for $word {
            fn plain(rest: &mut Rest) -> Option<$word> {
                $word::deserialize(BorrowedStrDeserializer::<Error>::new(rest.words()?)).ok()
            }
        })+
    };
}
single_words!(BlockKind, Ignored, Interruption, Outcome, Prompt, Why);

impl Plain for Lit {
    fn plain(rest: &mut Rest) -> Option<Lit> {
        if rest.pass("\"nothing\"").is_some() {
            return Some(Lit::Nothing);
        }
        rest.pass("{\"entry\":")?;
        let lit = object!(rest, Lit::Entry { group, entry, pass });
        rest.pass("}")?;
        Some(lit)
    }
}

impl Plain for Activation {
    fn plain(rest: &mut Rest) -> Option<Activation> {
        Some(object!(rest, Activation { switch, pressed, accepted }))
    }
}

impl Plain for Press {
    fn plain(rest: &mut Rest) -> Option<Press> {
        Some(object!(rest, Press { pressed, accepted, outcome, level, position, wanted, count, latency_us }))
    }
}

#[cfg(test)]
mod tests {
    use std::fmt::Debug;

    use proptest::prelude::*;
    use serde::de::DeserializeOwned;

    use super::*;

    /// What is read, if all of `text` is.
    fn plain<T: Plain>(text: &str) -> Option<T> {
        let mut rest = Rest(text);
        rest.take().filter(|_| rest.0.is_empty())
    }

    /// Whatever is read is what serde reads.
    fn agrees<T: Plain + DeserializeOwned + PartialEq + Debug>(text: &str) {
        if let Some(value) = plain::<T>(text) {
            assert_eq!(serde_json::from_str::<T>(text).expect(text), value);
        }
    }

    #[test]
    fn numbers_of_any_size_are_read_and_none_beyond_it() {
        assert_eq!(plain("18446744073709551615"), Some(u64::MAX));
        assert_eq!(plain("-9223372036854775808"), Some(i64::MIN));
        assert_eq!([plain::<u64>("0"), plain("00"), plain("07"), plain("")], [Some(0), None, None, None]);
        assert_eq!([plain::<u64>("18446744073709551616"), plain("1.0"), plain("1e3")], [None; 3]);
        assert_eq!([plain::<i64>("-0"), plain("9223372036854775808"), plain("-9223372036854775809")], [None; 3]);
        assert_eq!([plain::<u8>("255"), plain("256")], [Some(255), None]);
    }

    #[test]
    fn strings_with_escapes_are_left_to_the_other_parser() {
        assert_eq!(plain("\"µ, 🙂 {}\""), Some("µ, 🙂 {}".to_string()));
        assert_eq!([plain::<String>(r#""a\"b""#), plain("\"a\nb\""), plain("\"a")], [None, None, None]);
    }

    #[test]
    fn lists_have_one_comma_between_two() {
        assert_eq!(plain("[1,2]"), Some(vec![1_u8, 2]));
        assert_eq!([plain::<Vec<u8>>("[,1]"), plain("[1,]"), plain("[1 ,2]"), plain("[1")], [None, None, None, None]);
    }

    proptest! {
        #[test]
        fn what_is_read_is_what_serde_reads(text in r#"[-"\[\]{}0-9a-z,\\ é]{0,12}"#) {
            agrees::<u64>(&text);
            agrees::<i64>(&text);
            agrees::<Option<u16>>(&text);
            agrees::<Vec<u8>>(&text);
            agrees::<String>(&text);
        }
    }
}
