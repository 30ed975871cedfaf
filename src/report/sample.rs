//! Sessions for the tests: a virtual client sits through the first look, and a session in which
//! nothing happened.

use std::sync::OnceLock;

use super::svg::Drawn;
use crate::advice::pictures::Pictures;
use crate::advice::recommendation::Recommendation;
use crate::advice::set_up::SetUpAdvice;
use crate::analysis::evidence::{Aim, Contact};
use crate::analysis::findings::{Caution, Findings};
use crate::analysis::{self, gather};
use crate::engine::effect::Switch;
use crate::log::header::Header;
use crate::log::header::tests::header as small_header;
use crate::session::event::{BlockKind, Event};
use crate::session::input::{Input, PauseReason, Rating};
use crate::session::record::{Record, What};
use crate::session::setup::Setup;
use crate::session::{Plan, Session, shipped};
use crate::settings::{Id, Settings};
use crate::sim::client::{Client, STEADY, Traits};
use crate::sim::latency::Latency;
use crate::sim::sitting::sit;
use crate::time::Moment;

/// What a report is made from.
pub(super) struct Sample {
    pub(super) header: Header,
    pub(super) findings: Findings,
    pub(super) cautions: Vec<Caution>,
    pub(super) records: Vec<Record>,
    pub(super) advice: Option<SetUpAdvice>,
    pub(super) pictures: Pictures,
}

impl Sample {
    fn of(header: Header, records: Vec<Record>) -> Sample {
        let (findings, cautions) = analysis::findings(&header, &records);
        let advice = SetUpAdvice::of(&[(&header, &records)]).ok();
        let pictures = Pictures::beside(advice.as_ref());
        Sample { header, findings, cautions, records, advice, pictures }
    }

    pub(super) fn html(&self) -> String {
        let advice = self.advice.as_ref();
        super::html(
            &self.header,
            &self.findings,
            &self.cautions,
            &self.records,
            advice,
            &self.pictures,
            &super::More::default(),
        )
    }

    pub(super) fn list(&self) -> &[Recommendation] {
        self.advice.as_ref().map_or(&[], |advice| &advice.recommendations)
    }

    pub(super) fn drawn(&self) -> Drawn<'_> {
        Drawn::new(&self.findings, &self.records, &self.pictures, self.list())
    }
}

/// A first look with everything that a report can tell of.
pub(super) fn full() -> Sample {
    let plan = plan("first-look");
    let latency = law(0.55, 0.2, 0.3);
    let unsure = Traits { latency, miss: 0.1, involuntary_per_s: 0.02, ..STEADY };
    let mut records = sat(&plan, unsure);
    records.extend(aside(&records));
    records.sort_by_key(|record| record.at);
    let began = "2026-01-02T03:04:05+01:00".into();
    let header = Header { client: "K7-03".into(), began, setup: setup(), ..Header::for_plan(&plan) };
    Sample::of(Header { invented: true, ..header }, records)
}

/// A sitting of a shipped protocol.
pub(super) fn of_protocol(protocol: &str) -> Sample {
    pressed_by(protocol, STEADY)
}

/// A sitting of a shipped protocol by a client with these traits.
pub(super) fn pressed_by(protocol: &str, traits: Traits) -> Sample {
    let plan = plan(protocol);
    let records = sat(&plan, traits);
    Sample::of(Header::for_plan(&plan), records)
}

/// A session in which nothing happened.
pub(super) fn empty() -> Sample {
    Sample::of(Header { invented: false, ..small_header() }, Vec::new())
}

