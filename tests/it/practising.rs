//! Virtual clients practise every step by the switch alone: the log is whole, and replay agrees with it.

use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::writer::Writer;
use pacewright::practice::visit::Visit;
use pacewright::practice::{plan, steps};
use pacewright::session::event::Event;
use pacewright::session::record::{Record, What};
use pacewright::sim::client::{Client, STEADY};
use pacewright::sim::sitting::sit;
use pacewright::time::Moment;

fn plan() -> plan::Plan {
    let steps: Vec<&str> = steps::STEPS.iter().map(|step| step.id).collect();
    let text = serde_json::json!({
        "format": plan::Plan::FORMAT, "version": 1, "name": "every step", "steps": steps, "minutes": 12, "goal": "improve",
        "help": { "by": "second-means", "how": "the call button at the left hand" }
    });
    plan::read("plan", text.to_string()).0.expect("it is valid")
}

fn replays(header: &Header, records: &[Record], end: Moment, what: &str) {
    let mut writer = Writer::begin(Vec::new(), header).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(end).unwrap();
    let (file, problems) = reader::read(writer.into_sink().as_slice(), what);
    assert_eq!(problems, [], "{what}");
    let replayed = replay(&file, what).unwrap();
    assert!(matches!(replayed, Replayed::Agrees { until_gap: None, .. }), "{what}: {replayed:?}");
}

#[test]
fn the_logs_of_a_whole_practice_replay_step_by_step() {
    let mut logs = 0;
    for first in steps::STEPS {
        let mut visit = Visit::new(plan(), first, None, 0, 7);
        let mut next = Some((visit.sitting().unwrap(), Vec::new()));
        while let Some((mut sitting, mut records)) = next.take() {
            let what = format!("{} from {}", visit.step().id, first.id);
            let header = Header::for_plan(sitting.session_plan());
            let mut client = Client::new(STEADY, 7);
            let end = sit(&mut sitting, &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
            replays(&header, &records, end, &what);
            logs += 1;
            next = visit.next(&sitting).unwrap().map(|mut sitting| {
                let mut before = Vec::new();
                sitting.go_on(&mut before);
                (sitting, before)
            });
        }
    }
    assert!(logs > steps::STEPS.len(), "the steady client goes on to the next step: {logs}");
}

#[test]
fn what_was_confirmed_and_chosen_stands_in_the_log() {
    let mut sitting = Visit::new(plan(), &steps::STEPS[0], None, 0, 1).sitting().unwrap();
    let mut records = Vec::new();
    sit(&mut sitting, &mut Client::new(STEADY, 1), |fresh| records.extend_from_slice(fresh)).unwrap();
    let note = |record: &Record| {
        let json = serde_json::to_string(&record.what).unwrap();
        json.contains("Confirmed: Practice calls nobody.") && json.contains("the call button at the left hand")
    };
    assert_eq!(records.iter().filter(|record| note(record)).count(), 1);
    assert!(records.iter().any(|record| matches!(record.what, What::Event(Event::Chosen { .. }))));
}
