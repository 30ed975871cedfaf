//! Lines of a log taken apart on several threads; what comes out does not depend on how many.

use std::panic::resume_unwind;
use std::thread::{Builder, Scope, ScopedJoinHandle, scope};

use memchr::{memchr, memchr_iter};

use super::line::{Damage, MOST_BYTES, Parsed, checked, parse};
use super::source::trimmed;

/// A thread for fewer bytes than this costs more than it saves.
#[cfg(not(test))]
const LEAST_PART: usize = 1 << 15;
#[cfg(test)]
const LEAST_PART: usize = 1 << 8;

/// A line of a source, taken apart.
pub(super) struct Taken<'t> {
    /// The line without what may stand behind it.
    pub(super) text: &'t [u8],
    /// Its length in the source, without LF.
    pub(super) bytes: u64,
    /// It ended with LF, not with the source.
    pub(super) ended: bool,
    /// Its sequence number and what it is, or what is wrong with it.
    pub(super) parsed: Result<(u64, Parsed), Damage>,
}

impl Taken<'_> {
    /// Takes a line apart. `text` is without its LF and may be cut at [`MOST_BYTES`]; `bytes` is its
    /// full length.
    pub(super) fn apart(text: &[u8], bytes: u64, ended: bool) -> Taken<'_> {
        let text = trimmed(text, ended);
        let too_long = text.len() >= MOST_BYTES || (ended && bytes > MOST_BYTES as u64);
        let checked = if too_long { Err(Damage::TooLong) } else { checked(text) };
        Taken { text, bytes, ended, parsed: checked.and_then(parse) }
    }
}

/// Takes apart all lines of `block`, each of which ends with LF, on at most `threads` threads. The
/// parts are in order, and so are the lines of each.
pub(super) fn taken_apart(block: &[u8], threads: usize) -> Vec<Vec<Taken<'_>>> {
    let parts = parts(block, threads.min(block.len() / LEAST_PART).max(1));
    let Some((first, others)) = parts.split_first() else { return Vec::new() };
    scope(|scope| {
        let others: Vec<_> = others.iter().map(|part| Elsewhere::begin(scope, part)).collect();
        let mut taken = vec![lines_of(first)];
        taken.extend(others.into_iter().map(Elsewhere::end));
        taken
    })
}

/// A part that another thread takes apart, or this one where the system gives no thread.
enum Elsewhere<'s, 't> {
    Thread(ScopedJoinHandle<'s, Vec<Taken<'t>>>),
    Here(&'t [u8]),
}

impl<'s, 't: 's> Elsewhere<'s, 't> {
    fn begin(scope: &'s Scope<'s, '_>, part: &'t [u8]) -> Elsewhere<'s, 't> {
        let thread = Builder::new().name("log reader".into()).spawn_scoped(scope, || lines_of(part));
        thread.map_or(Elsewhere::Here(part), Elsewhere::Thread)
    }

    fn end(self) -> Vec<Taken<'t>> {
        match self {
            Elsewhere::Thread(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Elsewhere::Here(part) => lines_of(part),
        }
    }
}

fn lines_of(part: &[u8]) -> Vec<Taken<'_>> {
    let mut from = 0;
    let line = |end: usize| {
        let text = &part[from..end];
        from = end + 1;
        Taken::apart(text, text.len() as u64, true)
    };
    memchr_iter(b'\n', part).map(line).collect()
}

/// Cuts `block` behind ends of lines into at most `count` parts of about one length.
fn parts(block: &[u8], count: usize) -> Vec<&[u8]> {
    let mut parts = Vec::with_capacity(count);
    let mut rest = block;
    for left in (1..=count).rev() {
        let least = rest.len() / left;
        let end = memchr(b'\n', &rest[least..]).filter(|_| left > 1).map_or(rest.len(), |end| least + end + 1);
        let (part, behind) = rest.split_at(end);
        if !part.is_empty() {
            parts.push(part);
        }
        rest = behind;
    }
    parts
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn parts_end_with_lines_and_make_up_the_whole(
            mut block in proptest::collection::vec(prop_oneof![Just(b'\n'), any::<u8>()], 0..60),
            count in 1_usize..9,
        ) {
            block.push(b'\n');
            let parts = parts(&block, count);
            prop_assert_eq!(parts.concat(), &block[..]);
            prop_assert!(parts.len() <= count && parts.iter().all(|part| part.ends_with(b"\n")));
        }

        #[test]
        fn lines_are_the_same_for_any_number_of_threads(
            lines in proptest::collection::vec("[a-z]{0,200}", 0..60),
            threads in 2_usize..9,
        ) {
            let block: Vec<u8> = lines.iter().flat_map(|line| format!("{line}\n").into_bytes()).collect();
            let texts = |threads| -> Vec<&[u8]> {
                taken_apart(&block, threads).into_iter().flatten().map(|taken| taken.text).collect()
            };
            prop_assert_eq!(texts(threads), texts(1));
            prop_assert!(texts(1).iter().eq(&lines.iter().map(String::as_bytes).collect::<Vec<_>>()));
        }
    }
}
