//! Activations while nothing was asked.

use super::findings::Involuntary;
use super::reading::BlockReading;
use crate::log::header::Header;
use crate::stats::{Level, poisson};

/// What a quiet watch came to; `None` when it was over before any time was watched.
///
/// With none seen, the upper end is the one-sided 95 % limit: 2.996 over the minutes watched, so
/// "at most 3 a minute" after one minute (rule of three). Otherwise both ends are those of the
/// exact two-sided interval.
pub(super) fn involuntary(header: &Header, block: &BlockReading) -> Option<Involuntary> {
    let seconds = (block.length() - block.idle).as_seconds();
    let watch = header.protocol.blocks.get(usize::from(block.block)).map(|block| block.watch).unwrap_or_default();
    let minutes = Some(seconds / 60.0).filter(|minutes| *minutes > 0.0)?;
    let events = u64::from(block.unwanted);
    let (low, high) = if events == 0 {
        (0.0, poisson::upper_limit(0, Level::NINETY_FIVE))
    } else {
        let interval = poisson::interval(events, Level::NINETY_FIVE);
        (interval.low, interval.high)
    };
    Some(Involuntary {
        watch,
        count: block.unwanted,
        seconds,
        per_minute: events as f64 / minutes,
        low_per_minute: low / minutes,
        high_per_minute: high / minutes,
    })
}
