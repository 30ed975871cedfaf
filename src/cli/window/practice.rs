//! `practice` in the window: step after step as the client chooses, a log each, and what came of them.

use std::path::Path;
use std::sync::{Arc, Mutex};

use super::{Next, Seat};
use crate::app::machine::Machine;
use crate::cli::args::PracticeArgs;
use crate::cli::practice::{Wanted, cannot_begin, next, say_rule};
use crate::cli::report::Read;
use crate::cli::{Done, Trouble, files, labels, plan, practised};
use crate::lock::past_panics;
use crate::practice::plan::Plan;
use crate::practice::sitting::Sitting;
use crate::practice::steps::Step;
use crate::practice::summary::Summary;
use crate::practice::visit::Visit;
use crate::store::Store;

/// The steps so far, each with what came of it.
type Practised = Arc<Mutex<Vec<(&'static Step, Summary)>>>;

/// A client practises by the plan.
pub(in crate::cli) fn practice(args: &PracticeArgs, wanted: Wanted) -> Done {
    let Wanted { plan, step, menu, days, client, store } = wanted;
    let seed = args.seed.map_or_else(plan::seed_of_the_clock, Ok)?;
    say_rule(step);
    let visit = Visit::new(plan.clone(), step, menu, days, seed);
    let first = visit.sitting().map_err(|error| Trouble::Failed(cannot_begin(&visit, &error)))?;
    let folder = store.folder().to_path_buf();
    let seat = Seat {
        client: client.clone(),
        store,
        screen: &args.screen,
        setup: &args.setup,
        windowed: args.windowed,
        watched: None,
        settings: first.session_plan().settings.clone(),
        sound: labels::prepare(&folder, first.session()),
        broken_off: None,
    };
    let practised = Practised::default();
    let sessions = sessions(visit, first, Arc::clone(&practised));
    let ended = super::open(seat, sessions, write_report);
    past_panics(&practised).iter().for_each(|(step, summary)| tell(&plan, step, summary));
    ended?;
    say!("");
    practised::print(&practised::so_far(&Store::open(&folder)?, &client)?);
    Ok(())
}

/// One sitting after the other; what came of each is kept.
fn sessions(mut visit: Visit, first: Sitting, practised: Practised) -> super::Sessions {
    let mut first = Some(first);
    Box::new(move |_, over| {
        let sitting = match over {
            None => first.take(),
            Some(over) => {
                let over = sitting(over);
                past_panics(&practised).extend(over.summary().map(|summary| (visit.step(), summary)));
                visit.next(over).map_err(|error| cannot_begin(&visit, &error))?
            }
        };
        Ok(sitting.map(|sitting| Next {
            before: Vec::new(),
            continues: None,
            practice: Some(sitting.practice().clone()),
            machine: Box::new(sitting),
        }))
    })
}

/// Every machine of these sessions is a sitting.
fn sitting(machine: &dyn Machine) -> &Sitting {
    (machine as &dyn std::any::Any).downcast_ref().expect("practice runs sittings only")
}

fn write_report(log: &Path) -> Done {
    let report = files::report_beside(log);
    Read::of(log)?.write(&report)?;
    say!("log     {}\nreport  {}", log.display(), report.display());
    Ok(())
}

fn tell(plan: &Plan, step: &Step, summary: &Summary) {
    say!("\n{}\n{summary}\n{}", step.id, next(plan, step, summary).words());
}
