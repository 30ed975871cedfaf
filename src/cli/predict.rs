//! `predict`: what the household tasks of a menu take a client, now and slower.

use serde_json::{Value, json};

use super::args::PredictArgs;
use super::{Done, files, plan};
use crate::forecast::home::{AtHome, RUNS, at_home};
use crate::forecast::home_text;
use crate::problem::Problem;
use crate::settings::{Id, Settings, show_value};

pub(super) fn run(args: &PredictArgs) -> Done {
    let (profile, menu) = (files::profile(&args.profile)?, files::menu(&args.menu)?);
    let mut settings = Settings::default();
    args.set.iter().try_for_each(|change| plan::change_setting(&mut settings, change))?;
    if menu.tasks.is_empty() {
        let remedy = "add `tasks` to it: each with a `label` and the `items` to take";
        return Err(Problem::error(&args.menu, None, "the menu has no household tasks", remedy).into());
    }
    let found = at_home(&profile, &menu, &settings, RUNS, args.seed);
    if args.json {
        say!("{}", object(&found, &profile.name, &menu.name, &settings));
        return Ok(());
    }
    let interval = show_value(Id::ScanInterval, settings.raw(Id::ScanInterval));
    say!("`{}` at home with `{}`, {interval} an item:", profile.name, menu.name);
    home_text::lines(&found).iter().for_each(|line| say!("{line}"));
    say!("A model, not the person. Its alarm call calls nobody: keep the client's own call system within reach.");
    Ok(())
}

fn object(found: &AtHome, profile: &str, menu: &str, settings: &Settings) -> Value {
    let mut object = json!(found);
    object["format"] = json!("pacewright at home");
    object["version"] = json!(1);
    object["program"] = json!(env!("CARGO_PKG_VERSION"));
    object["profile"] = json!(profile);
    object["menu"] = json!(menu);
    object["settings"] = json!(settings.to_json());
    object
}
