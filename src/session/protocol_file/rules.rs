//! The rules of a protocol that no field can tell by itself.

use super::{FIRST_LOOK, MOST_TILES_FIRST_LOOK};
use crate::json::Located;
use crate::menu::Menu;
use crate::problem::{Findings, did_you_mean, shortened};
use crate::session::cost::page_tiles;
use crate::session::event::BlockKind;
use crate::session::protocol::{Block, Protocol};
use crate::settings::Settings;

/// The rules that no field can tell by itself.
pub(super) struct Check<'a> {
    pub(super) protocol: &'a Protocol,
    pub(super) menu: &'a Menu,
    pub(super) root: &'a Located,
    pub(super) findings: &'a mut Findings,
}

impl Check<'_> {
    /// Adds every problem.
    pub(super) fn all(&mut self) {
        self.name();
        self.stop(self.root);
        self.cautions(self.root);
        let blocks = self.root.field("blocks").map_or(&[][..], Located::members);
        for (block, at) in self.protocol.blocks.iter().zip(blocks) {
            self.block(block, at);
        }
        let tiles = page_tiles(&self.menu.top);
        if self.is_first_look() && tiles > MOST_TILES_FIRST_LOOK {
            self.too_many_tiles(line(self.root, "menu"), "the menu's first page", tiles);
        }
    }

    fn name(&mut self) {
        if self.protocol.name.trim().is_empty() {
            self.findings.error(line(self.root, "name"), "`name` is empty", "say what the protocol is for");
        }
    }

    fn is_first_look(&self) -> bool {
        self.protocol.name.trim().eq_ignore_ascii_case(FIRST_LOOK)
    }

    fn block(&mut self, block: &Block, at: &Located) {
        self.stop(at);
        self.cautions(at);
        self.wait(block, at);
        self.tiles(block, at);
        self.trials(block, at);
        self.ends_when(block, at);
        self.tasks(at);
        self.without_effect(block, at);
    }

    fn stop(&mut self, owner: &Located) {
        let Some(stop) = owner.field("stop") else { return };
        let number = |name: &str, default: f64| stop.field(name).and_then(Located::number).unwrap_or(default);
        if number("errors", 3.0) > number("window", 5.0) {
            self.findings.error(stop.line, "`errors` is greater than `window`", "count the errors in more trials");
        }
        let slowing = number("slowing", 0.0);
        if slowing > 0.0 && slowing < 1.0 {
            self.findings.error(
                line(stop, "slowing"),
                "`slowing` is below 1",
                "give a ratio such as 1.3, or 0 for off",
            );
        }
    }

    fn cautions(&mut self, owner: &Located) {
        let Some(table) = owner.field("settings") else { return };
        let serde_json::Value::Object(object) = table.to_value() else { return };
        for (id, text) in Settings::from_json(&object).map(|settings| settings.cautions()).unwrap_or_default() {
            let name = id.setting().name;
            self.findings.warning(line(table, name), format!("`{name}`: {text}"), "make sure that it is meant");
        }
    }

    fn wait(&mut self, block: &Block, at: &Located) {
        if block.wait[0] > block.wait[1] {
            let what = format!("`wait` runs from {} down to {}", block.wait[0], block.wait[1]);
            self.findings.error(line(at, "wait"), what, "give the shorter wait first");
        }
    }

    fn tiles(&mut self, block: &Block, at: &Located) {
        if block.tiles == 1 {
            self.findings.error(line(at, "tiles"), "`tiles` is `1`", "give 2 or more, or leave it out for 6");
        }
        if self.is_first_look() && usize::from(block.tiles) > MOST_TILES_FIRST_LOOK {
            self.too_many_tiles(line(at, "tiles"), "the block", usize::from(block.tiles));
        }
    }

    fn too_many_tiles(&mut self, line: u32, what: &str, count: usize) {
        let what = format!("{what} has {count} tiles in a first look");
        self.findings.error(line, what, format!("use at most {MOST_TILES_FIRST_LOOK}, or another name"));
    }

    fn trials(&mut self, block: &Block, at: &Located) {
        let tasked = has_tasks(block.kind) && !block.tasks.is_empty();
        if has_trials(block.kind) && block.trials == 0 && !tasked {
            self.findings.error(at.line, "the block has no trials", "add `trials`: how many are scored");
        } else if tasked && block.trials > 0 {
            self.findings.error(line(at, "trials"), "the block has both `trials` and `tasks`", "keep one of the two");
        }
    }

    fn ends_when(&mut self, block: &Block, at: &Located) {
        if let Some(precision) = block.ends_when.filter(|precision| precision.trials > block.trials) {
            let what = format!("the block cannot end early: it has fewer than {} trials", precision.trials);
            self.findings.warning(line(at, "ends_when"), what, "remove `ends_when`, or give more trials");
        }
    }

    fn tasks(&mut self, at: &Located) {
        for id in at.field("tasks").map_or(&[][..], Located::members).iter().flat_map(Located::members) {
            let name = id.text().unwrap_or_default();
            if self.menu.item(name).is_none() {
                let known = self.menu.items().into_iter().map(|item| item.id.as_str());
                let what = format!("the menu has no item `{}`", shortened(name));
                self.findings.error(id.line, what, did_you_mean(name, known));
            }
        }
    }

    /// Fields that this kind of block does not look at.
    fn without_effect(&mut self, block: &Block, at: &Located) {
        let fields: &[(&str, bool)] = &[
            ("practice", has_trials(block.kind)),
            ("trials", has_trials(block.kind)),
            ("set_size", has_trials(block.kind)),
            ("ends_when", has_trials(block.kind)),
            ("tiles", block.kind == BlockKind::TimedPress),
            ("passes", block.kind == BlockKind::TimedPress),
            ("seconds", block.kind == BlockKind::QuietWatch),
            ("watch", block.kind == BlockKind::QuietWatch),
            ("wait", block.kind == BlockKind::Reaction),
            ("hold", block.kind == BlockKind::Reaction),
            ("tasks", has_tasks(block.kind)),
            ("together", has_tasks(block.kind) && block.tasks.is_empty()),
            ("shuffled", has_tasks(block.kind)),
            ("distractions", has_tasks(block.kind)),
        ];
        let kind = at.field("kind").and_then(Located::text).unwrap_or_default();
        for (name, value) in at.fields() {
            if fields.contains(&(name, false)) {
                self.findings.warning(value.line, format!("`{name}` has no effect in a {kind} block"), "remove it");
            }
        }
    }
}

fn has_trials(kind: BlockKind) -> bool {
    !matches!(kind, BlockKind::FirstContact | BlockKind::QuietWatch | BlockKind::SwitchCheck)
}

fn has_tasks(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::MenuTasks | BlockKind::Confirm)
}

/// The line of a field, or of its owner where it was left out.
fn line(owner: &Located, name: &str) -> u32 {
    owner.field(name).unwrap_or(owner).line
}
