//! What the trade asks of a client at most, and the warnings above it.
//!
//! The limits are common practice, no source.

use super::Cost;
use crate::problem::Problem;
use crate::session::protocol::Protocol;

/// Most minutes of a whole first visit: two sites and a confirm block.
pub const VISIT_MINUTES: f64 = 15.0;
/// Most presses in a row with a breath switch.
pub const BREATH_RUN: f64 = 20.0;

/// Name of a protocol in small letters, most presses, most minutes.
const LIMITS: [(&str, f64, f64); 2] = [("first look", 40.0, 8.0), ("second site", 22.0, 4.0)];
/// Most presses and minutes of every other protocol.
const LONGEST: (f64, f64) = (60.0, 10.0);

impl Protocol {
    /// Warnings where the cost is above what the protocol states or the trade asks of a client.
    #[must_use]
    pub fn cost_warnings(&self, cost: &Cost, file: &str) -> Vec<Problem> {
        let name = self.name.trim().to_lowercase();
        let (presses, minutes) = LIMITS
            .iter()
            .find(|(known, ..)| *known == name)
            .map_or(LONGEST, |(_, presses, minutes)| (*presses, *minutes));
        let presses = self.most_presses.map_or(presses, |most| presses.min(f64::from(most)));
        let minutes = self.most_minutes.map_or(minutes, |most| minutes.min(most));
        let warn = |what: String, remedy: &str| Problem::warning(file, None, what, remedy);
        let mut warnings = Vec::new();
        if cost.presses > presses {
            let what = format!("it asks for about {:.0} presses, more than {presses}", cost.presses.ceil());
            warnings.push(warn(what, "take out trials"));
        }
        if cost.minutes > minutes {
            let what = format!("it takes about {:.1} minutes, more than {minutes}", cost.minutes);
            warnings.push(warn(what, "take out trials, or shorten the waits"));
        }
        if cost.longest_run > BREATH_RUN {
            let what = format!("it asks for {:.0} presses in a row", cost.longest_run.ceil());
            warnings.push(warn(what, "with a breath switch rest after 20 at most: lower `rest_every` or `set_size`"));
        }
        warnings
    }
}

#[cfg(test)]
mod tests {
    use crate::settings::Settings;

    #[test]
    fn a_protocol_above_its_limits_is_warned_of() {
        let (mut protocol, menu) = crate::session::shipped::find("first-look").unwrap();
        protocol.blocks[3].trials = 30;
        protocol.rest_every = 0;
        let cost = protocol.cost(&menu, &Settings::default()).unwrap();
        let said: Vec<String> = protocol.cost_warnings(&cost, "p.json").iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "`p.json`: it asks for about 63 presses, more than 40; take out trials",
                "`p.json`: it takes about 11.4 minutes, more than 8; take out trials, or shorten the waits",
                "`p.json`: it asks for 33 presses in a row; with a breath switch rest after 20 at most: lower `rest_every` or `set_size`",
            ]
        );
        assert_eq!(cost.to_string(), "about 63 presses and 12 minutes");
    }
}
