//! Which sessions belong together: those of one client, by site, side, switch, mounting and position.
//!
//! Set-ups are never pooled. A session with another menu stays in its set-up but is set aside, for
//! advice holds for one menu.

use super::confirm::only_confirms;
use super::gather::{Unfit, unfit};
use crate::log::header::Header;
use crate::session::record::Record;
use crate::session::setup::Setup;

/// One session.
pub type Session<'a> = (&'a Header, &'a [Record]);

/// Sessions that were taken in one way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetUp {
    /// In words: "light-touch switch, right cheek, arm on the bed rail".
    pub name: String,
    /// Its sessions with the menu of the last one that measured, by their place in the list handed in.
    pub sessions: Vec<usize>,
    /// Its sessions with another menu.
    pub other_menu: Vec<usize>,
}

/// What distinguishes set-ups, by name.
#[must_use]
pub fn parts(setup: &Setup) -> [(&'static str, &str); 5] {
    [
        ("site", &setup.site),
        ("side", &setup.side),
        ("switch", &setup.switch),
        ("mounting", &setup.mounting),
        ("position", &setup.position),
    ]
}

/// The parts in which two set-ups differ, by name.
#[must_use]
pub fn differences(one: &Setup, other: &Setup) -> Vec<&'static str> {
    let pairs = parts(one).into_iter().zip(parts(other));
    pairs.filter(|((_, one), (_, other))| one != other).map(|((name, _), _)| name).collect()
}

/// The set-ups of `sessions`, which are in order of time; set-ups are in order of their first session.
///
/// # Errors
/// When there is no session, when they are of two clients, or when some are invented and some not.
pub fn set_ups(sessions: &[Session]) -> Result<Vec<SetUp>, Unfit> {
    let (first, _) = sessions.first().ok_or_else(|| unfit("there is none", "give at least one session log"))?;
    for (header, _) in sessions {
        of_one_client(first, header)?;
    }
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, (header, _)) in sessions.iter().enumerate() {
        let same = |group: &&mut Vec<usize>| differences(&sessions[group[0]].0.setup, &header.setup).is_empty();
        match groups.iter_mut().find(same) {
            Some(group) => group.push(index),
            None => groups.push(vec![index]),
        }
    }
    Ok(groups.into_iter().map(|group| set_up(sessions, group)).collect())
}

fn of_one_client(first: &Header, other: &Header) -> Result<(), Unfit> {
    if first.client != other.client {
        let what = format!("the client differs (`{}` and `{}`)", first.client, other.client);
        return Err(unfit(&what, "give the logs of one client at a time"));
    }
    if first.invented != other.invented {
        return Err(unfit("some are invented and some are not", "leave out the logs of the virtual client"));
    }
    Ok(())
}

fn set_up(sessions: &[Session], group: Vec<usize>) -> SetUp {
    let measured = group.iter().rev().find(|index| !only_confirms(sessions[**index].1));
    let menu = measured.or(group.last()).map(|index| &sessions[*index].0.menu);
    let name = name(&sessions[group[0]].0.setup);
    let (kept, other_menu) = group.into_iter().partition(|index| Some(&sessions[*index].0.menu) == menu);
    SetUp { name, sessions: kept, other_menu }
}

/// What was stated of a set-up: switch, side and site, mounting, position.
#[must_use]
pub fn name(setup: &Setup) -> String {
    let place = [setup.side.as_str(), &setup.site].join(" ");
    let all = [setup.switch.as_str(), place.trim(), &setup.mounting, &setup.position];
    let stated: Vec<&str> = all.into_iter().filter(|part| !part.is_empty()).collect();
    if stated.is_empty() { "set-up not stated".into() } else { stated.join(", ") }
}

/// Short names of two set-ups: only that in which they differ.
#[must_use]
pub fn apart(one: &Setup, other: &Setup) -> [String; 2] {
    let differ = differences(one, other);
    let place = differ.contains(&"site") || differ.contains(&"side");
    let kept = |part: &str, text: &str| if differ.contains(&part) { text.to_string() } else { String::new() };
    [one, other].map(|setup| {
        let [site, side] = [&setup.site, &setup.side].map(|text| if place { text.clone() } else { String::new() });
        name(&Setup {
            site,
            side,
            switch: kept("switch", &setup.switch),
            mounting: kept("mounting", &setup.mounting),
            position: kept("position", &setup.position),
            ..Setup::default()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::tests::header;

    fn at(site: &str) -> Header {
        let mut header = Header { client: "A1".into(), ..header() };
        header.setup = Setup { site: site.into(), side: "left".into(), ..Setup::default() };
        header
    }

    fn grouped(headers: &[Header]) -> Result<Vec<SetUp>, Unfit> {
        set_ups(&headers.iter().map(|header| (header, &[][..])).collect::<Vec<_>>())
    }

    #[test]
    fn sessions_are_kept_apart_by_set_up_and_stay_in_order() {
        let found = grouped(&[at("cheek"), at("hand"), at("cheek")]).unwrap();
        let sessions: Vec<_> = found.iter().map(|one| one.sessions.clone()).collect();
        assert_eq!(sessions, [vec![0, 2], vec![1]]);
        assert_eq!((found[0].name.as_str(), found[1].name.as_str()), ("left cheek", "left hand"));
        assert_eq!(differences(&at("cheek").setup, &at("hand").setup), ["site"]);
    }

    #[test]
    fn another_menu_is_set_aside() {
        let other = Header { menu: serde_json::Value::Null, ..at("cheek") };
        let found = grouped(&[other, at("cheek")]).unwrap();
        assert_eq!((found[0].sessions.clone(), found[0].other_menu.clone()), (vec![1], vec![0]));
    }

    #[test]
    fn two_clients_and_mixed_data_are_refused() {
        let other = Header { client: "B2".into(), ..at("cheek") };
        assert!(grouped(&[at("cheek"), other]).unwrap_err().to_string().contains("(`A1` and `B2`)"));
        let invented = Header { invented: !at("cheek").invented, ..at("cheek") };
        assert!(grouped(&[at("cheek"), invented]).unwrap_err().remedy.contains("virtual client"));
        assert_eq!(grouped(&[]).unwrap_err().what, "there is none");
    }

    #[test]
    fn short_names_say_only_what_differs() {
        let [mut one, mut other] = [at("cheek").setup, at("hand").setup];
        assert_eq!(apart(&one, &other), ["left cheek", "left hand"]);
        (one.switch, other.switch) = ("button".into(), "sip".into());
        assert_eq!(apart(&one, &other), ["button, left cheek", "sip, left hand"]);
        assert_eq!(apart(&one, &Setup { switch: String::new(), ..one.clone() }), ["button", "set-up not stated"]);
    }

    #[test]
    fn what_was_not_stated_is_said() {
        assert_eq!(name(&Setup::default()), "set-up not stated");
    }
}
