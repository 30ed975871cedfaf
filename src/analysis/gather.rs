//! From the records of one or more sessions to the evidence of one client and set-up.

use std::fmt;

use super::contacts::contacts;
use super::evidence::{Contact, Evidence};
use super::opportunities::{ahead, opportunities, wrong_groups};
use super::reading::Reading;
use super::set_ups;
use crate::log::header::Header;
use crate::menu::Menu;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::settings::Settings;
use crate::time::Moment;

/// Why sessions cannot be judged together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfit {
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot judge these sessions together: {}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for Unfit {}

/// The evidence of `sessions`, which are in order of time.
///
/// What was done in confirm blocks is left out: it tests the advice, so the advice does not rest on it.
///
/// Any list of records will do, a damaged log's too: what is missing is missing from the evidence.
///
/// # Errors
/// When there is no session, when two differ in client, set-up or menu, or when a menu cannot be
/// read.
pub fn evidence(sessions: &[(&Header, &[Record])]) -> Result<Evidence, Unfit> {
    let ((first, _), (last, last_records)) =
        sessions.first().zip(sessions.last()).ok_or_else(|| unfit("there is none", "give at least one session log"))?;
    for (header, _) in sessions {
        alike(first, header)?;
    }
    let menu = menu(last)?;
    let mut evidence = Evidence {
        setup: first.setup.clone(),
        menu,
        settings: last_settings(last, last_records).clone(),
        sessions: sessions.len() as u32,
        invented: sessions.iter().any(|(header, _)| header.invented),
        opportunities: Vec::new(),
        contacts: Vec::new(),
        quiet_s: 0.0,
        involuntary: 0,
        ahead_s: 0.0,
        ahead: 0,
        wanted_stays_s: Vec::new(),
        unwanted_stays_s: Vec::new(),
        wrong_groups: Vec::new(),
        lag_s: lag_s(sessions),
    };
    for (index, (header, records)) in sessions.iter().enumerate() {
        add(&mut evidence, index as u32, header, records);
    }
    Ok(evidence)
}

fn add(evidence: &mut Evidence, session: u32, header: &Header, records: &[Record]) {
    let reading = Reading::of(header, records);
    let found = opportunities(session, &evidence.menu, &reading);
    evidence.opportunities.extend(found.into_iter().filter(|one| one.kind != BlockKind::Confirm));
    evidence.wrong_groups.extend(wrong_groups(&evidence.menu, &reading));
    for (seconds, pressed) in ahead(&evidence.menu, &reading) {
        evidence.ahead_s += seconds;
        evidence.ahead += u32::from(pressed);
    }
    let contacts = contacts(session, &reading);
    evidence.contacts.extend(contacts.into_iter().filter(|contact| !in_confirm(&reading, contact)));
    for record in records {
        if let What::Event(Event::Stay { wanted, stay_us, .. }) = record.what {
            let stays = if wanted { &mut evidence.wanted_stays_s } else { &mut evidence.unwanted_stays_s };
            stays.push(stay_us.as_seconds());
        }
    }
    for block in reading.blocks.iter().filter(|block| block.kind == BlockKind::QuietWatch) {
        evidence.quiet_s += (block.length() - block.idle).as_seconds();
        evidence.involuntary += block.unwanted;
    }
}

/// Whether the switch closed while a confirm block ran.
fn in_confirm(reading: &Reading, contact: &Contact) -> bool {
    let since_start = |moment: Moment| moment.since(Moment::START).as_seconds();
    let mut blocks = reading.blocks.iter().filter(|block| block.kind == BlockKind::Confirm);
    blocks.any(|block| (since_start(block.began)..=since_start(block.ended)).contains(&contact.pressed_s))
}

/// Whether the session of `other` may stand beside that of `first`.
fn alike(first: &Header, other: &Header) -> Result<(), Unfit> {
    let mut pairs = stated(first).zip(stated(other));
    if let Some(((name, one), (_, two))) = pairs.find(|((_, one), (_, two))| one != two) {
        let what = format!("the {name} differs (`{one}` and `{two}`)");
        return Err(unfit(&what, &format!("give the logs of one {name} at a time")));
    }
    if first.menu != other.menu {
        return Err(unfit("the menu differs", "give the logs that were taken with one menu"));
    }
    Ok(())
}

