//! What the reader of the findings has to know.
//!
//! Where a limit has no source beside it, it is common practice without one.

use super::caution::{SOUND_LATENCY, SOUND_START};
use super::findings::{BlockFindings, Caution, Findings, Suggestion};
use super::suggestion::{CV_LIMIT, WANTED};
use crate::log::header::{Header, Measured};
use crate::session::event::BlockKind;
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::stop::{SLOWING_SPAN, StopRules};
use crate::settings::Id;
use crate::stats::Sample;
use crate::switch_check::{Finding, Verdict};

/// A press sooner than this after the highlight was begun before it (usual lower cut of reaction
/// times: Luce 1986; from memory).
pub const ANTICIPATION_S: f64 = 0.1;
/// Involuntary activations a minute that call for a caution.
const INVOLUNTARY_PER_MINUTE: f64 = 1.0;
/// What is measured, how to read it, and what it may come to.
type Ruler = (&'static str, fn(&Measured) -> u64, u64);

/// What each ruler may come to, in microseconds: two frames of 60 Hz from a wish to its hand-over, three
/// from frame to frame, the usual 10 ms of a polled device, a millisecond for the clock, two for news from
/// another thread, a second to open the sound device, a tenth until a sound is heard.
const TOLERANCES_US: [Ruler; 7] = [
    ("clock step", |measured| measured.clock_step_ns / 1_000, 1_000),
    ("frame interval", |measured| measured.frame_interval_us, 50_000),
    ("frame hand-over", |measured| measured.frame_lag_us, 33_334),
    ("polling step of the pad", |measured| measured.input_step_us, 10_000),
    ("lag of the input pump", |measured| measured.pump_lag_us, 2_000),
    (SOUND_START, |measured| measured.sound_start_us, 1_000_000),
    (SOUND_LATENCY, |measured| measured.sound_latency_us, 100_000),
];

/// A sound that comes by more than this too late or too early is no longer heard together with what it stands for, in
/// microseconds (common practice, no source).
const SOUND_TOGETHER_US: u64 = 10_000;

/// Sounds that were not heard together with what they stood for.
pub(super) fn of_sounds(records: &[Record]) -> Option<Caution> {
    let lateness = records.iter().filter_map(|record| match record.what {
        What::Input(Input::Sound { late_us, .. }) => Some(late_us.unsigned_abs()),
        _ => None,
    });
    let count = lateness.filter(|late_us| *late_us > SOUND_TOGETHER_US).count() as u32;
    (count > 0).then_some(Caution::LateSounds { count })
}

/// All cautions, the gravest first.
pub(super) fn cautions(header: &Header, findings: &Findings) -> Vec<Caution> {
    let mut list = Vec::new();
    list.extend(header.invented.then_some(Caution::Invented));
    list.extend(header.setup.is_emulated().then_some(Caution::Emulated));
    list.extend((findings.total.trials == 0).then_some(Caution::NothingMeasured));
    list.extend((!findings.complete).then_some(Caution::Incomplete));
    list.extend(findings.suggestion.as_ref().into_iter().flat_map(|suggestion| of_suggestion(findings, suggestion)));
    list.extend(findings.blocks.iter().flat_map(|block| &block.switches).flat_map(of_switch));
    list.extend(findings.blocks.iter().filter_map(involuntary));
    list.extend(findings.blocks.iter().filter_map(slowing));
    list.extend(of_presses(findings));
    list.extend(header.settings.cautions().into_iter().map(setting));
    if !header.invented {
        list.extend(unmeasured(&header.measured).then_some(Caution::Unmeasured));
        list.extend(out_of_tolerance(&header.measured));
    }
    list
}

fn of_suggestion(findings: &Findings, suggestion: &Suggestion) -> Vec<Caution> {
    let mut list = Vec::new();
    if (suggestion.count as usize) < WANTED {
        list.push(Caution::FewLatencies { count: suggestion.count, wanted: WANTED as u32 });
    }
    list.extend(suggestion.cv.filter(|cv| *cv > CV_LIMIT).map(|cv| Caution::WideScatter { cv }));
    let raw = libm::round(suggestion.scan_interval_s * 1e6) as i64;
    list.extend(Id::ScanInterval.setting().caution_at(raw).map(|_| Caution::Photosensitivity));
    let count = omissions(findings, suggestion.kind);
    list.extend((count > 0).then_some(Caution::Omissions { count }));
    list
}

fn omissions(findings: &Findings, kind: BlockKind) -> u32 {
    let measures =
        findings.blocks.iter().filter(|block| block.kind == kind).filter_map(|block| block.measures.as_ref());
    measures.flat_map(|m| &m.outcomes).filter(|share| share.outcome == "omission").map(|share| share.count).sum()
}

fn of_presses(findings: &Findings) -> Vec<Caution> {
    let early = findings.total.series.iter().filter(|point| point.latency_s < ANTICIPATION_S).count() as u32;
    let interrupted = findings.total.interrupted;
    let mut list = Vec::new();
    list.extend((early > 0).then_some(Caution::Anticipations { count: early }));
    list.extend((interrupted > 0).then_some(Caution::Interruptions { count: interrupted }));
    list
}

/// All that a check says against a switch; that it was worked too little is nothing against it.
fn of_switch(found: &Finding) -> impl Iterator<Item = Caution> + '_ {
    let against = |verdict: &&Verdict| !matches!(verdict, Verdict::Clean | Verdict::TooFew { .. });
    let switch = found.switch.0.saturating_add(1);
    found.verdicts.iter().filter(against).map(move |verdict| Caution::Switch { switch, verdict: *verdict })
}

fn involuntary(block: &BlockFindings) -> Option<Caution> {
    let watched = block.involuntary.filter(|watched| watched.per_minute >= INVOLUNTARY_PER_MINUTE)?;
    Some(Caution::Involuntary { high_per_minute: watched.high_per_minute })
}

/// The median of the last eight latencies of the block against that of the first eight.
fn slowing(block: &BlockFindings) -> Option<Caution> {
    let latencies: Vec<f64> = block.measures.as_ref()?.series.iter().map(|point| point.latency_s).collect();
    if latencies.len() < 2 * SLOWING_SPAN {
        return None;
    }
    let median = |part: &[f64]| Sample::new(part.to_vec()).ok().map(|sample| sample.median());
    let first = median(&latencies[..SLOWING_SPAN]).filter(|first| *first > 0.0)?;
    let ratio = median(&latencies[latencies.len() - SLOWING_SPAN..])? / first;
    (ratio > StopRules::default().slowing).then_some(Caution::Slowing { block: block.block, ratio })
}

fn setting((id, warning): (Id, &'static str)) -> Caution {
    Caution::Setting { name: id.setting().name.into(), warning: warning.into() }
}

fn unmeasured(measured: &Measured) -> bool {
    measured.clock_step_ns == 0 || measured.frame_lag_us == 0
}

fn out_of_tolerance(measured: &Measured) -> impl Iterator<Item = Caution> + '_ {
    let found = TOLERANCES_US.into_iter().map(|(name, value, limit_us)| (name, value(measured), limit_us));
    found.filter(|(_, value_us, limit_us)| value_us > limit_us).map(|(name, value_us, limit_us)| Caution::Ruler {
        name: name.into(),
        value_us,
        limit_us,
    })
}
