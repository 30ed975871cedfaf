//! A data folder of invented clients.

use std::fs;
use std::path::Path;
use std::time::{Duration, UNIX_EPOCH};

use pacewright::desk::person::Person;
use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::session::record::Record;
use pacewright::session::setup::Setup;
use pacewright::session::{Plan, Session, shipped as protocols};
use pacewright::settings::Settings;
use pacewright::sim::client::Client;
use pacewright::sim::profile::shipped;
use pacewright::sim::sitting;
use pacewright::store::{Store, instant, rfc3339};
use pacewright::time::Moment;

pub const CLIENTS: u64 = 200;
/// The client whose sliders are dragged.
pub const WHAT_IF: &str = "C000";
/// Records of each other session.
const SHORT: usize = 400;
/// 1 January 2026, in seconds since 1970.
const FIRST_DAY: u64 = 1_767_225_600;

/// How many sessions there are.
pub fn sessions() -> u64 {
    std::env::var("DESK_SESSIONS").ok().and_then(|text| text.parse().ok()).unwrap_or(2_000)
}

/// Fills `data`; how many bytes there are then.
pub fn fill(data: &Path) -> u64 {
    let store = Store::open(data).expect("a folder");
    let long = sat("longer-trial");
    for number in 0..CLIENTS {
        let code = format!("C{number:03}").parse().expect("a code");
        let review = format!("2026-{:02}-15", 1 + number % 12);
        let person = Person { review, set_ups: vec![setup()], ..Person::default() };
        store.write_person(&code, &person).expect("room");
    }
    for session in 0..sessions() {
        let (client, turn) = (session % CLIENTS, session / CLIENTS);
        // All of one client's, so that there is something to fit; of the others a beginning.
        let take = if format!("C{client:03}") == WHAT_IF { usize::MAX } else { SHORT };
        write(&store, &long, &format!("C{client:03}"), FIRST_DAY + 86_400 * turn + 60 * client, take);
    }
    fs::read_dir(data).expect("a folder").flatten().filter_map(|entry| Some(entry.metadata().ok()?.len())).sum()
}

fn setup() -> Setup {
    Setup {
        site: "cheek".into(),
        switch: "light-touch switch".into(),
        devices: vec!["key Space".into()],
        screen_distance_mm: 900,
        screen_width_mm: 530,
        ..Setup::default()
    }
}

/// A session of the steady virtual client.
fn sat(protocol: &str) -> (Header, Vec<Record>) {
    let (protocol, menu) = protocols::find(protocol).expect("it is shipped");
    let settings = Settings::from_json(&protocol.settings).expect("they are valid");
    let plan = Plan { protocol, menu, settings, seed: 7 };
    let header = Header { invented: true, setup: setup(), ..Header::for_plan(&plan) };
    let mut client = Client::new(shipped::find("steady").expect("it is shipped").traits, 7);
    let mut records = Vec::new();
    sitting::sit(&mut Session::new(plan), &mut client, |fresh| records.extend_from_slice(fresh))
        .expect("it comes to an end");
    (header, records)
}

fn write(store: &Store, (header, records): &(Header, Vec<Record>), client: &str, seconds: u64, take: usize) {
    let at = instant(UNIX_EPOCH + Duration::from_secs(seconds)).expect("a day");
    let (_, file) = store.create_log(&client.parse().expect("a code"), &at).expect("a log");
    let header = Header { client: client.into(), began: rfc3339(&at), ..header.clone() };
    let mut writer = Writer::begin(file, &header).expect("a header");
    let mut last = Moment::START;
    for record in records.iter().take(take) {
        last = last.max(record.at);
        writer.add(record).expect("room");
    }
    writer.end(last).expect("room");
}
