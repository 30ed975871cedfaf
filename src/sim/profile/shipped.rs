//! The virtual clients that come with the program; all of them are invented.

use super::{Profile, read};

/// Name and text of each: reactors of every law first, then one for each trait.
pub const CLIENTS: &[(&str, &str)] = &[
    ("steady", include_str!("../../../trials/clients/steady.json")),
    ("lognormal", include_str!("../../../trials/clients/lognormal.json")),
    ("wald", include_str!("../../../trials/clients/wald.json")),
    ("gamma", include_str!("../../../trials/clients/gamma.json")),
    ("quantiles", include_str!("../../../trials/clients/quantiles.json")),
    ("timer", include_str!("../../../trials/clients/timer.json")),
    ("tremor", include_str!("../../../trials/clients/tremor.json")),
    ("spasm", include_str!("../../../trials/clients/spasm.json")),
    ("flutter", include_str!("../../../trials/clients/flutter.json")),
    ("tiring", include_str!("../../../trials/clients/tiring.json")),
    ("learning", include_str!("../../../trials/clients/learning.json")),
    ("lapsing", include_str!("../../../trials/clients/lapsing.json")),
    ("hasty", include_str!("../../../trials/clients/hasty.json")),
    ("absent", include_str!("../../../trials/clients/absent.json")),
];

/// The shipped client of this name.
///
/// # Panics
/// Never for a profile that passed the tests of this module.
#[must_use]
pub fn find(name: &str) -> Option<Profile> {
    let (name, text) = CLIENTS.iter().find(|(known, _)| *known == name)?;
    Some(read(name, text).0.expect("shipped profiles are valid"))
}

#[cfg(test)]
mod tests {
    use super::super::super::traits::STEADY;
    use super::*;

    #[test]
    fn every_shipped_client_is_valid_and_says_that_it_is_invented() {
        for (name, text) in CLIENTS {
            let (profile, problems) = read(name, text);
            assert_eq!(problems, [], "{name}");
            assert!(profile.unwrap().about.starts_with("An invented person "), "{name}");
        }
    }

    #[test]
    fn the_steady_client_of_the_demonstrations_is_the_shipped_one() {
        assert_eq!(find("steady").unwrap().traits, STEADY);
        assert_eq!(find("nobody"), None);
    }

    #[test]
    fn every_shipped_client_goes_to_json_and_back() {
        for (name, _) in CLIENTS {
            let profile = find(name).unwrap();
            let text = serde_json::to_string(&profile).unwrap();
            assert_eq!(read(name, text), (Some(profile), vec![]), "{name}");
        }
    }
}
