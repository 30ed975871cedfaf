//! `practice`: a virtual client practises by a plan, through the real session and engine, without a window.

use std::io::Write as _;

use super::args::PracticeArgs;
use super::{Done, Trouble, demo, files, pass, plan, practised};
use crate::log::header::{Header, Measured};
use crate::log::writer::Writer;
use crate::menu::Menu;
use crate::practice::mastery::{self, Next};
use crate::practice::plan::{Advised, Plan};
use crate::practice::sitting::Sitting;
use crate::practice::steps::{self, Step};
use crate::practice::summary::{Summary, Tally};
use crate::problem::{Problem, did_you_mean};
use crate::sim::client::Client;
use crate::sim::sitting::sit;
use crate::store::{Store, rfc3339, since_1970_us, wall_clock};

/// Code of the virtual client.
const CLIENT: &str = "DEMO1";
/// A day, in microseconds.
const DAY_US: i64 = 86_400_000_000;

pub(super) fn run(args: &PracticeArgs) -> Done {
    let file = args.plan.display().to_string();
    let (read, problems) = crate::practice::plan::read(&file, files::bytes(&args.plan, String::new)?);
    let mut plan = pass(read, problems)?;
    let step = step(&plan, args.step.as_deref().unwrap_or(&plan.steps[0]))?;
    let profile = files::profile(&args.simulate)?;
    let began = wall_clock()?;
    let client = files::client(CLIENT)?;
    let store = Store::open(&args.out)?;
    practised::go_on(&mut plan, &practised::so_far(&store, &client)?);
    let now = since_1970_us(&rfc3339(&began)).unwrap_or_default();
    let days = plan.advised.as_ref().map_or(0, |advised| age(advised, now));
    let menu = own_menu(args, &plan)?;
    let mut sitting = Sitting::new(&plan, step, menu, days, args.seed)
        .map_err(|error| Trouble::Failed(format!("cannot begin `{}`: {error}", step.id)))?;

    say!("The virtual client `{}` practises `{}`, seed {}. All data are invented.", profile.name, step.id, args.seed);
    say!("Rule: {}.", step.mastery.words());
    if !step.lacks.is_empty() {
        say!("Not there yet: {}.", step.lacks);
    }
    say!("The carer is asked: {} (taken for yes)", sitting.to_confirm().unwrap_or_default());
    let measured = Measured { display: "none: a virtual clock".to_string(), ..Measured::default() };
    let setup = demo::circumstances();
    let header = plan::header(sitting.session_plan(), CLIENT, rfc3339(&began), setup, measured);
    let header = Header { invented: true, practice: Some(sitting.practice().clone()), ..header };
    let (path, file) = store.create_log(&client, &began)?;
    write(&mut sitting, &header, file, Client::new(profile.traits, args.seed))?;
    say!("Log: `{}`", path.display());
    if let Some(summary) = sitting.summary() {
        say!("{summary}");
        say!("{}", next(&plan, step, &summary).words());
    }
    say!("");
    practised::print(&practised::so_far(&store, &client)?);
    Ok(())
}

fn step(plan: &Plan, name: &str) -> Result<&'static Step, Trouble> {
    let known = plan.steps.iter().any(|step| step == name).then(|| steps::find(name)).flatten();
    known.ok_or_else(|| {
        let what = format!("the plan has no step `{name}`");
        Problem::error("--step", None, what, did_you_mean(name, plan.steps.iter().map(String::as_str))).into()
    })
}

/// The client's own menu lies beside the plan.
fn own_menu(args: &PracticeArgs, plan: &Plan) -> Result<Option<Menu>, Trouble> {
    let Some(name) = &plan.menu else { return Ok(None) };
    let missing = || {
        let what = format!("cannot use the menu `{name}`");
        Problem::error(&args.plan.display().to_string(), None, what, "name a shipped menu, or a file beside the plan")
    };
    files::menu_beside(&args.plan, name).map(Some).ok_or_else(|| missing().into())
}

/// Whole days since the advice; 0 where the clock stands before it. Advice of no day is a year old.
fn age(advised: &Advised, now_us: i64) -> u32 {
    let given = since_1970_us(&format!("{}T00:00:00Z", advised.on));
    given.map_or(365, |given| ((now_us - given) / DAY_US).clamp(0, 3_650) as u32)
}

/// What comes after this session alone.
fn next(plan: &Plan, step: &Step, summary: &Summary) -> Next {
    let Tally { hits, misses, .. } = summary.tally;
    let session = mastery::Session { verdict: summary.verdict, hits, misses, latencies: &[] };
    mastery::next(&[session], plan.steps.first().is_some_and(|first| first == step.id))
}

/// Practises to the end and writes the log.
fn write(sitting: &mut Sitting, header: &Header, mut file: std::fs::File, mut client: Client) -> Done {
    let failed = |what: std::io::Error| Trouble::Failed(format!("cannot write the log: {what}; free some space"));
    let mut writer = Writer::begin(Vec::new(), header).map_err(failed)?;
    let end = sit(sitting, &mut client, |fresh| {
        // Memory takes every byte.
        fresh.iter().for_each(|record| _ = writer.add(record));
    })
    .map_err(|_| Trouble::Failed("practice did not come to its end".to_string()))?;
    writer.end(end).map_err(failed)?;
    file.write_all(&writer.into_sink()).and_then(|()| file.sync_all()).map_err(failed)
}
