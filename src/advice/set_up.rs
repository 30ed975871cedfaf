//! All that is advised for one set-up: the recommendations, the sheet that they make together, and
//! what confirm blocks say of it.

use super::asked::Asked;
use super::confirm::{Verdict, judge};
use super::recommendation::Recommendation;
use super::recommendations_for;
use super::sheet::Sheet;
use crate::analysis::confirm::{Confirm, confirms, measuring};
use crate::analysis::evidence::Evidence;
use crate::analysis::gather::{self, Unfit};
use crate::analysis::set_ups::Session;

/// What is advised.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUpAdvice {
    /// What it rests on.
    pub evidence: Evidence,
    /// What the clinician has added.
    pub asked: Asked,
    /// What every rule says.
    pub recommendations: Vec<Recommendation>,
    /// All values together.
    pub sheet: Sheet,
    /// Whether they have been borne out.
    pub verdict: Verdict,
}

impl SetUpAdvice {
    /// Advises on `sessions` of one set-up with nothing added, see [`SetUpAdvice::for_asked`].
    ///
    /// # Errors
    /// The same.
    pub fn of(sessions: &[Session]) -> Result<SetUpAdvice, Unfit> {
        SetUpAdvice::for_asked(sessions, &Asked::default())
    }

    /// Advises on `sessions` of one set-up, in order of time, with what the clinician has added. The advice rests on
    /// all that is no confirm block; sessions that only confirm give neither menu nor settings, unless there is no other.
    ///
    /// # Errors
    /// When they are not of one client, set-up and menu, or a menu cannot be read.
    pub fn for_asked(sessions: &[Session], asked: &Asked) -> Result<SetUpAdvice, Unfit> {
        let measured: Vec<Session> = measuring(sessions).into_iter().map(|index| sessions[index]).collect();
        let evidence = gather::evidence(&measured)?;
        let tried: Vec<Confirm> = sessions.iter().flat_map(|(header, records)| confirms(header, records)).collect();
        Ok(SetUpAdvice::judged(evidence, &tried, asked))
    }

    /// Advises on evidence, and judges the advice by what was `tried` in confirm blocks.
    #[must_use]
    pub fn from_evidence(evidence: Evidence, tried: &[Confirm]) -> SetUpAdvice {
        SetUpAdvice::judged(evidence, tried, &Asked::default())
    }

    fn judged(evidence: Evidence, tried: &[Confirm], asked: &Asked) -> SetUpAdvice {
        let recommendations = recommendations_for(&evidence, asked);
        let sheet = Sheet::new(&evidence, &recommendations);
        let verdict = judge(&sheet.settings, tried);
        SetUpAdvice { evidence, asked: *asked, recommendations, sheet, verdict }
    }

    /// Whether the values hold, in a sentence or two; or that there is none.
    #[must_use]
    pub fn status(&self) -> String {
        match self.verdict {
            Verdict::Proposed { .. } if self.sheet.advised.is_empty() => {
                "No value can be advised from these data yet.".into()
            }
            _ => self.verdict.text(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::Header;
    use crate::session::record::Record;
    use crate::session::{Plan, Session as Sitting, shipped};
    use crate::settings::Settings;
    use crate::sim::client::{Client, STEADY, Traits};
    use crate::sim::latency::Latency;
    use crate::sim::sitting::sit;

    fn sat(protocol: &str, settings: Settings) -> (Header, Vec<Record>) {
        let (protocol, menu) = shipped::find(protocol).unwrap();
        let plan = Plan { protocol, menu, settings, seed: 5 };
        let header = Header::for_plan(&plan);
        let latency = Latency::ExGaussian { mu_s: 0.55, sigma_s: 0.07, tau_s: 0.05 };
        let traits = Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY };
        let (mut records, mut sitting) = (Vec::new(), Sitting::new(plan));
        sit(&mut sitting, &mut Client::new(traits, 5), |fresh| records.extend_from_slice(fresh)).unwrap();
        (header, records)
    }

    fn of(sessions: &[&(Header, Vec<Record>)]) -> SetUpAdvice {
        let list: Vec<Session> = sessions.iter().map(|(header, records)| (header, &records[..])).collect();
        SetUpAdvice::of(&list).unwrap()
    }

    #[test]
    fn a_confirm_block_from_another_log_bears_the_sheet_out_and_leaves_it_as_it_was() {
        let measured = sat("longer-trial", Settings::default());
        let before = of(&[&measured]);
        assert_eq!(before.verdict, Verdict::Proposed { elsewhere: 0, differing: vec![] });
        let tried = of(&[&measured, &sat("confirm", before.sheet.settings.clone())]);
        assert_eq!((&tried.recommendations, &tried.sheet), (&before.recommendations, &before.sheet));
        assert!(matches!(tried.verdict, Verdict::Confirmed { selections: 10, .. }), "{:?}", tried.verdict);
    }

    #[test]
    fn a_confirm_block_under_other_settings_says_nothing() {
        let measured = sat("longer-trial", Settings::default());
        let tried = of(&[&measured, &sat("confirm", Settings::default())]);
        assert!(matches!(tried.verdict, Verdict::Proposed { elsewhere: 10, .. }), "{:?}", tried.verdict);
    }

    #[test]
    fn a_confirm_block_alone_bears_out_what_was_in_force() {
        let tried = of(&[&sat("confirm", Settings::default())]);
        assert!(matches!(tried.verdict, Verdict::Confirmed { .. }) && tried.sheet.changed.is_empty());
        assert!(tried.recommendations.iter().all(|one| one.value_of(crate::settings::Id::ScanInterval).is_none()));
    }
}
