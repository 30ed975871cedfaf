//! Other codes for clients, and other dates.
//!
//! A client who is not in the key yet gets the next free code, in an order that tells nothing: codes
//! of a clinic are often given in order of admission. All dates of a client are shifted by one
//! number of days, so that the first session that was exported falls on 1 January 1900; intervals
//! and the time of day stay. Whoever keeps the [`Key`] can go back, and later exports made with it
//! give the same codes and the same shift.

use std::collections::BTreeMap;

use jiff::ToSpan as _;
use jiff::civil::{Date, DateTime, date};
use serde::{Deserialize, Serialize};

use crate::rng::Stream;

/// Which client has which code, and by how many days dates are shifted. To be kept apart from the
/// export.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Key {
    /// Always [`Key::FORMAT`].
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// By the code of the clinic.
    pub clients: BTreeMap<String, Exchanged>,
}

/// What stands for a client.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exchanged {
    /// The code in the export: letters and digits only, as BIDS asks.
    pub code: String,
    /// Days that are added to every date; `None` as long as no log tells a date.
    pub shift_days: Option<i32>,
}

impl Default for Key {
    fn default() -> Key {
        Key { format: Key::FORMAT.into(), version: Key::VERSION, clients: BTreeMap::new() }
    }
}

impl Key {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright export key";
    /// The version written and read.
    pub const VERSION: u32 = 1;

    /// Adds the clients that are not known yet; each comes with the beginnings of its sessions as they
    /// stand in the headers.
    pub fn extend(&mut self, clients: &BTreeMap<String, Vec<String>>) {
        for (client, known) in &mut self.clients {
            known.shift_days = known.shift_days.or_else(|| shift(clients.get(client)?));
        }
        let mut fresh: Vec<(&String, &Vec<String>)> =
            clients.iter().filter(|(client, _)| !self.clients.contains_key(*client)).collect();
        shuffle(&mut fresh);
        let free = (1..).map(code).filter(|code| !self.clients.values().any(|known| known.code == *code));
        let codes: Vec<String> = free.take(fresh.len()).collect();
        for ((client, began), code) in fresh.into_iter().zip(codes) {
            let shift_days = shift(began);
            self.clients.insert(client.clone(), Exchanged { code, shift_days });
        }
    }

    /// The text of a key file.
    #[must_use]
    pub fn text(&self) -> String {
        // A map with text for keys is always JSON.
        serde_json::to_string_pretty(self).expect("plain data") + "\n"
    }
}

fn code(number: usize) -> String {
    format!("P{number:03}")
}

fn shuffle<T>(list: &mut [T]) {
    let mut stream = Stream::named(list.len() as u64, "codes of an export");
    for last in (1..list.len()).rev() {
        list.swap(last, stream.below(last as u64 + 1) as usize);
    }
}

/// The first of January 1900. BIDS asks for dates of 1925 or earlier, which leaves 25 years.
const FIRST_DAY: Date = date(1900, 1, 1);

/// Days from the earliest beginning to the first day.
fn shift(began: &[String]) -> Option<i32> {
    let first = began.iter().filter_map(|began| local(began)).map(DateTime::date).min()?;
    Some(first.until(FIRST_DAY).ok()?.get_days())
}

/// The local date and time of an RFC 3339 text.
#[must_use]
pub fn local(began: &str) -> Option<DateTime> {
    began.get(..19)?.parse().ok()
}

/// The beginning of a session as it stands in an export.
#[must_use]
pub fn shifted(began: &str, shift_days: i32) -> Option<String> {
    let moved = local(began)?.checked_add(shift_days.days()).ok()?;
    Some(moved.strftime("%Y-%m-%dT%H:%M:%S").to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clients(list: &[(&str, &[&str])]) -> BTreeMap<String, Vec<String>> {
        let text = |began: &&str| (*began).to_string();
        list.iter().map(|(client, began)| ((*client).to_string(), began.iter().map(text).collect())).collect()
    }

    #[test]
    fn a_client_keeps_intervals_and_the_time_of_day_and_no_date_is_after_1925() {
        let (first, last) = ("2026-03-30T09:15:00+02:00", "2026-04-02T16:00:01.5+02:00");
        let mut key = Key::default();
        key.extend(&clients(&[("C07", &[last, first])]));
        let shift = key.clients["C07"].shift_days.unwrap();
        assert_eq!(shifted(first, shift).unwrap(), "1900-01-01T09:15:00");
        assert_eq!(shifted(last, shift).unwrap(), "1900-01-04T16:00:01");
        assert_eq!(shifted("yesterday", shift), None);
    }

    #[test]
    fn codes_are_those_of_bids_and_a_key_is_only_added_to() {
        let mut key = Key::default();
        key.extend(&clients(&[("A", &["2026-01-02T03:04:05Z"]), ("C", &[]), ("D", &[])]));
        let before = key.clone();
        assert_eq!(before.clients["C"].shift_days, None);
        key.extend(&clients(&[("A", &["2020-01-01T00:00:00Z"]), ("B", &["2026-01-02T03:04:05Z"])]));
        assert!(before.clients.iter().all(|(client, exchanged)| key.clients[client] == *exchanged));
        assert_eq!(key.clients["B"].code, "P004");
        let mut codes: Vec<&str> = key.clients.values().map(|exchanged| exchanged.code.as_str()).collect();
        codes.sort_unstable();
        assert_eq!(codes, ["P001", "P002", "P003", "P004"]);
    }

    #[test]
    fn the_order_of_new_codes_is_not_that_of_the_old() {
        let names: Vec<String> = (0..40).map(|number| format!("C{number:02}")).collect();
        let all: BTreeMap<String, Vec<String>> = names.iter().map(|name| (name.clone(), Vec::new())).collect();
        let mut key = Key::default();
        key.extend(&all);
        let codes: Vec<&String> = key.clients.values().map(|exchanged| &exchanged.code).collect();
        assert!(!codes.is_sorted());
    }
}
