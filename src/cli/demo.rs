//! `demo`: a virtual client runs a protocol through the real session and engine, without a window.

use std::io::Write as _;

use super::args::DemoArgs;
use super::{Done, Trouble, files, plan, progress, report};
use crate::log::header::{Header, Measured};
use crate::log::writer::Writer;
use crate::session::Session;
use crate::session::event::Event;
use crate::session::record::What;
use crate::session::setup::Setup;
use crate::sim::client::Client;
use crate::sim::sitting;
use crate::store::{Store, rfc3339, wall_clock};

/// Code of the virtual client.
const CLIENT: &str = "DEMO1";
/// The virtual client of the demonstration.
pub(super) const PROFILE: &str = "steady";
/// The seed of the demonstration where none is given: a common case. Its first look advises 1.30 s; those of seeds 1 to
/// 14 advise 1.15 to 1.90 s, half of them less than 1.33 s, and half leave open whether the presses are timed.
pub(super) const SEED: u64 = 4;
/// Where the demonstration leaves its log and report.
pub(super) const FOLDER: &str = "pacewright-demo";

pub(super) fn run(args: &DemoArgs) -> Done {
    let (protocol, menu) = files::protocol(&args.protocol)?;
    let profile = files::profile(&args.profile)?;
    let plan = plan::plan(protocol, menu, &[], args.seed)?;
    let began = wall_clock()?;
    let client = files::client(CLIENT)?;
    let store = Store::open(&args.out)?;
    let (log_path, file) = store.create_log(&client, &began)?;
    let measured = Measured { display: "none: a virtual clock".to_string(), ..Measured::default() };
    let header = Header { invented: true, ..plan::header(&plan, CLIENT, rfc3339(&began), circumstances(), measured) };

    say!(
        "The virtual client `{}` runs `{}`, seed {}. All data are invented.",
        profile.name,
        plan.protocol.name,
        plan.seed
    );
    let mut session = Session::new(plan);
    sit(&mut session, &header, file, Client::new(profile.traits, args.seed))?;
    report::print_and_write(&log_path, &files::report_beside(&log_path))
}

/// What runs where no window can be opened.
pub(super) fn demonstration() -> Done {
    run(&DemoArgs {
        out: FOLDER.into(),
        seed: SEED,
        protocol: "demonstration".to_string(),
        profile: PROFILE.to_string(),
    })
}

/// Runs the session to its end and writes its log.
fn sit(session: &mut Session, header: &Header, mut file: std::fs::File, mut client: Client) -> Done {
    let failed = |what: std::io::Error| Trouble::Failed(format!("cannot write the log: {what}; free some space"));
    // Nobody waits at the bed: the log is kept in memory and saved once.
    let mut writer = Writer::begin(Vec::new(), header).map_err(failed)?;
    let mut trials = 0_u32;
    let end = sitting::sit(session, &mut client, |fresh| {
        for record in fresh {
            // Memory takes every byte.
            let _ = writer.add(record);
            trials += u32::from(matches!(&record.what, What::Event(Event::Trial(_))));
        }
        progress(&format!("{trials} trials"));
    })
    .map_err(|_| Trouble::Failed("the session did not come to its end".to_string()))?;
    writer.end(end).map_err(failed)?;
    file.write_all(&writer.into_sink()).and_then(|()| file.sync_all()).map_err(failed)?;
    progress("");
    Ok(())
}

/// The circumstances of the invented scenario.
pub(super) fn circumstances() -> Setup {
    Setup {
        site: "cheek".to_string(),
        side: "right".to_string(),
        switch: "light-touch switch".to_string(),
        mounting: "arm on the bed rail".to_string(),
        position: "half sitting".to_string(),
        screen_distance_mm: 1_500,
        screen_width_mm: 530,
        look: "dark".to_string(),
        cue_kind: "words and picture".to_string(),
        feedback: "home".to_string(),
        devices: vec!["virtual switch".to_string()],
        ..Setup::default()
    }
}
