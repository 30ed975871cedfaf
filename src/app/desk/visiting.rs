//! Whose visit it is: who can be opened, entered, archived and deleted now, and what is saved of whom.

use super::screens;
use super::state::{Desk, Visit, Wish, plain};
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::store::people::People;

/// What is not saved of a client.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unsaved {
    /// So many wishes to save are on their way.
    under_way: u32,
    /// Why the last one failed, where it did.
    pub why: Option<String>,
}

impl Desk {
    /// Whether the visit of a client can be opened: while the board is open, only that of the one who sits there.
    #[must_use]
    pub fn may_open(&self, code: &ClientCode) -> bool {
        self.running.as_ref().is_none_or(|running| running.trial.client == *code)
    }

    /// Opens the visit of a client, where that may be.
    pub fn open(&mut self, code: ClientCode) {
        if !self.may_open(&code) {
            return;
        }
        if self.visit.as_ref().is_none_or(|visit| visit.code != code) {
            self.leave();
            let person = self.people.get(code.as_str()).cloned().unwrap_or_default();
            self.visit = Some(Visit::new(code, person));
        }
        self.at = screens::prepare::NAME;
    }

    /// Whether a client can be entered: until the folder is read nobody can tell who is new, and a file that is there
    /// would be written over.
    #[must_use]
    pub fn may_enter(&self) -> bool {
        self.index.is_some() && self.no_folder.is_none() && self.running.is_none()
    }

    /// Enters a client, new or known, where that may be.
    pub fn enter(&mut self, code: ClientCode) {
        if !self.may_enter() {
            return;
        }
        if !self.people.contains_key(code.as_str()) {
            self.keep(&code, Person::default());
        }
        self.open(code);
    }

    /// Archives a client, or takes them back; their visit is over then.
    pub fn archive(&mut self, code: &ClientCode, archived: bool) {
        self.leave_if(code);
        let person = self.people.get(code.as_str()).cloned().unwrap_or_default();
        self.keep(code, Person { archived, ..person });
    }

    /// Deletes all that is kept of a client, whose visit is over with it.
    pub fn delete(&mut self, code: ClientCode) {
        self.leave_if(&code);
        self.people.remove(code.as_str());
        self.unsaved.remove(code.as_str());
        self.broken_off.take_if(|(trial, _)| trial.client == code);
        self.wishes.push(Wish::Delete(code));
    }

    fn leave_if(&mut self, code: &ClientCode) {
        if self.visit.as_ref().is_some_and(|visit| visit.code == *code) {
            self.leave();
        }
    }

    /// Leaves the visit; what was typed is saved.
    pub fn leave(&mut self) {
        self.save();
        self.visit = None;
        self.at = screens::clients::NAME;
    }

    /// Saves what was typed about the client in hand, where something was or the last try failed.
    pub fn save(&mut self) {
        let failed = |visit: &Visit| self.unsaved.get(visit.code.as_str()).is_some_and(|unsaved| unsaved.why.is_some());
        if self.visit.as_ref().is_some_and(failed) {
            self.save_now();
        } else {
            self.save_changes();
        }
    }

    /// Saves what was typed about the client in hand, once for each change.
    pub fn save_changes(&mut self) {
        if self.visit.as_ref().is_some_and(|visit| visit.person != visit.saved) {
            self.save_now();
        }
    }

    fn save_now(&mut self) {
        let Some(visit) = &mut self.visit else { return };
        visit.saved = visit.person.clone();
        let (code, person) = (visit.code.clone(), visit.person.clone());
        self.keep(&code, person);
    }

    /// Has a client's file written; one that cannot be read stays as it is.
    fn keep(&mut self, code: &ClientCode, person: Person) {
        self.people.insert(code.to_string(), person.clone());
        if !self.damaged.contains_key(code.as_str()) {
            self.unsaved.entry(code.to_string()).or_default().under_way += 1;
            self.wishes.push(Wish::Save(code.clone(), Box::new(person)));
        }
    }

    /// A wish to save was fulfilled, or could not be.
    pub(super) fn saved(&mut self, code: &ClientCode, saved: Result<(), String>) {
        let Some(unsaved) = self.unsaved.get_mut(code.as_str()) else { return };
        unsaved.under_way = unsaved.under_way.saturating_sub(1);
        unsaved.why = saved.err().map(|why| plain(&why));
        if unsaved.under_way == 0 && unsaved.why.is_none() {
            self.unsaved.remove(code.as_str());
        }
    }

    /// Takes in the clients' files as they were read; what is not saved yet is newer.
    pub(super) fn know(&mut self, mut people: People) {
        let mut still_damaged = None;
        for code in self.unsaved.keys() {
            if let Some(newer) = self.people.remove(code) {
                people.read.insert(code.clone(), newer);
            }
        }
        if let Some(visit) = &mut self.visit
            && let Some(why) = self.damaged.remove(visit.code.as_str())
            && let Some(mended) = people.read.get(visit.code.as_str())
        {
            if visit.person == visit.saved {
                (visit.person, visit.saved) = (mended.clone(), mended.clone());
            } else {
                // What was typed without the file must not take its place.
                still_damaged = Some((visit.code.to_string(), why));
            }
        }
        let damaged = people.damaged.into_iter().map(|(code, why)| (code, plain(&why.to_string())));
        self.damaged = damaged.chain(still_damaged).collect();
        self.people = people.read;
    }

    /// Tries again what could not be written or read.
    pub fn try_again(&mut self) {
        self.save();
        let failed: Vec<String> =
            self.unsaved.iter().filter(|(_, one)| one.under_way == 0).map(|(code, _)| code.clone()).collect();
        for code in failed {
            if let (Ok(code), Some(person)) = (code.parse(), self.people.get(&code).cloned()) {
                self.keep(&code, person);
            }
        }
        if self.no_folder.is_some() {
            self.wishes.push(Wish::Index);
        }
    }
}
