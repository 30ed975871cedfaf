//! The settings as the two machines use them: plain fields, resolved once.

use crate::settings::{
    ActOn, AfterSelection, FirstItemOn, Id, ItemTaken, LockoutFrom, ScanWhileHeld, Settings, StartBy, Technique,
};
use crate::time::Span;

/// What the switch filter goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FilterRules {
    pub debounce: Span,
    pub drop_out: Span,
    /// Zero is off. Always zero in inverse scanning.
    pub hold: Span,
    /// Letting go is what counts; always so in inverse scanning.
    pub on_release: bool,
    pub lockout: Span,
    pub lockout_from_press: bool,
    pub lockout_restarts: bool,
    /// Zero is off. Always off in inverse scanning, where a long hold is how one scans.
    pub long_press: Span,
}

impl FilterRules {
    pub fn new(settings: &Settings) -> FilterRules {
        let inverse = settings.technique() == Technique::Inverse;
        let unless_inverse = |span| if inverse { Span::ZERO } else { span };
        FilterRules {
            debounce: settings.debounce(),
            drop_out: settings.drop_out(),
            hold: unless_inverse(settings.hold()),
            on_release: inverse || settings.act_on() == ActOn::Release,
            lockout: settings.lockout(),
            lockout_from_press: settings.lockout_from() == LockoutFrom::Press,
            lockout_restarts: settings.lockout_restarts(),
            long_press: unless_inverse(settings.long_press()),
        }
    }
}

/// What the pointer goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct DwellRules {
    pub dwell: Span,
    pub leave_time: Span,
    /// In thousandths of a degree.
    pub leave_distance: u32,
}

impl DwellRules {
    pub fn new(settings: &Settings) -> DwellRules {
        DwellRules {
            dwell: settings.dwell(),
            leave_time: settings.leave_time(),
            leave_distance: settings.raw(Id::LeaveAngle).max(0) as u32,
        }
    }
}

/// What the scanner goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ScanRules {
    pub technique: Technique,
    pub interval: Span,
    pub first_after_start: Span,
    pub first_in_group: Span,
    pub first_on_every_pass: bool,
    pub pause: Span,
    pub after: AfterSelection,
    pub start_by_press: bool,
    /// `u32::MAX` is no limit.
    pub loops_top: u32,
    /// `u32::MAX` is no limit.
    pub loops_inside: u32,
    pub auto_accept: Span,
    /// The item shown at acceptance is taken, not the one shown at the press.
    pub at_acceptance: bool,
    /// The schedule stands while a press waits for its hold time.
    pub stands: bool,
    /// Outside inverse scanning.
    pub stuck_limit: Span,
    /// The time between two changes of the schedule: the measure of lateness.
    pub beat: Span,
    /// A highlight not shown within this time is a stall.
    pub stall_limit: Span,
}

impl ScanRules {
    pub fn new(settings: &Settings) -> ScanRules {
        let inverse = settings.technique() == Technique::Inverse;
        let holds = !inverse && !settings.hold().is_zero();
        let beat = beat(settings);
        ScanRules {
            technique: settings.technique(),
            interval: settings.scan_interval(),
            first_after_start: settings.first_after_start(),
            first_in_group: settings.first_in_group(),
            first_on_every_pass: settings.first_item_on() == FirstItemOn::EveryPass,
            pause: settings.pause_after_selection(),
            after: settings.after_selection(),
            start_by_press: settings.start() == StartBy::Press,
            loops_top: settings.loops_top().unwrap_or(u32::MAX),
            loops_inside: settings.loops_inside().unwrap_or(u32::MAX),
            auto_accept: settings.auto_accept(),
            at_acceptance: holds && settings.act_on() == ActOn::Press && settings.item_taken() == ItemTaken::Acceptance,
            stands: holds && settings.scan_while_held() == ScanWhileHeld::Waits,
            stuck_limit: settings.stuck_limit(),
            beat,
            stall_limit: Span(beat.0 / 4).max(Span::from_ms(100)),
        }
    }
}

fn beat(settings: &Settings) -> Span {
    match settings.technique() {
        Technique::StepAutoAccept => settings.auto_accept(),
        Technique::Dwell => Span::from_ms(1_000),
        _ => settings.scan_interval(),
    }
}
