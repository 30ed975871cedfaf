//! What the desk knows at a moment, and what it wishes for.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use super::board::Batch;
use super::closing::Closing;
use super::own_menu::OwnMenu;
use super::running::{Over, Running};
use super::screens::papers::Chosen;
use super::visiting::Unsaved;
use super::what_if::{Answer, Question, WhatIf};
use crate::advice::overview::Overview;
use crate::code::ClientCode;
use crate::desk::choices::Choices;
use crate::desk::person::Person;
use crate::desk::words::{Language, Words};
use crate::session::input::Input;
use crate::session::setup::Setup;
use crate::settings::Settings;
use crate::store::index::{Entry, Index};
use crate::store::people::People;
use crate::switch_check::Finding;

/// All that the screens show and change.
pub struct Desk {
    /// The words of the language chosen.
    pub words: &'static Words,
    /// The language chosen.
    pub language: Language,
    /// The day, as 2026-11-29.
    pub today: String,
    /// The data folder.
    pub folder: PathBuf,
    /// The sessions in it; `None` while they are being read.
    pub index: Option<Index>,
    /// The logs of each client, oldest first.
    pub by_client: BTreeMap<String, Vec<String>>,
    /// The clients' files, by code; of those that have sessions only, a fresh one is made.
    pub people: BTreeMap<String, Person>,
    /// Clients whose file cannot be read, and why: nothing is written over it.
    pub damaged: BTreeMap<String, String>,
    /// Clients of whom something is not saved yet.
    pub unsaved: BTreeMap<String, Unsaved>,
    /// Why the data folder cannot be read, where it cannot.
    pub no_folder: Option<String>,
    /// The client in hand.
    pub visit: Option<Visit>,
    /// Name of the screen in front.
    pub at: &'static str,
    /// What went wrong or was done, newest last; each stands until it is put away.
    pub notices: Vec<Notice>,
    /// What is typed and not yet wished for.
    pub typed: Typed,
    /// What the shell is to do, in this order.
    pub wishes: Vec<Wish>,
    /// The trial that runs.
    pub running: Option<Running>,
    /// The last trial, if it was broken off, and how many trials of it are saved.
    pub broken_off: Option<(Trial, usize)>,
    /// Upper left corner of the monitor on which the desk stands.
    pub corner: Option<(i32, i32)>,
    /// The desk is to be closed.
    pub closing: Option<Closing>,
}

/// The visit of one client.
pub struct Visit {
    /// The code.
    pub code: ClientCode,
    /// The client's file as it is on the screen.
    pub person: Person,
    /// As it was last saved.
    pub saved: Person,
    /// What was found in the sessions.
    pub found: Found,
    /// Which set-up is looked at, by its place in the overview.
    pub set_up: usize,
    /// Which set-up of the file a trial would use.
    pub chosen: usize,
    /// Name of the protocol for the next trial.
    pub protocol: String,
    /// Reasons being typed, by setting.
    pub reasons: BTreeMap<&'static str, (String, String)>,
    /// What is tried under other settings.
    pub what_if: Option<WhatIf>,
    /// The client's own menu as it is edited.
    pub menu: Option<OwnMenu>,
    /// Settings of the next trial, where they are not the protocol's own.
    pub settings: Option<Settings>,
    /// Which paper is to be written.
    pub paper: Chosen,
    /// What the controller offers as it is typed, by setting.
    pub offers: BTreeMap<&'static str, String>,
    /// What the last switch check of this visit found out.
    pub checked: Vec<Finding>,
}

/// What was found in a client's sessions.
#[derive(Clone, Debug, Default)]
pub enum Found {
    /// Not asked for yet.
    #[default]
    No,
    /// Being read.
    Reading,
    /// Nothing can be said; the words say why and what to do.
    Nothing(String),
    /// Here, with the day of each session in the overview's order.
    Here(Arc<Overview>, Arc<[Seen]>),
}

/// A session that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// File name of its log.
    pub log: String,
    /// The day it began.
    pub day: String,
    /// What its switch checks found out.
    pub checks: Vec<Finding>,
}

/// Something to be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The words, with the remedy.
    pub text: String,
    /// Something went wrong.
    pub wrong: bool,
}

