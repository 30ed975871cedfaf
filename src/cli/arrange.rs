//! `arrange`: the best order and grouping of a menu for one client, as a new menu file.

use std::path::{Path, PathBuf};

use clap::Args as ClapArgs;
use serde_json::{Value, json};

use super::{Done, Trouble, files, pass, plan};
use crate::advice::by_traits::ByTraits;
use crate::analysis::words::seconds;
use crate::arrange::judge::Judge;
use crate::arrange::parts::Stock;
use crate::arrange::verified::{Verified, verified};
use crate::arrange::wishes::Wishes;
use crate::arrange::{Arranged, Proposed, arrange, file, json, proposal, scanned, text};
use crate::engine::pattern::Arrangement;
use crate::json::Located;
use crate::menu::Menu;
use crate::problem::{Findings, Problem};
use crate::settings::{Id, Settings, Technique, show_value};
use crate::sim::profile::Profile;
use crate::store;

#[derive(Debug, ClapArgs)]
pub(super) struct ArrangeArgs {
    /// A shipped menu by name, or a menu file; every item needs a `weight`: how often it is used.
    #[arg(long, value_name = "NAME|FILE")]
    pub menu: String,
    /// A shipped virtual client by name, or a profile file.
    #[arg(long, value_name = "NAME|FILE")]
    pub profile: String,
    /// The timing settings in force, as in a protocol's `settings`; what is left out is at its default.
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Change a setting, as `scan_interval=1.4`; may be given again.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// The menu file to write where a new arrangement is worth it; never over a file.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Selections a day; `weights` where the weights of the menu are uses a day. A new arrangement then has to save a
    /// minute a day.
    #[arg(long, value_name = "COUNT|weights")]
    pub uses_a_day: Option<String>,
    /// Keep this item, or all items of this group, where they are; items placed by risk always stay. May be given
    /// again.
    #[arg(long, value_name = "ID")]
    pub keep: Vec<String>,
    /// Give up this group: its items may stand anywhere in the group above it. May be given again.
    #[arg(long, value_name = "GROUP")]
    pub dissolve: Vec<String>,
    /// Print one JSON object instead of text; `docs/arrange.md` names its fields.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &ArrangeArgs) -> Done {
    let wishes = Wishes { keep: args.keep.clone(), dissolve: args.dissolve.clone() };
    not_there(&args.out)?;
    let (root, menu) = menu(&args.menu, &wishes)?;
    let profile = files::profile(&args.profile)?;
    presses(&profile)?;
    let settings = settings(args)?;
    let uses_a_day = args.uses_a_day.as_deref().map(|uses| uses_of(uses, &menu)).transpose()?;

    let kept = wishes.kept(&root);
    let (stock, parts) = Stock::of(&menu, |id| wishes.dissolves(id));
    let ids: Vec<&str> = stock.items.iter().map(|item| item.id.as_str()).collect();
    let is_kept = |item: u16| kept.iter().any(|id| id == ids[usize::from(item)]);
    let judge = Judge::new(&menu, stock, &settings, ByTraits::new(&profile.traits, &settings), is_kept);
    let arranged = arrange(&judge, &menu, &parts, uses_a_day).ok_or_else(|| hopeless(&args.menu, &settings))?;
    let new = arranged.proposed.as_ref().map(|proposed| {
        let new = file::rearranged(&root.to_value(), &proposed.parts, |id| wishes.dissolves(id));
        let (text, new) = read(&args.out, &new)?;
        let verified = verified(&judge, &profile.traits, &menu, &new, proposed.pattern);
        if verified.is_none_or(|verified| !verified.contradicts()) {
            write(&args.out, &text)?;
        }
        Ok::<_, Trouble>((new, verified))
    });
    let (new, verified) = new.transpose()?.map_or((None, None), |(new, verified)| (Some(new), verified));
    let new = new.as_ref();
    let told = Told { args, judge: &judge, menu: &menu, profile: &profile, arranged: &arranged, new, verified };
    if args.json {
        told.print_json()
    } else {
        told.print(&kept)
    }
    Ok(())
}

/// The menu and its file, fit to be arranged.
fn menu(name: &str, wishes: &Wishes) -> Result<(Located, Menu), Trouble> {
    let bytes = files::menu_text(name)?;
    let (menu, problems) = crate::menu::file::read(name, &bytes);
    let menu = pass(menu, problems)?;
    let root = crate::json::read(name, &bytes)?;
    let mut findings = Findings::of(name);
    wishes.check(&menu, &root, &mut findings);
    let fit = (!findings.fatal()).then_some((root, menu));
    pass(fit, findings.sorted())
}

fn settings(args: &ArrangeArgs) -> Result<Settings, Trouble> {
    let base = args.settings.as_deref().map(files::settings).transpose()?.unwrap_or_default();
    let settings = plan::changed(base, &args.set)?;
    if settings.technique() == Technique::Automatic {
        return Ok(settings);
    }
    let name = show_value(Id::Technique, settings.raw(Id::Technique));
    let what = format!("the technique is `{name}`, and menus are arranged for automatic scanning");
    Err(Problem::error("--set", None, what, "set `technique=automatic`; other techniques take items in this order too")
        .into())
}

/// Selections a day: a number, or the sum of the weights.
fn uses_of(text: &str, menu: &Menu) -> Result<f64, Trouble> {
    if text == "weights" {
        return Ok(menu.items().iter().map(|item| item.weight).sum());
    }
    let uses = text.parse().ok().filter(|uses: &f64| uses.is_finite() && *uses > 0.0);
    let remedy = "give how many selections are made a day, or `weights` where the menu's weights are uses a day";
    uses.ok_or_else(|| Problem::error("--uses-a-day", None, format!("`{text}` is no number above 0"), remedy).into())
}

