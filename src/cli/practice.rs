//! `practice`: what is to be practised by a plan; a virtual client practises it without a window.

use std::io::Write as _;
use std::path::Path;

use super::args::PracticeArgs;
use super::{Done, Trouble, demo, files, pass, plan, practised, window};
use crate::code::ClientCode;
use crate::log::header::{Header, Measured};
use crate::log::writer::Writer;
use crate::menu::Menu;
use crate::practice::mastery::{self, Next};
use crate::practice::pacing::A_YEAR;
use crate::practice::plan::{Advised, Plan};
use crate::practice::sitting::Sitting;
use crate::practice::steps::{self, Step};
use crate::practice::summary::{Summary, Tally};
use crate::practice::visit::Visit;
use crate::problem::{Problem, did_you_mean};
use crate::session::record::Record;
use crate::settings::SettingError;
use crate::sim::client::Client;
use crate::sim::sitting::sit;
use crate::store::{Store, later, read_whole, rfc3339, since_1970_us, wall_clock};
use crate::time::Moment;

/// Code of the virtual client.
const CLIENT: &str = "DEMO1";
/// A day, in microseconds.
const DAY_US: i64 = 86_400_000_000;

/// What is to be practised.
pub(super) struct Wanted {
    pub plan: Plan,
    pub step: &'static Step,
    /// The client's own menu.
    pub menu: Option<Menu>,
    /// How old the plan's advice is.
    pub days: u32,
    pub client: ClientCode,
    pub store: Store,
}

pub(super) fn run(args: &PracticeArgs) -> Done {
    let file = args.plan.display().to_string();
    let (read, problems) = crate::practice::plan::read(&file, read_whole(&args.plan)?);
    let mut plan = pass(read, problems)?;
    let step = step(&plan, args.step.as_deref().unwrap_or(&plan.steps[0]))?;
    let (client, folder) = whose(args, &plan)?;
    let store = Store::open(folder)?;
    practised::go_on(&mut plan, &practised::so_far(&store, &client)?);
    let now = since_1970_us(&rfc3339(&wall_clock()?)).unwrap_or_default();
    let days = plan.advised.as_ref().map_or(0, |advised| age(advised, now));
    let menu = own_menu(args, &plan)?;
    let wanted = Wanted { plan, step, menu, days, client, store };
    match &args.simulate {
        Some(profile) => simulate(args, profile, wanted),
        None => window::practice(args, wanted),
    }
}

/// Step after step, as the virtual client chooses. Each begins where the one before ended.
fn simulate(args: &PracticeArgs, profile: &str, wanted: Wanted) -> Done {
    let profile = files::profile(profile)?;
    let seed = args.seed.unwrap_or(1);
    let Wanted { plan, step, menu, days, client, store } = wanted;
    say!("The virtual client `{}` practises, seed {seed}. All data are invented.", profile.name);
    let cannot = |visit: &Visit, error| Trouble::Failed(cannot_begin(visit, &error));
    let mut visit = Visit::new(plan.clone(), step, menu, days, seed);
    let mut sitting = visit.sitting().map_err(|error| cannot(&visit, error))?;
    say!("The carer is asked: {} (taken for yes)", sitting.to_confirm().unwrap_or_default());
    let (mut began, mut before) = (wall_clock()?, Vec::new());
    for person in seed.. {
        say!("");
        say_rule(visit.step());
        let header = plan::header(
            sitting.session_plan(),
            CLIENT,
            rfc3339(&began),
            demo::circumstances(),
            Measured { display: "none: a virtual clock".to_string(), ..Measured::default() },
        );
        let header = Header { invented: true, practice: Some(sitting.practice().clone()), ..header };
        let (path, file) = store.create_log(&client, &began)?;
        let ended = write(&mut sitting, &header, &before, file, Client::new(profile.traits.clone(), person))?;
        say!("Log: `{}`", path.display());
        if let Some(summary) = sitting.summary() {
            say!("{summary}");
            say!("{}", next(&plan, visit.step(), &summary).words());
        }
        began = later(&began, ended.since(Moment::START));
        before.clear();
        match visit.next(&sitting).map_err(|error| cannot(&visit, error))? {
            Some(next) => sitting = next,
            None => break,
        }
        sitting.go_on(&mut before);
    }
    say!("");
    practised::print(&practised::so_far(&store, &client)?);
    Ok(())
}

/// Why a step cannot begin.
pub(super) fn cannot_begin(visit: &Visit, error: &SettingError) -> String {
    format!("cannot begin `{}`: {error}", visit.step().id)
}

/// Who practises, and the folder of the logs. The plan knows whom it is for; who practises by another's plan says so.
fn whose<'a>(args: &'a PracticeArgs, plan: &Plan) -> Result<(ClientCode, &'a Path), Trouble> {
    if args.simulate.is_some() {
        return Ok((files::client(CLIENT)?, &args.out));
    }
    let code = args.client.as_deref().or(plan.client.as_deref()).ok_or_else(|| {
        let file = args.plan.display().to_string();
        Problem::error(&file, None, "the plan does not say whom it is for", "add `client`, or give `--client CODE`")
    })?;
    Ok((files::client(code)?, args.data.as_deref().unwrap_or(Path::new("."))))
}

/// When the step is mastered.
pub(super) fn say_rule(step: &Step) {
    say!("Rule: {}.", step.mastery.words());
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
    given.map_or(A_YEAR, |given| ((now_us - given) / DAY_US).clamp(0, 3_650) as u32)
}

/// What comes after this session alone.
pub(super) fn next(plan: &Plan, step: &Step, summary: &Summary) -> Next {
    let Tally { hits, misses, .. } = summary.tally;
    let session = mastery::Session { verdict: summary.verdict, hits, misses, latencies: &[] };
    mastery::next(&[session], plan.steps.first().is_some_and(|first| first == step.id))
}

/// Practises to the end and writes the log, `before` first; gives the instant of the end.
fn write(
    sitting: &mut Sitting,
    header: &Header,
    before: &[Record],
    mut file: std::fs::File,
    mut client: Client,
) -> Result<Moment, Trouble> {
    let failed = |what: std::io::Error| Trouble::Failed(format!("cannot write the log: {what}; free some space"));
    let mut writer = Writer::begin(Vec::new(), header).map_err(failed)?;
    // Memory takes every byte.
    let mut keep = |fresh: &[Record]| fresh.iter().for_each(|record| _ = writer.add(record));
    keep(before);
    let end =
        sit(sitting, &mut client, keep).map_err(|_| Trouble::Failed("practice did not come to its end".to_string()))?;
    writer.end(end).map_err(failed)?;
    file.write_all(&writer.into_sink()).and_then(|()| file.sync_all()).map_err(failed)?;
    Ok(end)
}
