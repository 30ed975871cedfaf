//! Reads a record line that stands exactly as the writer made it, several times faster than JSON in general.
//!
//! Only the kinds that fill a log are known here. For anything else, and for any other spelling,
//! [`record`] gives `None` and the tolerant parser in `line` decides; the two never differ.

use super::rest::{Rest, fields};
use crate::engine::effect::{Activation, Effect};
use crate::session::event::Event;
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::Trial;

/// The sequence number and the record of a line, which comes without its checksum and closing brace.
pub(super) fn record(body: &str) -> Option<(u64, Record)> {
    let mut rest = Rest(body);
    rest.pass("{\"seq\":")?;
    let seq = rest.take()?;
    rest.pass(",\"at\":")?;
    let at = rest.take()?;
    let what = what(&mut rest)?;
    rest.0.is_empty().then_some((seq, Record { at, what }))
}

fn what(rest: &mut Rest) -> Option<What> {
    rest.pass(",\"")?;
    if rest.pass("in\":").is_some() {
        input(rest).map(What::Input)
    } else if rest.pass("out\":").is_some() {
        effect(rest).map(What::Effect)
    } else {
        rest.pass("event\":")?;
        event(rest).map(What::Event)
    }
}

fn input(rest: &mut Rest) -> Option<Input> {
    Some(match rest.words()? {
        "edge" => fields!(rest, Input::Edge { switch, down }),
        "shown" => fields!(rest, Input::Shown { number }),
        _ => return None,
    })
}

fn effect(rest: &mut Rest) -> Option<Effect> {
    Some(match rest.words()? {
        "highlight" => fields!(rest, Effect::Highlight { number, due, lit }),
        "pressed" => fields!(rest, Effect::Pressed { switch, edge }),
        "released" => fields!(rest, Effect::Released { switch, pressed, edge }),
        "activated" => Effect::Activated(fields!(rest, Activation { switch, pressed, accepted })),
        "not-counted" => fields!(rest, Effect::NotCounted { switch, pressed, why }),
        "taken" => fields!(rest, Effect::Taken { number, group, entry, item, latency_us, shown, by }),
        "entered" => fields!(rest, Effect::Entered { number, into, group, entry, latency_us, shown, by }),
        "stopped" => fields!(rest, Effect::Stopped { why }),
        _ => return None,
    })
}

fn event(rest: &mut Rest) -> Option<Event> {
    Some(match rest.words()? {
        "scene" => fields!(rest, Event::Scene { number, text }),
        "clock" => Event::Clock,
        "trial-began" => fields!(rest, Event::TrialBegan { block, trial, target }),
        "trial" => Event::Trial(Box::new(trial(rest)?)),
        "answered" => fields!(rest, Event::Answered { item, text }),
        _ => return None,
    })
}

#[rustfmt::skip]
fn trial(rest: &mut Rest) -> Option<Trial> {
    Some(fields!(rest, Trial {
        block, kind, trial, scored, outcome, reached, target, attempt, cued, began, ended, wait_us, position, count,
        interval_us, settings, passes_missed, presses, previous, prompt, interruption, excluded
    }))
}

#[cfg(test)]
mod tests {
    use super::super::line::write_line;
    use super::*;

    /// One line of every kind that is read here.
    const LINES: [&str; 16] = [
        r#"{"seq":1,"at":7,"in":"edge","switch":0,"down":true"#,
        r#"{"seq":2,"at":7,"in":"shown","number":18446744073709551615"#,
        r#"{"seq":3,"at":7,"out":"highlight","number":1,"due":2,"lit":{"entry":{"group":0,"entry":3,"pass":1}}"#,
        r#"{"seq":4,"at":7,"out":"highlight","number":1,"due":2,"lit":"nothing""#,
        r#"{"seq":5,"at":7,"out":"pressed","switch":1,"edge":3"#,
        r#"{"seq":6,"at":7,"out":"released","switch":1,"pressed":3,"edge":4"#,
        r#"{"seq":7,"at":7,"out":"activated","switch":1,"pressed":3,"accepted":5"#,
        r#"{"seq":8,"at":7,"out":"not-counted","switch":1,"pressed":3,"why":"too-short""#,
        r#"{"seq":9,"at":7,"out":"taken","number":1,"group":0,"entry":2,"item":9,"latency_us":-12,"shown":1,"by":{"switch":1,"pressed":3,"accepted":5}"#,
        r#"{"seq":10,"at":7,"out":"entered","number":1,"into":4,"group":0,"entry":2,"latency_us":12,"shown":1,"by":{"switch":1,"pressed":3,"accepted":5}"#,
        r#"{"seq":11,"at":7,"out":"stopped","why":"loops""#,
        r#"{"seq":12,"at":7,"event":"scene","number":5,"text":"Rest. 5 µm to go.""#,
        r#"{"seq":13,"at":7,"event":"clock""#,
        r#"{"seq":14,"at":7,"event":"trial-began","block":0,"trial":1,"target":"lamp""#,
        r#"{"seq":15,"at":7,"event":"answered","item":"lamp","text":"The lamp is on.""#,
        concat!(
            r#"{"seq":16,"at":7,"event":"trial","block":0,"kind":"timed-press","trial":1,"scored":true,"outcome":"hit","#,
            r#""reached":true,"target":"lamp","attempt":2,"cued":1,"began":2,"ended":9,"wait_us":null,"position":2,"#,
            r#""count":6,"interval_us":800000,"settings":3,"passes_missed":1,"presses":[{"pressed":3,"accepted":5,"#,
            r#""outcome":"early","level":1,"position":null,"wanted":2,"count":6,"latency_us":-40000}],"#,
            r#""previous":"omission","prompt":"touched","interruption":"talk","excluded":"spasm""#
        ),
    ];

    #[test]
    fn the_kinds_that_fill_a_log_are_read_and_written_back_to_the_byte() {
        for line in LINES {
            let (seq, Record { at, what }) = record(line).expect(line);
            let mut written = Vec::new();
            write_line(&mut written, seq, Some(at), &what);
            assert!(written.starts_with(format!("{line},\"crc\":\"").as_bytes()), "{line}");
        }
    }

    #[test]
    fn nothing_is_made_of_a_part_of_a_line_or_of_more_than_one() {
        for line in LINES {
            let mut parts = (0..line.len()).filter_map(|end| line.get(..end));
            // The last digits of a number may be missing: such a line has no right checksum.
            assert!(parts.all(|part| part.ends_with(|last: char| last.is_ascii_digit()) || record(part).is_none()));
            assert_eq!(record(&format!("{line} ")), None);
            assert_eq!(record(&format!("{line},\"more\":1")), None);
        }
    }
}
