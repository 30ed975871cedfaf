//! Answers "what if" on a thread of its own: the newest question wins, and nothing waits for it.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use super::what_if::{Answer, Ground, Question};
use crate::analysis::set_ups::Session;
use crate::forecast::fit::fit;
use crate::forecast::what_if::{Prediction, Tried};
use crate::log::header::Header;
use crate::session::record::Record;
use crate::settings::Settings;
use crate::store::read_log;

/// Simulated runs of each line: enough for two digits.
const RUNS: usize = 2_000;

/// Where questions are put.
pub struct Predictor {
    questions: Sender<(u64, Question)>,
    asked: Arc<AtomicU64>,
}

impl Predictor {
    /// Starts the thread, which reads logs in `folder`; it ends when this is dropped.
    pub fn start(folder: PathBuf, tell: impl Fn(Answer) + Send + 'static) -> Predictor {
        let ((questions, inbox), asked) = (channel(), Arc::new(AtomicU64::new(0)));
        let thinker = Thinker { folder, tell, asked: Arc::clone(&asked), at: None };
        thread::spawn(move || thinker.run(&inbox));
        Predictor { questions, asked }
    }

    /// Puts a question; those before it need no answer any more.
    pub fn ask(&self, question: Question) {
        let number = self.asked.fetch_add(1, Ordering::AcqRel) + 1;
        // The thread ends only after this.
        let _ = self.questions.send((number, question));
    }
}

impl Drop for Predictor {
    fn drop(&mut self) {
        self.asked.fetch_add(1, Ordering::Release);
    }
}

struct Thinker<Tell> {
    folder: PathBuf,
    tell: Tell,
    asked: Arc<AtomicU64>,
    at: Option<At>,
}

/// The client in hand.
struct At {
    ground: Arc<Ground>,
    tried: Result<Tried, String>,
    /// What was simulated already, the newest last: who asks again is told again.
    simulated: Vec<(Settings, Prediction)>,
}

/// So many simulated predictions are kept.
const KEPT: usize = 64;

impl<Tell: Fn(Answer)> Thinker<Tell> {
    fn run(mut self, inbox: &Receiver<(u64, Question)>) {
        while let Ok(first) = inbox.recv() {
            let (number, question) = inbox.try_iter().last().unwrap_or(first);
            self.answer(&question, number);
        }
    }

    fn answer(&mut self, question: &Question, number: u64) {
        let ground = &question.ground;
        let mut at = self.at.take().filter(|at| at.ground == *ground).unwrap_or_else(|| self.get_to_know(ground));
        match &at.tried {
            Err(why) => (self.tell)(Answer { ground: Arc::clone(ground), found: Err(why.clone()) }),
            Ok(tried) => self.predict(tried, &mut at.simulated, question, number),
        }
        self.at = Some(at);
    }

    /// First everything that is known or has a closed form, then by simulation for as long as nobody asks anew.
    fn predict(&self, tried: &Tried, simulated: &mut Vec<(Settings, Prediction)>, question: &Question, number: u64) {
        let newest = &*self.asked;
        let go_on = || newest.load(Ordering::Acquire) == number;
        let tell = |settings: &Settings, found: Option<Prediction>| {
            if let Some(prediction) = found {
                let found = Ok((settings.clone(), prediction));
                (self.tell)(Answer { ground: Arc::clone(&question.ground), found });
            }
        };
        let mut open = Vec::new();
        for settings in &question.settings {
            let known = simulated.iter().find(|(known, _)| known == settings).map(|(_, found)| found.clone());
            if known.is_none() {
                open.push(settings);
            }
            tell(settings, known.or_else(|| tried.at_once(settings)));
        }
        for settings in open.into_iter().take_while(|_| go_on()) {
            let found = tried.simulated(settings, RUNS, &go_on);
            simulated.extend(found.clone().map(|found| (settings.clone(), found)));
            simulated.drain(..simulated.len().saturating_sub(KEPT));
            tell(settings, found);
        }
    }

    fn get_to_know(&self, ground: &Arc<Ground>) -> At {
        At { ground: Arc::clone(ground), tried: self.fitted(ground), simulated: Vec::new() }
    }

    fn fitted(&self, ground: &Ground) -> Result<Tried, String> {
        let read = |log: &String| -> Option<(Header, Vec<Record>)> {
            let (mut log, _) = read_log(&self.folder.join(log)).ok()?;
            Some((log.header.take()?, log.into_known()))
        };
        let read: Vec<(Header, Vec<Record>)> = ground.logs.iter().filter_map(read).collect();
        let sessions: Vec<Session> = read.iter().map(|(header, records)| (header, &records[..])).collect();
        if sessions.is_empty() {
            return Err("The sessions cannot be read any more.".into());
        }
        let profile = fit(&sessions).map_err(|unfit| unfit.to_string())?;
        Ok(Tried::new(profile.guesses(), ground.menu.clone()))
    }
}