/// What has to be the same, by name.
fn stated(header: &Header) -> impl Iterator<Item = (&'static str, &str)> {
    std::iter::once(("client", header.client.as_str())).chain(set_ups::parts(&header.setup))
}

fn menu(header: &Header) -> Result<Menu, Unfit> {
    let plan = header.plan("log").map_err(|problem| unfit(&problem.what, &problem.remedy))?;
    Ok(plan.menu)
}

/// In these words.
pub(super) fn unfit(what: &str, remedy: &str) -> Unfit {
    Unfit { what: what.to_string(), remedy: remedy.to_string() }
}

/// The settings in force at the end, outside confirm blocks.
fn last_settings<'a>(header: &'a Header, records: &'a [Record]) -> &'a Settings {
    let (mut last, mut confirm) = (&header.settings, false);
    for record in records {
        match &record.what {
            What::Event(Event::BlockBegan { kind, .. }) => confirm = *kind == BlockKind::Confirm,
            What::Event(Event::Settings { values, .. }) if !confirm => last = values,
            _ => {}
        }
    }
    last
}

/// Delay inside the latencies; the mean of the sessions that measured it.
fn lag_s(sessions: &[(&Header, &[Record])]) -> Option<f64> {
    let lags: Vec<u64> = sessions.iter().filter_map(|(header, _)| header.measured.lag_us()).collect();
    (!lags.is_empty()).then(|| lags.iter().sum::<u64>() as f64 / lags.len() as f64 / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::evidence::{Aim, Opportunity, Response};
    use crate::analysis::reading::Judged;
    use crate::log::header::Measured;
    use crate::session::trial::Outcome;
    use crate::session::{Plan, Session, shipped};
    use crate::sim::client::{Client, STEADY, Traits};
    use crate::sim::sitting::sit;

    fn plan(protocol: &str, settings: Settings, seed: u64) -> Plan {
        let (protocol, menu) = shipped::find(protocol).unwrap();
        let settings = settings.overlaid(&protocol.settings).unwrap();
        Plan { protocol, menu, settings, seed }
    }

    fn sat(plan: &Plan, traits: Traits) -> (Header, Vec<Record>) {
        let mut records = Vec::new();
        let mut session = Session::new(plan.clone());
        let mut client = Client::new(traits, plan.seed);
        sit(&mut session, &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
        let header = Header { client: "A1".into(), invented: true, ..Header::for_plan(plan) };
        (header, records)
    }

    fn of(header: &Header, records: &[Record]) -> Evidence {
        evidence(&[(header, records)]).unwrap()
    }

    /// The opportunities of one trial.
    fn of_trial<'a>(evidence: &'a Evidence, judged: &Judged) -> impl Iterator<Item = &'a Opportunity> {
        let (block, trial) = (judged.trial.block, judged.trial.trial);
        evidence.opportunities.iter().filter(move |found| (found.block, found.trial) == (block, trial))
    }

    fn omitted(opportunity: &&Opportunity) -> bool {
        matches!(opportunity.response, Response::Omitted { .. })
    }

    /// Settings at which a virtual client misses, comes late and is early.
    fn hard(pattern: &str) -> Settings {
        let json = serde_json::json!({ "pattern": pattern, "scan_interval": 0.9 });
        Settings::from_json(json.as_object().unwrap()).unwrap()
    }

    #[test]
    fn every_press_that_counts_is_there_once_and_practice_is_not() {
        for pattern in ["linear", "row-column"] {
            for seed in 1..=4 {
                let (header, records) = sat(&plan("longer-trial", hard(pattern), seed), STEADY);
                let evidence = of(&header, &records);
                let reading = Reading::of(&header, &records);
                for judged in reading.blocks.iter().flat_map(|block| &block.trials) {
                    let pressed: Vec<f64> = of_trial(&evidence, judged)
                        .filter_map(|found| match found.response {
                            Response::Pressed { latency_s, .. } => Some(latency_s),
                            Response::Omitted { .. } => None,
                        })
                        .collect();
                    let aimed = judged.trial.presses.iter().filter(|press| press.outcome != Outcome::Extra);
                    let logged: Vec<f64> = aimed.filter_map(|press| Some(press.latency_us? as f64 / 1e6)).collect();
                    let counts = judged.counts() && judged.trial.kind != BlockKind::Repeat;
                    assert_eq!(pressed, if counts { logged } else { Vec::new() }, "{:?}", judged.trial);
                }
            }
        }
    }

    #[test]
    fn each_pass_without_a_press_is_an_omission_and_the_last_one_too() {
        let lazy = Traits { miss: 0.7, involuntary_per_s: 0.0, ..STEADY };
        let mut last_in_group = 0;
        for seed in 1..=8 {
            let (header, records) = sat(&plan("demonstration", hard("linear"), seed), lazy.clone());
            let evidence = of(&header, &records);
            let reading = Reading::of(&header, &records);
            let all = reading.blocks.iter().flat_map(|block| &block.trials);
            for judged in all.filter(|judged| judged.counts() && judged.trial.presses.is_empty()) {
                let trial = judged.trial;
                // Menu tasks are scanned twice, everything else once.
                let passes = match trial.kind {
                    BlockKind::MenuTasks | BlockKind::Confirm => 2,
                    BlockKind::Repeat => 0,
                    _ => 1,
                };
                assert_eq!(of_trial(&evidence, judged).count(), passes, "{trial:?}");
                assert!(of_trial(&evidence, judged).all(|found| omitted(&found)));
                last_in_group += u32::from(trial.position + 1 == trial.count && passes > 0);
            }
        }
        assert!(last_in_group > 0, "the case that the log does not count was met");
    }

    #[test]
    fn a_hit_lies_in_its_window_and_a_late_press_beyond_it() {
        let mut late = 0;
        for seed in 1..=6 {
            let (header, records) = sat(&plan("longer-trial", hard("row-column"), seed), STEADY);
            let evidence = of(&header, &records);
            for found in &evidence.opportunities {
                // A frame comes 8.333 ms after its highlight was due.
                let slack = 0.0084;
                match found.response {
                    Response::Pressed { latency_s, outcome: Outcome::Hit, .. } => {
                        assert!(latency_s <= found.window_s + slack, "{found:?}");
                    }
                    Response::Pressed { latency_s, outcome: Outcome::Late, .. } => {
                        late += 1;
                        assert!(latency_s >= found.window_s - slack, "{found:?}");
                    }
                    Response::Pressed { .. } => {}
                    Response::Omitted { window_s } => assert_eq!(window_s, found.window_s),
                }
            }
        }
        assert!(late > 0, "there were late presses");
    }

    #[test]
    fn contacts_hold_what_was_pressed_and_nothing_of_the_assessors() {
        let (header, records) = sat(&plan("first-look", Settings::default(), 2), STEADY);
        let evidence = of(&header, &records);
        assert!(evidence.contacts.iter().any(|contact| contact.aim == Aim::Wanted));
        assert!(evidence.contacts.iter().all(|contact| contact.held_s.is_some_and(|held| held > 0.0)));
        assert!(evidence.contacts.iter().filter_map(|contact| contact.gap_s).all(|gap| gap >= 0.0));
        assert!(evidence.quiet_s > 0.0);
        let quiet: u32 = Reading::of(&header, &records).blocks.iter().map(|block| block.unwanted).sum();
        assert_eq!(evidence.involuntary, quiet);
    }

    #[test]
    fn presses_after_a_choice_know_how_long_after() {
        let plan = plan("first-look", Settings::default(), 2);
        let (header, records) = sat(&plan, Traits { involuntary_per_s: 0.2, ..STEADY });
        let contacts = of(&header, &records).contacts;
        let after: Vec<f64> = contacts.iter().filter_map(|contact| contact.after_choice_s).collect();
        // A choice is explained for 2.5 s at most, and the longest cue stands for 3 s.
        assert!(after.len() > 3 && after.iter().all(|seconds| (0.0..5.6).contains(seconds)), "{after:?}");
    }

    #[test]
    fn presses_come_by_themselves_at_their_rate_while_the_scan_is_far_from_what_is_wanted() {
        for pattern in ["linear", "row-column"] {
            for per_s in [0.0, 0.05] {
                let traits = Traits { involuntary_per_s: per_s, ..STEADY };
                let sessions = (1..=6).map(|seed| sat(&plan("longer-trial", hard(pattern), seed), traits.clone()));
                let (seconds, count) = sessions.fold((0.0, 0.0), |(seconds, count), (header, records)| {
                    let found = of(&header, &records);
                    (seconds + found.ahead_s, count + f64::from(found.ahead))
                });
                // Four standard errors of a Poisson count.
                let wanted = per_s * seconds;
                assert!(seconds > 200.0 && (count - wanted).abs() <= 4.0 * wanted.sqrt(), "{count} {wanted} {seconds}");
            }
        }
    }

    #[test]
    fn a_wrong_group_is_timed_until_it_is_left() {
        let mut all = Vec::new();
        for seed in 1..=48 {
            let (header, records) = sat(&plan("first-look", hard("row-column"), seed), STEADY);
            all.extend(of(&header, &records).wrong_groups);
        }
        // Two passes of a short row and the first-item times at most, or the way to its exit.
        assert!(all.len() >= 3 && all.iter().all(|intervals| (0.1..20.0).contains(intervals)), "{all:?}");
    }

    #[test]
    fn sessions_follow_one_another() {
        let (header, one) = sat(&plan("first-look", Settings::default(), 2), STEADY);
        let (_, two) = sat(&plan("first-look", Settings::default(), 3), STEADY);
        let both = evidence(&[(&header, &one), (&header, &two)]).unwrap();
        let (alone, other) = (of(&header, &one), of(&header, &two));
        assert_eq!(both.sessions, 2);
        assert_eq!(both.opportunities.len(), alone.opportunities.len() + other.opportunities.len());
        assert_eq!(both.contacts.last().map(|contact| contact.session), Some(1));
        assert_eq!(both.quiet_s, alone.quiet_s + other.quiet_s);
    }

    #[test]
    fn no_records_give_no_evidence_and_no_sessions_are_refused() {
        let header = Header::for_plan(&plan("first-look", Settings::default(), 1));
        let found = of(&header, &[]);
        assert_eq!((found.opportunities.len(), found.contacts.len(), found.quiet_s), (0, 0, 0.0));
        assert_eq!((found.lag_s, found.settings), (None, header.settings.clone()));
        assert_eq!(evidence(&[]).unwrap_err().what, "there is none");
    }

    #[test]
    fn what_differs_is_told() {
        let header = Header::for_plan(&plan("first-look", Settings::default(), 1));
        let refused = |other: Header| evidence(&[(&header, &[]), (&other, &[])]).unwrap_err().to_string();
        let client = refused(Header { client: "B2".into(), ..header.clone() });
        let told = "cannot judge these sessions together: the client differs (`` and `B2`); give the logs of one client at a time";
        assert_eq!(client, told);
        let mut moved = header.clone();
        moved.setup.site = "chin".into();
        assert!(refused(moved).contains("the site differs (`` and `chin`)"));
        assert!(refused(Header { menu: serde_json::Value::Null, ..header.clone() }).contains("the menu differs"));
    }

    #[test]
    fn the_lag_is_one_frame_and_half_a_step_of_the_input_and_nothing_before_the_hand_over() {
        let header = Header::for_plan(&plan("first-look", Settings::default(), 1));
        let measured = Measured { frame_interval_us: 16_000, frame_lag_us: 12_000, ..Measured::default() };
        let polled = Header { measured: Measured { input_step_us: 8_000, ..measured.clone() }, ..header.clone() };
        let header = Header { measured, ..header };
        assert_eq!(of(&polled, &[]).lag_s, Some(0.020));
        assert_eq!(evidence(&[(&header, &[]), (&polled, &[])]).unwrap().lag_s, Some(0.018));
    }

    #[test]
    fn a_confirm_block_is_no_evidence_for_what_it_tests() {
        let (header, records) = sat(&plan("confirm", hard("linear"), 2), STEADY);
        let found = of(&header, &records);
        assert!(records.iter().any(|record| matches!(&record.what, What::Event(Event::Trial(_)))));
        assert_eq!((found.opportunities.len(), found.contacts.len()), (0, 0));
        assert_eq!(found.settings, header.settings, "the block's own time to read the cue is not in force");
    }

    #[test]
    fn a_trial_left_out_afterwards_is_left_out_here() {
        let (header, mut records) = sat(&plan("first-look", Settings::default(), 2), STEADY);
        let before = of(&header, &records);
        let last = before.opportunities.last().unwrap();
        let (block, trial) = (last.block, last.trial);
        let event = Event::Excluded { block, trial, reason: "talk".into() };
        records.push(Record { at: Moment(u64::MAX / 2), what: What::Event(event) });
        let after = of(&header, &records);
        assert!(after.opportunities.len() < before.opportunities.len());
        assert!(after.opportunities.iter().all(|found| (found.block, found.trial) != (block, trial)));
    }
}