/// Sessions of many kinds, with a name each; made once for all tests.
pub(super) fn many() -> &'static [(&'static str, Sample)] {
    static MANY: OnceLock<Vec<(&'static str, Sample)>> = OnceLock::new();
    MANY.get_or_init(|| {
        let shaky = Traits { latency: law(0.55, 0.3, 0.5), miss: 0.35, involuntary_per_s: 0.2, ..STEADY };
        let first_look = |traits| pressed_by("first-look", traits);
        vec![
            ("full", full()),
            ("empty", empty()),
            ("short", short()),
            ("long", pressed_by("longer-trial", STEADY)),
            ("shaky", first_look(shaky)),
            ("slow", first_look(Traits { latency: law(2.2, 0.07, 0.8), ..STEADY })),
            ("trembling", trembling()),
            ("never", first_look(Traits { miss: 0.98, ..STEADY })),
        ]
    })
}

/// A first look that breaks off early in its timed presses.
fn short() -> Sample {
    let Sample { header, mut records, .. } = full();
    let timed =
        |record: &Record| matches!(record.what, What::Event(Event::BlockBegan { kind: BlockKind::TimedPress, .. }));
    let began = records.iter().position(timed).unwrap_or(records.len());
    records.truncate(began + 60);
    Sample::of(header, records)
}

/// A first look with many short unwanted presses right after the wanted ones, so that a hold time and a
/// lockout can be advised.
fn trembling() -> Sample {
    let sample = full();
    let mut evidence = gather::evidence(&[(&sample.header, &sample.records)]).unwrap();
    let mut pressed_s = sample.findings.seconds;
    for nth in 0..40 {
        let part = f64::from(nth) / 40.0;
        let presses = [
            (Aim::Wanted, 3.0, 0.35 + 0.4 * part),
            (Aim::Wanted, 0.9 + 0.8 * part, 0.3 + 0.3 * part),
            (Aim::Unwanted, 0.06 + 0.2 * part, 0.04 + 0.1 * part),
        ];
        for (aim, gap_s, held_s) in presses {
            pressed_s += gap_s;
            let (held, gap) = (Some(held_s), Some(gap_s));
            let contact =
                Contact { session: 0, pressed_s, held_s: held, gap_s: gap, pair_s: None, after_choice_s: None, aim };
            evidence.contacts.push(contact);
            pressed_s += held_s;
        }
    }
    let advice = Some(SetUpAdvice::from_evidence(evidence, &[]));
    let pictures = Pictures::beside(advice.as_ref());
    Sample { advice, pictures, ..sample }
}

fn law(mu_s: f64, sigma_s: f64, tau_s: f64) -> Latency {
    Latency::ExGaussian { mu_s, sigma_s, tau_s }
}

fn plan(protocol: &str) -> Plan {
    let (protocol, menu) = shipped::find(protocol).unwrap();
    let settings = Settings::default().overlaid(&protocol.settings).unwrap().with(Id::ScanInterval, 1_500_000);
    Plan { protocol, menu, settings, seed: 1 }
}

fn sat(plan: &Plan, traits: Traits) -> Vec<Record> {
    let mut records = Vec::new();
    let (mut session, mut client) = (Session::new(plan.clone()), Client::new(traits, plan.seed));
    sit(&mut session, &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    records
}

/// What the people in the room do besides.
fn aside(records: &[Record]) -> Vec<Record> {
    let last = records.last().map_or(Moment::START, |record| record.at).0;
    let input = |at: u64, input| Record { at: Moment(at), what: What::Input(input) };
    let event = |at: u64, event| Record { at: Moment(at), what: What::Event(event) };
    let edge = |at: u64, down| input(at, Input::Edge { switch: Switch(0), down });
    vec![
        edge(500_000, true),
        edge(600_000, false),
        edge(1_200_000, true),
        edge(1_300_000, false),
        input(last / 2, Input::Note { text: "Coughs now and then; the head support was moved up.".into() }),
        event(last / 2, Event::Paused { why: PauseReason::Clinician }),
        event(last / 2 + 15_000_000, Event::Resumed),
        input(last - 1, Input::Rate { question: Rating::Effort, value: 4 }),
        event(last, Event::Excluded { block: 4, trial: 1, reason: "the door opened".into() }),
    ]
}

fn setup() -> Setup {
    Setup {
        site: "right cheek".into(),
        switch: "button, 35 mm".into(),
        mounting: "arm on the bed rail".into(),
        position: "half sitting, 40 degrees".into(),
        screen_distance_mm: 1500,
        screen_width_mm: 530,
        look: "dark".into(),
        cue_kind: "words and picture".into(),
        feedback: "home".into(),
        since_rest: "20 min".into(),
        assessor: "T2".into(),
        language: "en-GB".into(),
        devices: vec!["key Space".into()],
        ..Setup::default()
    }
}
