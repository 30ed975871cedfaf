//! What a calibration asks for at each moment.

use super::Side;
use crate::time::Moment;

/// What the client is asked to do now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Nothing: rest is being measured until then.
    Rest {
        /// Its end.
        until: Moment,
    },
    /// A comfortable effort, not the greatest.
    Effort {
        /// To which side.
        side: Side,
        /// Which one, from 1.
        number: u32,
        /// Of so many.
        of: u32,
    },
    /// Nothing: the next effort comes then.
    Wait {
        /// Its beginning.
        until: Moment,
    },
    /// Nothing more.
    Over,
}
