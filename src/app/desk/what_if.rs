//! What if: the settings that are tried at the desk, and what is known of them so far.

use std::sync::Arc;

use super::state::{Seen, Wish};
use crate::advice::overview::SetUpOverview;
use crate::code::ClientCode;
use crate::forecast::what_if::Prediction;
use crate::menu::Menu;
use crate::settings::Settings;

/// More predictions than this are not kept.
const KEPT: usize = 64;

/// Whom a prediction is for, and before which menu.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// The client.
    pub client: ClientCode,
    /// The logs of the set-up, by their file names, oldest first.
    pub logs: Vec<String>,
    /// The menu of these sessions.
    pub menu: Menu,
}

/// What is to be predicted: these settings, the most urgent first.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// For whom.
    pub ground: Arc<Ground>,
    /// Under which settings.
    pub settings: Vec<Settings>,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// For whom.
    pub ground: Arc<Ground>,
    /// Under these settings, or why nothing can be predicted at all.
    pub found: Result<(Settings, Prediction), String>,
}

/// What is tried for one set-up.
#[derive(Clone, Debug)]
pub struct WhatIf {
    ground: Arc<Ground>,
    /// The settings that are tried.
    pub tried: Settings,
    /// The settings of the last session, and those advised.
    pub beside: [Settings; 2],
    /// The values that were carried over, and those at home, where that was done.
    pub home: Vec<Settings>,
    known: Vec<(Settings, Prediction)>,
    asked: Vec<Settings>,
    /// Why nothing can be predicted.
    pub cannot: Option<String>,
}

impl WhatIf {
    /// Begins with what is advised for a set-up; `None` where nothing is.
    #[must_use]
    pub fn of(client: &ClientCode, one: &SetUpOverview, seen: &[Seen]) -> Option<WhatIf> {
        let advice = one.advice.as_ref().ok()?;
        let logs = one.set_up.sessions.iter().filter_map(|place| Some(seen.get(*place)?.log.clone())).collect();
        let (now, advised) = (advice.evidence.settings.clone(), advice.sheet.settings.clone());
        Some(WhatIf {
            ground: Arc::new(Ground { client: client.clone(), logs, menu: advice.evidence.menu.clone() }),
            tried: advised.clone(),
            beside: [now, advised],
            home: Vec::new(),
            known: Vec::new(),
            asked: Vec::new(),
            cannot: None,
        })
    }

    /// Whether it is for the set-up with these sessions.
    #[must_use]
    pub fn is_for(&self, one: &SetUpOverview, seen: &[Seen]) -> bool {
        let logs = one.set_up.sessions.iter().filter_map(|place| Some(&seen.get(*place)?.log));
        logs.eq(self.ground.logs.iter())
    }

    /// What is known under `settings`.
    #[must_use]
    pub fn known(&self, settings: &Settings) -> Option<&Prediction> {
        self.known.iter().find(|(known, _)| known == settings).map(|(_, prediction)| prediction)
    }

    /// What is to be asked, once for each change of what is tried.
    pub fn ask(&mut self) -> Option<Wish> {
        let wanted: Vec<Settings> =
            std::iter::once(&self.tried).chain(&self.home).chain(&self.beside).cloned().collect();
        if self.cannot.is_some() || wanted == self.asked {
            return None;
        }
        self.asked.clone_from(&wanted);
        Some(Wish::Predict(Box::new(Question { ground: Arc::clone(&self.ground), settings: wanted })))
    }

    /// Takes in an answer; one for another set-up is passed over.
    pub fn told(&mut self, answer: Answer) {
        if answer.ground != self.ground {
            return;
        }
        match answer.found {
            Err(why) => self.cannot = Some(why),
            Ok((settings, prediction)) => {
                self.known.retain(|(known, _)| *known != settings);
                let kept = self.known.len().min(KEPT);
                self.known.drain(..self.known.len() - kept);
                self.known.push((settings, prediction));
            }
        }
    }
}