/// What is typed in places that belong to no client.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    /// Code of a new client.
    pub code: String,
    /// What the list is searched for.
    pub search: String,
    /// Archived clients are shown too.
    pub archived: bool,
    /// The client that is about to be deleted, and the code typed to confirm it.
    pub delete: Option<(String, String)>,
    /// Yearly interest in the cost comparison, in per cent.
    pub interest: f64,
    /// What the keyboard wrote into when the desk was last shown.
    pub into: Option<egui::Id>,
}

/// What a screen wants done in the world.
#[derive(Clone, Debug, PartialEq)]
pub enum Wish {
    /// Read what stands in the data folder.
    Index,
    /// Write a client's file.
    Save(ClientCode, Box<Person>),
    /// Write clients' files into another folder, where none is written over.
    SaveElsewhere(PathBuf, Vec<(ClientCode, Person)>),
    /// Remove a client's file, logs and reports.
    Delete(ClientCode),
    /// Read a client's sessions and judge them.
    Judge(ClientCode),
    /// Predict what the client's choices would take under other settings.
    Predict(Box<Question>),
    /// Write a paper into the data folder and open it to be printed.
    Paper {
        /// Its file name.
        name: String,
        /// What is written.
        html: String,
    },
    /// Write a practice plan into the data folder.
    Plan {
        /// Its file name.
        name: String,
        /// What is written.
        text: String,
    },
    /// Write the report of a session beside its log.
    Report(String),
    /// Run a trial with the client's set-up.
    Trial(Box<Trial>),
    /// Ask the board for something that is the clinician's to ask.
    Ask(Input),
}

/// A trial that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Whose.
    pub client: ClientCode,
    /// Name of the protocol.
    pub protocol: String,
    /// How the switch is worked.
    pub setup: Setup,
    /// Settings that differ from the protocol's, as `name=value`.
    pub set: Vec<String>,
    /// A menu of the client's own, as in a menu file.
    pub menu: Option<String>,
    /// Which set-up of the client's file this is, where it is one of them.
    pub set_up: Option<usize>,
    /// Go on behind the last session instead, which was broken off.
    pub go_on: bool,
    /// Upper left corner of the desk's monitor: the board takes another one.
    pub corner: Option<(i32, i32)>,
}

impl Trial {
    /// With a set-up of which nothing is known.
    #[must_use]
    pub fn new(client: ClientCode, protocol: impl Into<String>) -> Trial {
        let (setup, set) = (Setup::default(), Vec::new());
        Trial { client, protocol: protocol.into(), setup, set, menu: None, set_up: None, go_on: false, corner: None }
    }
}

/// What the shell tells.
#[derive(Clone, Debug)]
pub enum News {
    /// What stands in the data folder, and what could not be read.
    Index(Index, People, Vec<String>),
    /// The data folder cannot be read; the words say why.
    NoFolder(String),
    /// What was found in the sessions of a client.
    Found(ClientCode, Found),
    /// What is to be expected under other settings.
    Predicted(Box<Answer>),
    /// Something was done.
    Done(String),
    /// Something could not be done.
    Failed(String),
    /// The sessions changed: read them again.
    Changed,
    /// This happened on the board.
    Heard(Batch),
    /// The board is closed.
    Over(Over),
    /// A client's file was written, or could not be; the words say why.
    Saved(ClientCode, Result<(), String>),
    /// Clients' files were written into another folder, or could not be.
    SavedElsewhere(Result<(), String>),
}

impl Desk {
    /// A desk over `folder`; it wishes for what stands in it.
    #[must_use]
    pub fn new(folder: PathBuf, today: String, language: Language) -> Desk {
        Desk {
            words: Words::of(language),
            language,
            today,
            folder,
            index: None,
            by_client: BTreeMap::new(),
            people: BTreeMap::new(),
            damaged: BTreeMap::new(),
            unsaved: BTreeMap::new(),
            no_folder: None,
            visit: None,
            at: super::screens::clients::NAME,
            notices: Vec::new(),
            typed: Typed::default(),
            wishes: vec![Wish::Index],
            running: None,
            broken_off: None,
            corner: None,
            closing: None,
        }
    }

