//! `pack`: writes the folder that goes home with the client.

use std::ffi::OsStr;
use std::fs;
use std::path::Path;

use super::args::{PackArgs, ScreenArgs};
use super::{Done, Trouble, files, pass};
use crate::menu::shipped as menus;
use crate::practice::home::{self, HomeFolder, Packed};
use crate::practice::plan::Plan;
use crate::problem::Problem;
use crate::store;

/// No program is larger, in bytes.
const LARGEST_PROGRAM: u64 = 1 << 30;

pub(super) fn run(args: &PackArgs) -> Done {
    let file = args.plan.display().to_string();
    let plan_text = files::bytes(&args.plan, || "give a practice plan".to_string())?;
    let (plan, problems) = crate::practice::plan::read(&file, &plan_text);
    let plan = pass(plan, problems)?;
    let client = files::client(&args.client)?;
    let menu = own_menu(&args.plan, &plan)?;
    let folder = &args.out;
    usable(folder, client.as_str(), menu.as_ref().map(|(name, _)| *name))?;
    // Makes the folder, and the one for the sessions, and sees to it that no session runs in it.
    drop(store::Store::open(&folder.join(home::SESSIONS))?);

    let start = home::start_file(client.as_str(), &options(&args.screen));
    let read_me = home::read_me(client.as_str(), &plan);
    let mut contents = vec![
        (home::PROGRAM, program()?),
        (home::PLAN, plan_text),
        (home::START, start.into_bytes()),
        (home::READ_ME, read_me.into_bytes()),
    ];
    contents.extend(menu);
    let packed = contents.iter().map(|(name, bytes)| put(folder, name, bytes)).collect::<Result<_, _>>()?;
    let list = HomeFolder::new(client.as_str(), packed);
    let text = serde_json::to_vec_pretty(&list).map_err(|error| Trouble::Failed(error.to_string()))?;
    put(folder, home::LIST, &text)?;

    say!("Home folder of {client}: {}", folder.display());
    contents.iter().for_each(|(name, bytes)| say!("  {name}, {} bytes", bytes.len()));
    say!("Practice is started by `{}`; sessions will lie in `{}`.", home::START, home::SESSIONS);
    say!("Before each start the carer is asked: {}", plan.help.question());
    say!("When it comes back: pacewright take-back {} --data YOUR-DATA-FOLDER", folder.display());
    Ok(())
}

/// A menu of the client's own, with its name; a shipped one needs no file.
fn own_menu<'a>(plan_file: &Path, plan: &'a Plan) -> Result<Option<(&'a str, Vec<u8>)>, Trouble> {
    let Some(name) = plan.menu.as_deref().filter(|name| menus::find(name).is_none()) else { return Ok(None) };
    let told = |what: String| {
        Problem::error(
            &plan_file.display().to_string(),
            None,
            what,
            "put the menu beside the plan, under a name of its own",
        )
    };
    if Path::new(name).file_name() != Some(OsStr::new(name)) || home::is_ours(name, None) {
        return Err(told(format!("the menu `{name}` cannot be packed under that name")).into());
    }
    let path = plan_file.parent().unwrap_or(Path::new("")).join(name);
    let text = files::bytes(&path, || "it is the menu of the plan".to_string())?;
    let (menu, problems) = crate::menu::file::read(name, &text);
    pass(menu, problems)?;
    Ok(Some((name, text)))
}

/// A folder that is new, empty, or a home folder of this client, whole or not.
fn usable(folder: &Path, client: &str, menu: Option<&str>) -> Done {
    let name = folder.display().to_string();
    let refused = |what: String| Trouble::from(Problem::error(&name, None, what, "give a new or empty folder"));
    if let Ok(text) = store::read_whole(&folder.join(home::LIST)) {
        return match HomeFolder::read(&name, &text) {
            Ok(list) if list.client != client => Err(refused(format!("it is the home folder of {}", list.client))),
            // It is written anew.
            _ => Ok(()),
        };
    }
    let Ok(entries) = fs::read_dir(folder) else { return Ok(()) };
    let foreign =
        entries.flatten().find(|entry| !entry.file_name().to_str().is_some_and(|name| home::is_ours(name, menu)));
    foreign.map_or(Ok(()), |entry| {
        Err(refused(format!("it holds other things, such as `{}`", entry.file_name().display())))
    })
}

fn program() -> Result<Vec<u8>, Trouble> {
    let path =
        std::env::current_exe().map_err(|error| Trouble::Failed(format!("cannot find this program: {error}")))?;
    Ok(store::read_at_most(&path, LARGEST_PROGRAM, "install this program again")?)
}

/// Writes a file and reads it back: what is carried away cannot be written again.
fn put(folder: &Path, name: &str, bytes: &[u8]) -> Result<Packed, Trouble> {
    let path = folder.join(name);
    store::write_whole(&path, bytes)?;
    if [home::PROGRAM, home::START].contains(&name) {
        store::let_run(&path)?;
    }
    if store::read_at_most(&path, LARGEST_PROGRAM, "give another folder")? == bytes {
        return Ok(Packed::of(name, bytes));
    }
    let what = "what was written does not read back".to_string();
    Err(Problem::error(&path.display().to_string(), None, what, "the disk is faulty: use another one").into())
}

/// The screen's settings, as they are given to the program again.
fn options(screen: &ScreenArgs) -> Vec<String> {
    let plain = ScreenArgs::default();
    let mut words: Vec<String> = Vec::new();
    let mut add = |name: &str, value: Option<String>| words.extend([name.to_string()].into_iter().chain(value));
    let number = |value: Option<u32>| value.map(|value| value.to_string());
    if screen.look != plain.look {
        add("--look", Some(screen.look.clone()));
    }
    if screen.part != plain.part {
        add("--part", Some(screen.part.clone()));
    }
    if screen.turn != plain.turn {
        add("--turn", number(Some(screen.turn)));
    }
    for (name, value) in [("--distance", screen.distance), ("--screen-width", screen.screen_width)] {
        if value.is_some() {
            add(name, number(value));
        }
    }
    for (name, on) in [("--low-vision", screen.low_vision), ("--corner-patch", screen.corner_patch)] {
        if on {
            add(name, None);
        }
    }
    if let Some(breath) = &screen.breath {
        add("--breath", Some(breath.clone()));
    }
    if screen.sound_switch {
        add("--sound-switch", None);
    }
    screen.switches.iter().for_each(|switch| add("--switch", Some(switch.clone())));
    if !screen.roles.is_empty() {
        add("--roles", Some(screen.roles.join(",")));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_switch_does_goes_home_with_it() {
        let screen = ScreenArgs {
            breath: Some("emulated".into()),
            switches: vec!["breath soft puff".into(), "breath hard puff".into()],
            roles: vec!["select".into(), "call".into()],
            ..ScreenArgs::default()
        };
        let words = options(&screen).join(" ");
        let wanted = "--breath emulated --switch breath soft puff --switch breath hard puff --roles select,call";
        assert_eq!(words, wanted);
    }
}
