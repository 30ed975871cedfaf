//! The protocols that come with the program.

use super::protocol::Protocol;
use super::protocol_file;
use crate::menu::{self, Menu};

/// Name and text of each, in the order in which they are offered.
pub const PROTOCOLS: &[(&str, &str)] = &[
    ("first-look", include_str!("../../trials/protocols/first-look.json")),
    ("second-site", include_str!("../../trials/protocols/second-site.json")),
    ("longer-trial", include_str!("../../trials/protocols/longer-trial.json")),
    ("confirm", include_str!("../../trials/protocols/confirm.json")),
    ("pointer", include_str!("../../trials/protocols/pointer.json")),
    ("switch-check", include_str!("../../trials/protocols/switch-check.json")),
    ("demonstration", include_str!("../../trials/protocols/demonstration.json")),
];

/// The shipped protocol of this name, with its menu.
///
/// # Panics
/// Never for a protocol that passed the tests of this module.
#[must_use]
pub fn find(name: &str) -> Option<(Protocol, Menu)> {
    let (name, text) = PROTOCOLS.iter().find(|(known, _)| *known == name)?;
    let read = protocol_file::read(name, text, menu::shipped::find);
    Some(read.protocol.expect("shipped protocols are valid"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::cost::{Cost, VISIT_MINUTES};
    use crate::settings::Settings;

    fn cost(name: &str) -> Cost {
        let (protocol, menu) = find(name).unwrap();
        protocol.cost(&menu, &Settings::from_json(&protocol.settings).unwrap()).unwrap()
    }

    #[test]
    fn every_shipped_protocol_is_valid_and_costs_what_it_may() {
        for (name, text) in PROTOCOLS {
            let read = protocol_file::read(name, text, menu::shipped::find);
            assert_eq!(read.problems, [], "{name}");
            let (protocol, _) = read.protocol.unwrap();
            let cost = cost(name);
            assert_eq!(protocol.cost_warnings(&cost, name), [], "{name}: {cost:#?}");
            println!(
                "{name}: {:.1} presses, {:.2} minutes, {:.1} in a row",
                cost.presses, cost.minutes, cost.longest_run
            );
        }
    }

    #[test]
    fn presses_and_minutes_stay_within_what_a_client_can_give() {
        for (name, presses, minutes) in [
            ("first-look", 40.0, 8.0),
            ("second-site", 22.0, 4.0),
            ("longer-trial", 60.0, 10.0),
            ("pointer", 40.0, 8.0),
            ("demonstration", 60.0, 4.0),
        ] {
            let cost = cost(name);
            assert!(cost.presses <= presses && cost.minutes <= minutes, "{name}: {cost:#?}");
            assert!(cost.longest_run <= 20.0, "{name}: {cost:#?}");
        }
    }

    #[test]
    fn a_first_visit_with_two_sites_and_a_confirm_block_fits() {
        let minutes: f64 = ["first-look", "second-site", "confirm"].into_iter().map(|name| cost(name).minutes).sum();
        assert!(minutes <= VISIT_MINUTES, "{minutes}");
    }
}