    /// Takes in what the shell tells.
    pub fn told(&mut self, news: News) {
        match news {
            News::Index(index, people, problems) => {
                self.by_client = index.by_client();
                self.index = Some(index);
                self.no_folder = None;
                self.know(people);
                problems.into_iter().for_each(|text| self.wrong(text));
            }
            News::NoFolder(why) => self.no_folder = Some(plain(&why)),
            News::Found(code, found) => {
                if let Some(visit) = self.visit.as_mut().filter(|visit| visit.code == code) {
                    visit.set_up = match &found {
                        Found::Here(overview, _) => overview.set_ups.len().saturating_sub(1),
                        _ => 0,
                    };
                    visit.found = found;
                }
            }
            News::Predicted(answer) => {
                if let Some(what_if) = self.visit.as_mut().and_then(|visit| visit.what_if.as_mut()) {
                    what_if.told(*answer);
                }
            }
            News::Done(text) => self.notices.push(Notice { text, wrong: false }),
            News::Failed(text) => self.wrong(text),
            News::Heard(batch) => self.heard(batch),
            News::Over(over) => self.over(over),
            News::Saved(code, saved) => self.saved(&code, saved),
            News::SavedElsewhere(saved) => self.saved_elsewhere(saved),
            News::Changed => {
                self.wishes.push(Wish::Index);
                if let Some(visit) = &mut self.visit {
                    visit.found = Found::No;
                }
            }
        }
    }

    /// Says that something went wrong; the same words stand once.
    pub fn wrong(&mut self, text: String) {
        let text = plain(&text);
        self.notices.retain(|notice| notice.text != text);
        self.notices.push(Notice { text, wrong: true });
    }

    /// What was found in the sessions of the client in hand; wished for where it is not known.
    pub fn found(&mut self) -> Found {
        let Some(visit) = &mut self.visit else { return Found::No };
        if matches!(visit.found, Found::No) {
            visit.found = Found::Reading;
            self.wishes.push(Wish::Judge(visit.code.clone()));
        }
        visit.found.clone()
    }

    /// Number of the sessions of a client.
    #[must_use]
    pub fn sessions(&self, code: &str) -> usize {
        self.by_client.get(code).map_or(0, Vec::len)
    }

    /// The sessions of a client with the file names of their logs, oldest first.
    pub fn sessions_of(&self, code: &str) -> impl DoubleEndedIterator<Item = (&str, &Entry)> {
        let logs = self.by_client.get(code).into_iter().flatten();
        logs.filter_map(|log| Some((log.as_str(), self.index.as_ref()?.sessions.get(log)?)))
    }

    /// Speaks another language.
    pub fn speak(&mut self, language: Language) {
        self.language = language;
        self.words = Words::of(language);
    }
}

/// Marks of the terminal are none for people.
pub(super) fn plain(text: &str) -> String {
    text.replace('`', "'")
}

impl Visit {
    /// The switch of the set-up in hand has been learned.
    #[must_use]
    pub fn at_known_switch(&self) -> bool {
        self.person.set_ups.get(self.chosen).is_some_and(|setup| !setup.devices.is_empty())
    }

    /// The client's own menu, as in a menu file; `None` where the protocol's is used.
    #[must_use]
    pub fn own_menu(&self) -> Option<String> {
        self.person.menu.as_ref().map(ToString::to_string)
    }

    /// The same as it is edited, read again only where it is another one; what is wrong with it, where it is none.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn edited_menu(&mut self) -> Result<Option<&mut OwnMenu>, Vec<String>> {
        let Some(kept) = &self.person.menu else { return Ok(None) };
        if self.menu.as_ref().is_none_or(|menu| !menu.is_of(kept)) {
            self.menu = Some(OwnMenu::read(kept)?);
        }
        Ok(self.menu.as_mut())
    }

    pub(super) fn new(code: ClientCode, person: Person) -> Visit {
        let typed = |(name, choices): (&String, &Choices)| {
            let id = crate::settings::find(name).ok()?;
            Some((id.setting().name, choices.typed(id)))
        };
        let offers = person.controller.offers.iter().filter_map(typed);
        Visit {
            code,
            offers: offers.collect(),
            saved: person.clone(),
            chosen: person.set_ups.len().saturating_sub(1),
            person,
            found: Found::No,
            what_if: None,
            menu: None,
            settings: None,
            paper: Chosen::default(),
            set_up: 0,
            protocol: "first-look".into(),
            reasons: BTreeMap::new(),
            checked: Vec::new(),
        }
    }
}