fn not_there(out: &Path) -> Done {
    if out.exists() || out.is_symlink() {
        let what = "a file is there already, and no menu is written over another";
        return Err(Problem::error(&out.display().to_string(), None, what, "give a new name").into());
    }
    Ok(())
}

fn presses(profile: &Profile) -> Done {
    if profile.traits.never_presses() {
        let what = format!("`{}` never presses, so that no menu is better than another", profile.name);
        return Err(Problem::error("--profile", None, what, "give a client who presses").into());
    }
    Ok(())
}

fn hopeless(menu: &str, settings: &Settings) -> Trouble {
    let rate = seconds(settings.scan_interval().as_seconds());
    let what = format!("at a scan rate of {rate} this client goes wrong on it more often than can be put right");
    Problem::error(menu, None, what, "set a slower `scan_interval` first, and arrange the menu for it").into()
}

/// The new menu as a file, and read as any other.
fn read(out: &Path, menu: &Value) -> Result<(String, Menu), Trouble> {
    let text = serde_json::to_string_pretty(menu).map_err(|error| Trouble::Failed(error.to_string()))?;
    let (read, problems) = crate::menu::file::read(&out.display().to_string(), &text);
    Ok((text + "\n", pass(read, problems)?))
}

fn write(out: &Path, text: &str) -> Done {
    let name = out.file_name().ok_or_else(|| {
        Problem::error(&out.display().to_string(), None, "it names no file", "give the name of a new menu file")
    })?;
    let folder = out.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    store::write_new(folder, name, text.as_bytes())?;
    Ok(())
}

/// All that there is to tell.
struct Told<'a> {
    args: &'a ArrangeArgs,
    judge: &'a Judge<'a, ByTraits<'a>>,
    menu: &'a Menu,
    profile: &'a Profile,
    arranged: &'a Arranged,
    /// The proposed menu.
    new: Option<&'a Menu>,
    /// What the simulation makes of it; where it contradicts, nothing was written.
    verified: Option<Verified>,
}

impl Told<'_> {
    fn print(&self, kept: &[String]) {
        let (judge, arranged) = (self.judge, self.arranged);
        let [rate, pattern] = [Id::ScanInterval, Id::Pattern].map(|id| show_value(id, judge.settings.raw(id)));
        let items = judge.stock.items.len();
        say!("Menu \"{}\", {items} items, for the client \"{}\"", self.menu.name, self.profile.name);
        say!("Scan rate {rate}, pattern {pattern}; expected times of one selection, uses as the menu weighs them.\n");
        text::table(arranged).iter().for_each(|line| say!("{line}"));
        say!("\n{}", text::bound(&arranged.bound));
        say!("{}\n", proposal::criterion());
        match arranged.proposed.as_ref().zip(self.new) {
            Some((proposed, new)) => self.print_verified(proposed, new, kept),
            None => say!("Not worth relearning: keep the menu as it is. Nothing is written."),
        }
    }

    fn print_verified(&self, proposed: &Proposed, new: &Menu, kept: &[String]) {
        say!("{}", text::proposal(proposed, self.judge.stock.items.len()));
        if let Some(verified) = self.verified {
            say!("{}", verified.words());
            if verified.contradicts() {
                return say!("Keep the menu as it is. Nothing is written.");
            }
        }
        self.print_proposal(proposed, new, kept);
    }

    fn print_proposal(&self, proposed: &Proposed, new: &Menu, kept: &[String]) {
        if !self.menu.tasks.is_empty() {
            say!("\nHousehold tasks:");
            text::tasks(self.judge, &self.menu.tasks, self.arranged, proposed).iter().for_each(|line| say!("{line}"));
        }
        say!("\nThe new menu, in the order of the scan:");
        let arrangement = self.arrangement(proposed, new);
        let is_kept = |id: &str| kept.iter().any(|known| known == id);
        scanned::lines(&scanned::stops(&arrangement), &is_kept).iter().for_each(|line| say!("{line}"));
        let (pattern, out) = (show_value(Id::Pattern, proposed.pattern), self.args.out.display());
        say!("\nWritten: {out}. It has to be scanned with the pattern {pattern}:");
        say!("  pacewright trial --menu {out} --set pattern={pattern} …");
    }

    fn arrangement(&self, proposed: &Proposed, new: &Menu) -> Arrangement {
        Arrangement::new(new, &self.judge.settings.clone().with(Id::Pattern, proposed.pattern))
    }

    fn print_json(&self) {
        let mut object = json::arranged(self.judge, self.menu, self.arranged);
        if let Some((proposed, new)) = self.arranged.proposed.as_ref().zip(self.new) {
            object["proposed"]["scanned"] = scanned::json(&scanned::stops(&self.arrangement(proposed, new)));
        }
        if let Some(verified) = self.verified {
            object["proposed"]["simulated"] = verified.to_json();
        }
        object["format"] = json!("pacewright arrangement");
        object["version"] = json!(1);
        object["program"] = json!(env!("CARGO_PKG_VERSION"));
        object["menu"] = json!(self.menu.name);
        object["client"] = json!(self.profile.name);
        object["settings"] = Value::Object(self.judge.settings.to_json());
        say!("{object}");
    }
}
