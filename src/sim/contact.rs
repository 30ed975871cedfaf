//! The raw edges of presses: what the contact makes of a finger that closes and opens it.

use crate::engine::effect::Switch;
use crate::rng::Stream;
use crate::sim::traits::Contact;
use crate::time::{Moment, Span};

/// A raw change of a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Edge {
    /// When.
    pub at: Moment,
    /// Which switch.
    pub switch: Switch,
    /// `true` when it closed.
    pub down: bool,
}

/// It closes once and opens once in every press.
pub(super) fn is_clean(contact: &Contact) -> bool {
    contact.bounces == 0 && (contact.drop_outs_per_s <= 0.0 || contact.drop_out_s <= 0.0)
}

/// The edges of one press from `at` on, in order: it begins with a closing and ends with an opening,
/// and closings and openings take turns. `room` lies free between the opening and whatever follows.
pub(super) fn edges(
    at: Moment,
    held: Span,
    room: Span,
    switch: Switch,
    contact: &Contact,
    stream: &mut Stream,
) -> Vec<Edge> {
    let bounce = Span::from_seconds(contact.bounce_s).unwrap_or(Span::ZERO);
    let opening = at + held;
    let closing_over = bounce.min(Span(held.0 / 2));
    let mut stamps = vec![at];
    stamps.extend(within(at, closing_over, 2 * u64::from(contact.bounces), stream));
    stamps.extend(drop_outs(at + closing_over, opening, contact, stream));
    stamps.push(opening);
    stamps.extend(within(opening, bounce.min(Span(room.0 / 2)), 2 * u64::from(contact.bounces), stream));
    let edge = |(turn, at): (usize, Moment)| Edge { at, switch, down: turn % 2 == 0 };
    stamps.into_iter().enumerate().map(edge).collect()
}

/// `count` instants after `from`, in order, before `span` is over; one a microsecond where it is
/// too short for them all, and none where even that fails.
fn within(from: Moment, span: Span, count: u64, stream: &mut Stream) -> Vec<Moment> {
    if span.0 <= count {
        return Vec::new();
    }
    // Distinct instants: sorted draws from what is left, spread by their rank.
    let mut drawn: Vec<u64> = (0..count).map(|_| stream.below(span.0 - count)).collect();
    drawn.sort_unstable();
    drawn.iter().zip(1..).map(|(offset, rank)| from + Span(offset + rank)).collect()
}

/// Pairs of an opening and a closing, from `from` on and over before `until`.
fn drop_outs(from: Moment, until: Moment, contact: &Contact, stream: &mut Stream) -> Vec<Moment> {
    let mut stamps = Vec::new();
    let lasts = Span::from_seconds(contact.drop_out_s).unwrap_or(Span::ZERO);
    if contact.drop_outs_per_s <= 0.0 || lasts.is_zero() {
        return stamps;
    }
    let mut at = from;
    loop {
        let wait = stream.exponential() / contact.drop_outs_per_s;
        at += Span::from_seconds(wait).unwrap_or(Span::ZERO).max(Span(1));
        let back = at + lasts;
        if back >= until {
            return stamps;
        }
        stamps.extend([at, back]);
        at = back;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HELD: Span = Span::from_ms(200);
    const FREE: Span = Span::from_ms(10_000);

    fn of(contact: Contact, held: Span, room: Span) -> Vec<Edge> {
        edges(Moment(1_000), held, room, Switch(0), &contact, &mut Stream::named(1, "contact"))
    }

    fn in_turn(edges: &[Edge]) -> bool {
        let rising = edges.windows(2).all(|pair| pair[0].at < pair[1].at && pair[0].down != pair[1].down);
        rising && edges.first().is_some_and(|edge| edge.down) && edges.last().is_some_and(|edge| !edge.down)
    }

    #[test]
    fn a_clean_contact_closes_and_opens_once() {
        let edges = of(Contact::default(), HELD, FREE);
        assert_eq!(edges.iter().map(|edge| edge.at.0).collect::<Vec<_>>(), [1_000, 201_000]);
        assert!(in_turn(&edges));
    }

    #[test]
    fn each_bounce_is_two_edges_more_at_either_end_and_soon_over() {
        for bounces in 0..=20 {
            let edges = of(Contact { bounces, bounce_s: 0.005, ..Contact::default() }, HELD, FREE);
            assert_eq!(edges.len(), 2 + 4 * usize::from(bounces));
            assert!(in_turn(&edges));
            let early = edges.iter().filter(|edge| edge.at < Moment(6_001)).count();
            assert_eq!(early, 1 + 2 * usize::from(bounces), "those of the closing are over within 5 ms");
        }
    }

    #[test]
    fn drop_outs_last_as_long_as_they_should_and_come_as_often() {
        let contact = Contact { drop_outs_per_s: 5.0, drop_out_s: 0.02, ..Contact::default() };
        let edges = of(contact, Span::from_ms(200_000), FREE);
        assert!(in_turn(&edges));
        let failures = &edges[1..edges.len() - 1];
        assert!(failures.chunks(2).all(|pair| pair[1].at.since(pair[0].at) == Span::from_ms(20)));
        // 5 a second of the 10/11 of 200 s that the contact is whole: 909, SD 30 (Poisson).
        assert!((failures.len() as f64 / 2.0 - 909.0).abs() < 5.0 * 30.0, "{}", failures.len());
    }

    #[test]
    fn there_is_always_an_opening_however_little_room_there_is() {
        let contact = Contact { bounces: 9, bounce_s: 0.05, drop_outs_per_s: 500.0, drop_out_s: 0.001 };
        for held in [1, 2, 30, 1_000, 50_000] {
            for room in [1, 40, 3_000] {
                let edges = of(contact, Span(held), Span(room));
                assert!(in_turn(&edges), "{held} {room}: {edges:?}");
                assert!(edges.last().unwrap().at <= Moment(1_000 + held + room));
            }
        }
    }
}
