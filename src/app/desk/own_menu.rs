//! A menu of the client's own, as it is edited: read once, and kept only while it can be run.

use serde_json::Value;

use super::state::plain;
use crate::app::board::{Board, BoardSetup};
use crate::desk::menu_edit::problems;
use crate::menu::Menu;
use crate::problem::Problem;
use crate::session::setup::Setup;
use crate::session::{Plan, Session, shipped};
use crate::settings::Settings;

/// Pixels of the screen that a menu is judged on: how many they are hardly matters, what counts is how wide and how far
/// away it is.
const SCREEN: (u32, u32) = (1_920, 1_080);

/// The menu that is edited.
#[derive(Clone, Debug)]
pub struct OwnMenu {
    /// As it stands in the editor.
    pub menu: Menu,
    /// What the client's file holds.
    kept: Value,
    /// What has to be put right before it is kept.
    pub wrong: Vec<String>,
    /// Why the last step was not taken.
    pub refused: Option<String>,
}

impl OwnMenu {
    /// The menu that the client's file holds.
    ///
    /// # Errors
    /// What is wrong with it, where it is none.
    pub fn read(kept: &Value) -> Result<OwnMenu, Vec<String>> {
        let (menu, problems) = Menu::from_json("", kept);
        let wrong = problems.iter().map(told).collect();
        match menu {
            Some(menu) => Ok(OwnMenu { menu, kept: kept.clone(), wrong: Vec::new(), refused: None }),
            None => Err(wrong),
        }
    }

    /// It is what the client's file holds.
    #[must_use]
    pub fn is_of(&self, kept: &Value) -> bool {
        self.kept == *kept
    }

    /// A field was typed into: what is in it stays, and is kept once it is valid. Gives what is to be kept.
    pub fn typed(&mut self, menu: Menu) -> Option<Value> {
        self.wrong = problems(&menu).iter().map(told).collect();
        (self.menu, self.refused) = (menu, None);
        self.keep()
    }

    /// Something was added or moved. What leads to a menu that cannot be run, or not be read from the bed of `setup`, is
    /// not done. Gives what is to be kept.
    pub fn changed(&mut self, menu: Menu, setup: Option<&Setup>) -> Option<Value> {
        let beyond = problems(&menu).into_iter().find(|problem| !problems(&self.menu).contains(problem));
        let unread = |menu: &Menu| setup.and_then(|setup| unreadable(menu, setup));
        let refused = beyond.as_ref().map(told).or_else(|| unread(&menu).filter(|_| unread(&self.menu).is_none()));
        if refused.is_some() {
            self.refused = refused;
            return None;
        }
        self.typed(menu)
    }

    fn keep(&mut self) -> Option<Value> {
        if !self.wrong.is_empty() {
            return None;
        }
        self.kept = self.menu.to_json();
        Some(self.kept.clone())
    }
}

fn told(problem: &Problem) -> String {
    plain(&format!("{}; {}", problem.what, problem.remedy))
}

/// Why a page of the menu cannot be read from where the client is, if one cannot; nothing where nobody has said where
/// the screen stands.
#[must_use]
pub fn unreadable(menu: &Menu, setup: &Setup) -> Option<String> {
    let (distance_mm, screen_width_mm) = (setup.screen_distance_mm, setup.screen_width_mm);
    if distance_mm == 0 || screen_width_mm == 0 {
        return None;
    }
    let (protocol, _) = shipped::find("confirm")?;
    let plan = Plan { protocol, menu: menu.clone(), settings: Settings::default(), seed: 0 };
    let seen = BoardSetup { distance_mm, screen_width_mm, low_vision: setup.low_vision, ..BoardSetup::default() };
    let mut board = Board::new(SCREEN.0, SCREEN.1, seen);
    Session::new(plan).pages_to_come().iter().find_map(|page| board.legibility(page).warning())
}
