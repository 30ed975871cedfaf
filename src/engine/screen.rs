//! What has been sent to the screen and when it was seen there.
//!
//! A press acts on what was on the screen at its stamp, so the last highlights are kept with the
//! instant at which each was shown. The memory is as long as the longest hold time (3 s) and
//! debounce at the fastest scan rate (0.3 s) need; it never grows.

use super::effect::Lit;
use crate::time::Moment;

/// How many highlights are remembered.
pub(super) const MEMORY: usize = 16;

/// One highlight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Flash {
    pub number: u64,
    pub due: Moment,
    /// [`Moment::NEVER`] until its frame went to the screen.
    pub shown: Moment,
    pub lit: Lit,
}

/// The last highlights.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Screen {
    memory: [Flash; MEMORY],
    /// Where in the memory the newest one stands.
    newest: usize,
    /// The number that the next visible change gets.
    next_number: u64,
    /// Highlights with smaller numbers have been used up.
    usable_from: u64,
}

impl Screen {
    pub fn new() -> Screen {
        // Number 0 stands for the empty screen before anything was sent to it.
        let empty = Flash { number: 0, due: Moment::START, shown: Moment::NEVER, lit: Lit::Nothing };
        Screen { memory: [empty; MEMORY], newest: 0, next_number: 1, usable_from: 1 }
    }

    /// A number for a visible change that is not a highlight.
    #[inline]
    pub fn take_number(&mut self) -> u64 {
        self.next_number += 1;
        self.next_number - 1
    }

    /// Skips `count` numbers.
    #[inline]
    pub fn skip_numbers(&mut self, count: u64) {
        self.next_number += count;
    }

    /// The number of the highlight that comes so many steps after the newest one, as if all had been sent.
    #[inline]
    pub fn number_after(&mut self, steps: u64) -> u64 {
        self.next_number += steps;
        if steps == 0 { self.newest().number } else { self.next_number - 1 }
    }

    /// The newest highlight has not been used up.
    #[inline]
    pub fn is_usable(&self) -> bool {
        self.newest().number >= self.usable_from
    }

    /// Remembers a new highlight and returns its number.
    #[inline]
    pub fn send(&mut self, due: Moment, shown: Moment, lit: Lit) -> u64 {
        let number = self.take_number();
        self.newest = (self.newest + 1) % MEMORY;
        self.memory[self.newest] = Flash { number, due, shown, lit };
        number
    }

    #[inline]
    pub fn newest(&self) -> &Flash {
        &self.memory[self.newest]
    }

    /// The frame with this number was shown: on it stands the last highlight up to that number.
    ///
    /// Returns that highlight if it had not been seen before, nothing newer has, and it can still be
    /// acted on.
    #[inline]
    pub fn shown(&mut self, number: u64, at: Moment) -> Option<Flash> {
        let place = self.back().find(|&place| {
            let flash = &self.memory[place];
            flash.number <= number || flash.shown != Moment::NEVER
        })?;
        let flash = &mut self.memory[place];
        if flash.number == 0 || flash.number > number || flash.shown != Moment::NEVER {
            return None;
        }
        flash.shown = at;
        Some(*flash).filter(|flash| flash.number >= self.usable_from)
    }

    /// What was on the screen at `at`; `None` if nothing had been shown by then.
    #[inline]
    pub fn at(&self, at: Moment) -> Option<&Flash> {
        self.back().map(|place| &self.memory[place]).find(|flash| flash.shown <= at)
    }

    /// The same, unless it has been used up.
    #[inline]
    pub fn usable_at(&self, at: Moment) -> Option<&Flash> {
        self.at(at).filter(|flash| flash.number >= self.usable_from)
    }

    /// Nothing was lit on the screen at `at`.
    pub fn is_dark_at(&self, at: Moment) -> bool {
        self.at(at).is_none_or(|flash| flash.lit == Lit::Nothing)
    }

    /// Everything sent so far can no longer be acted on.
    #[inline]
    pub fn use_up(&mut self) {
        self.usable_from = self.next_number;
    }

    /// Places from the newest to the oldest.
    #[inline]
    fn back(&self) -> impl Iterator<Item = usize> + use<> {
        let newest = self.newest;
        (0..MEMORY).map(move |age| (newest + MEMORY - age) % MEMORY)
    }
}
