//! A virtual client from the logs of one client and one set-up.
//!
//! What the logs tell is measured, with 90 % intervals and joint guesses; what they cannot tell keeps
//! a stated value. Priors are those of the advice (`advice::draws`), so that client and advice agree.

mod answers;
mod durations;
mod involuntary;
mod law;
mod notes;
mod rests;
pub mod text;
mod timer;
mod tiring;
mod trains;

use crate::advice::rhythm;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::gather::{self, Unfit};
use crate::analysis::set_ups::{self, Session};
use crate::analysis::suggestion::WANTED;
use crate::sim::profile::Profile;
use crate::sim::profile::fitted::{Draw, Fitted};
use crate::sim::traits::{Course, STEADY, Traits};
use crate::stats::latency::Manner;
use notes::Notes;

/// Guesses that are kept in a profile.
pub const DRAWS: usize = 100;

/// A client who has none of the traits that are measured.
const PLAIN: Traits = Traits { miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY };

/// The virtual client of `sessions`, which are in order of time.
///
/// # Errors
/// When the sessions are of two clients, set-ups or menus, some invented and some not, when there are
/// too few presses under a moving highlight, or when presses are timed to the rhythm of one scan rate.
pub fn fit(sessions: &[Session]) -> Result<Profile, Unfit> {
    set_ups::set_ups(sessions)?;
    let evidence = gather::evidence(sessions)?;
    let moving: Vec<&Opportunity> = evidence.opportunities.iter().filter(|one| one.moving()).collect();
    let mut notes = Notes::default();
    let found = laws(sessions, &evidence, &moving, &mut notes)?;
    let involuntary = involuntary::guesses(&evidence, &mut notes);
    let base = Traits { rests: rests::share(sessions, &mut notes), ..PLAIN };
    let base = trains::with(durations::with(base, &evidence, &mut notes), &evidence, &mut notes);
    notes.never_measured();
    let draws: Vec<Draw> = found.draws.iter().zip(&involuntary).map(|(draw, rate)| drawn(draw, *rate)).collect();
    let centre = drawn(&found.centre, involuntary::mean(&involuntary));
    Ok(Profile {
        format: Profile::FORMAT.into(),
        version: Profile::VERSION,
        name: named(&sessions[0].0.client),
        about: about(&evidence, &sessions[0].0.client),
        traits: centre.over(&base),
        fitted: Some(Fitted {
            sessions: evidence.sessions,
            presses: found.presses as u32,
            set_up: set_ups::name(&evidence.setup).chars().take(300).collect(),
            invented: evidence.invented,
            measured: notes.measured,
            assumed: notes.assumed,
            draws,
        }),
    })
}

/// How the client answers a highlight: the middle of the guesses, and the guesses.
struct Found {
    presses: usize,
    centre: Draw,
    draws: Vec<Draw>,
}

fn laws(sessions: &[Session], evidence: &Evidence, moving: &[&Opportunity], notes: &mut Notes) -> Result<Found, Unfit> {
    let pressed = moving.iter().filter(|one| one.latency_s().is_some()).count();
    if rhythm::manner(&rhythm::timed(moving.iter().copied(), 0.0)) == Manner::Times {
        return timer::of_a_timer(evidence, moving, notes);
    }
    if pressed < WANTED {
        return Err(few(pressed));
    }
    law::of_a_reactor(sessions, evidence, moving, notes)
}

fn few(pressed: usize) -> Unfit {
    Unfit {
        what: format!(
            "only {pressed} right or late presses under a moving highlight were measured; {WANTED} are needed"
        ),
        remedy: "add logs of the same client and set-up, or run more timed presses, slower if most were missed".into(),
    }
}

/// A draw with its rate of involuntary presses, in figures that people can read.
fn drawn(draw: &Draw, involuntary_per_s: f64) -> Draw {
    Draw {
        latency: notes::short(&draw.latency),
        first_item_s: notes::round(draw.first_item_s),
        miss: notes::round(draw.miss),
        gives_up_late: notes::round(draw.gives_up_late),
        involuntary_per_s: notes::round(involuntary_per_s),
        slower_per_min: notes::round(draw.slower_per_min),
        ..draw.clone()
    }
}

fn named(client: &str) -> String {
    if client.is_empty() { "Fitted".into() } else { format!("Fitted to {client}") }
}

fn about(evidence: &Evidence, client: &str) -> String {
    let who = if evidence.invented { "a virtual client" } else { "a person" };
    let text = format!(
        "A model fitted to {} of {who}{}{client}, {}. It is no record of anybody; its intervals say how little is known.",
        crate::analysis::words::count(evidence.sessions, "session", "sessions"),
        if client.is_empty() { "" } else { ", code " },
        set_ups::name(&evidence.setup)
    );
    text.chars().take(600).collect()
}

/// Nothing changes in the course of a session.
const EVEN: Course = PLAIN.course;
