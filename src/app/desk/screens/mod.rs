//! The screens, one a file, in the order of a visit.

pub mod at_home;
pub mod clients;
pub mod findings;
mod menu;
pub mod papers;
mod practice;
pub mod prepare;
pub mod progress;
pub mod report;
mod setting;
pub mod switch;
mod switch_by;
pub mod trial;
mod watch;
mod watch_keys;
pub mod what_if;

use egui::Ui;

use super::state::Desk;
use crate::desk::words::Words;

/// One screen.
pub struct Screen {
    /// Its name in the program.
    pub name: &'static str,
    /// Its title.
    pub title: fn(&Words) -> &String,
    /// Only with a client in hand.
    pub of_a_client: bool,
    /// Shows it.
    pub show: fn(&mut Ui, &mut Desk),
}

/// All of them.
pub const SCREENS: &[Screen] = &[
    Screen { name: clients::NAME, title: |words| &words.clients, of_a_client: false, show: clients::show },
    Screen { name: prepare::NAME, title: |words| &words.prepare, of_a_client: true, show: prepare::show },
    Screen { name: switch::NAME, title: |words| &words.switch_check, of_a_client: true, show: switch::show },
    Screen { name: trial::NAME, title: |words| &words.trial, of_a_client: true, show: trial::show },
    Screen { name: findings::NAME, title: |words| &words.findings, of_a_client: true, show: findings::show },
    Screen { name: at_home::NAME, title: |words| &words.at_home, of_a_client: true, show: at_home::show },
    Screen { name: what_if::NAME, title: |words| &words.what_if, of_a_client: true, show: what_if::show },
    Screen { name: progress::NAME, title: |words| &words.progress, of_a_client: true, show: progress::show },
    Screen { name: report::NAME, title: |words| &words.report, of_a_client: true, show: report::show },
];
