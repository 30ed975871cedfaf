//! A line is read the same whether it is spelled as the writer spells it or in any other way that
//! JSON allows, and a log the same on any number of threads.

use std::num::NonZero;

use pacewright::log::Content;
use pacewright::log::reader::{LogFile, read, read_on};
use pacewright::problem::Problem;
use proptest::prelude::*;

use super::samples::{header, logged, records};

/// The record lines of a log with every kind of record, each without its checksum and last brace.
fn bodies() -> Vec<String> {
    let text = String::from_utf8(logged(&header(), &records())).expect("a log is text");
    let body = |line: &str| line.rsplit_once(",\"crc\":").expect("every line has a checksum").0.to_string();
    text.lines().skip(1).map(body).collect()
}

/// A line with a right checksum.
fn sealed(body: &str) -> String {
    format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()))
}

/// What is read of a line, with no place in it.
fn told(body: &str) -> (Vec<Content>, Vec<String>) {
    let (log, problems) = read(sealed(body).as_bytes(), "a.jsonl");
    let mut contents: Vec<Content> = log.records.into_iter().map(|line| line.content).collect();
    for content in &mut contents {
        // It holds the spelling itself.
        if let Content::Unknown(text) = content {
            text.clear();
        }
    }
    let without_place = |problem: Problem| problem.to_string().split(" at line 1 column").next().map(str::to_owned);
    (contents, problems.into_iter().filter_map(without_place).collect())
}

/// A blank before the checksum changes no value, but no writer of ours puts it there.
fn same_in_another_spelling(body: &str) {
    assert_eq!(told(body), told(&format!("{body} ")), "{body}");
}

#[test]
fn every_kind_of_record_is_the_same_in_another_spelling() {
    let bodies = bodies();
    assert_eq!(bodies.len(), records().len() + 1);
    bodies.iter().for_each(|body| same_in_another_spelling(body));
    let read_of = |body: &String| told(body).0;
    let expected: Vec<_> = records().into_iter().map(|record| vec![Content::Known(record)]).collect();
    assert_eq!(bodies[..expected.len()].iter().map(read_of).collect::<Vec<_>>(), expected);
}

#[test]
fn fields_in_another_order_unknown_fields_blanks_and_escapes_change_nothing() {
    let plain = told(r#"{"seq":1,"at":7,"in":"edge","switch":0,"down":true"#).0;
    assert!(matches!(plain[..], [Content::Known(_)]));
    for body in [
        r#"{"seq":1,"at":7,"in":"edge","down":true,"switch":0"#,
        r#"{"at":7,"seq":1,"in":"edge","switch":0,"down":true"#,
        r#"{"seq":1,"at":7,"in":"edge","switch":0,"down":true,"force_mn":[1,{"a":null}]"#,
        r#"{"seq":1,"at":7,"new":1,"in":"edge","switch":0,"down":true"#,
        r#"{"seq": 1,"at":7,"in":"edge","switch":0,	"down":true"#,
        r#"{"seq":1,"at":7,"in":"\u0065dge","switch":0,"down":true"#,
    ] {
        assert_eq!(told(body).0, plain, "{body}");
    }
    for broken in [
        r#"{"seq":1,"at":07,"in":"edge","switch":0,"down":true"#,
        r#"{"seq":1,"at":7,"in":"edge","switch":256,"down":true"#,
        r#"{"seq":1,"at":7,"in":"edge","switch":0,"down":true,"#,
        r#"{"seq":1,"at":7,"in":"edge","switch":0"#,
        r#"{"seq":1,"at":7,"in":"edge","switch":0,"down":truefalse"#,
    ] {
        assert_eq!(told(broken).0, [], "{broken}");
    }
}

/// Changes that leave much of a line as it was.
fn change() -> impl Strategy<Value = (usize, usize, String)> {
    let put = prop_oneof![
        "[0-9]{1,20}",
        "[-\"{}\\[\\],: .eE\\\\\u{b5}]{0,2}",
        Just("null".to_string()),
        Just("true".to_string()),
        Just("\"in\":\"edge\",".to_string()),
        Just("\"at\":1,".to_string()),
        Just("\\u0061".to_string()),
    ];
    (any::<usize>(), 0_usize..8, put)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_changed_in_a_line_both_spellings_are_read_alike(
        line in any::<prop::sample::Index>(),
        changes in prop::collection::vec(change(), 0..3),
    ) {
        let bodies = bodies();
        let mut body = bodies[line.index(bodies.len())].clone();
        for (place, taken, put) in changes {
            let from = (0..=place % body.len()).rev().find(|at| body.is_char_boundary(*at)).unwrap_or(0);
            let to = (from + taken..).find(|at| *at >= body.len() || body.is_char_boundary(*at)).unwrap_or(from);
            body.replace_range(from..to.min(body.len()), &put);
        }
        prop_assume!(!body.is_empty() && !body.contains('\n'));
        same_in_another_spelling(&body);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn any_number_of_threads_reads_the_same(
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        held_ready in prop_oneof![Just(7_usize), Just(1_000), Just(1 << 17)],
    ) {
        let mut bytes = long();
        for (place, byte) in damage {
            let place = place.index(bytes.len());
            bytes[place] = byte;
        }
        let on = |threads: usize| {
            let source = std::io::BufReader::with_capacity(held_ready, &bytes[..]);
            read_on(NonZero::new(threads).expect("one at least"), source, "a.jsonl")
        };
        let one = on(1);
        for threads in [2, 3, 7] {
            prop_assert_eq!(&on(threads), &one);
        }
        prop_assert_eq!(&read(&bytes[..], "a.jsonl"), &one);
    }
}

/// A log large enough to be shared out.
fn long() -> Vec<u8> {
    let records = records();
    let many: Vec<_> = records.iter().cycle().take(40 * records.len()).cloned().collect();
    logged(&header(), &many)
}

#[test]
fn a_long_log_is_whole_on_any_number_of_threads() {
    let bytes = long();
    for threads in [1, 2, 3, 7] {
        let (log, _): (LogFile, _) = read_on(NonZero::new(threads).expect("one at least"), &bytes[..], "a.jsonl");
        assert_eq!((log.records.len(), log.end.is_some(), log.first_gap), (40 * records().len(), true, None));
    }
}
