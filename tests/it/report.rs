//! The report: whole, alone, safe and the same each time.

use pacewright::advice::pictures::Pictures;
use pacewright::advice::set_up::SetUpAdvice;
use pacewright::analysis::findings;
use pacewright::log::header::Header;
use pacewright::report;
use pacewright::session::event::{BlockEnd, BlockKind, Event, RestReason};
use pacewright::session::protocol::Block;
use pacewright::session::record::Record;
use pacewright::session::trial::Outcome;
use pacewright::settings::{Id, Settings};

use crate::made::Made;
use crate::samples;

fn html(header: &Header, records: &[Record]) -> String {
    let (found, cautions) = findings(header, records);
    let advice = SetUpAdvice::of(&[(header, records)]).ok();
    report::html(
        header,
        &found,
        &cautions,
        records,
        advice.as_ref(),
        &Pictures::beside(advice.as_ref()),
        &report::More::default(),
    )
}

fn session() -> Made {
    let made = Made::new().begin(Block::of(BlockKind::QuietWatch)).wait(60_000).end(BlockEnd::Done);
    let made = made.begin(Block::of(BlockKind::TimedPress));
    let made = (0..12).fold(made, |made, index| made.pressed(Outcome::Hit, 600 + 20 * index));
    made.pressed(Outcome::Late, 2_100)
        .event(Event::Rest { why: RestReason::Asked })
        .end(BlockEnd::Done)
        .event(Event::Finished { complete: true })
}

#[test]
fn a_session_has_all_parts_and_plots() {
    let made = session();
    let html = html(&made.header(), &made.records);
    let parts = [
        "What was found",
        "What to set",
        "What to watch",
        "Settings sheet",
        "In pictures",
        "In figures",
        "Circumstances",
        "Settings at the start",
    ];
    for part in parts.into_iter().chain(["Remarks during the session", "Safety", "Method and sources"]) {
        assert_eq!(html.matches(&format!(">{part}</h2>")).count(), 1, "{part}");
    }
    // All but the gaps of presses, of which there are none, and the patterns beside.
    assert_eq!((html.matches("<figure>").count(), html.matches("<svg ").count()), (5, 6));
    assert!(html.contains("<h1>12\u{a0}of 13\u{a0}scored trials succeeded; "));
    assert!(html.contains("at most 3\u{a0}a minute."));
    assert!(html.contains("Not certified as a medical device."));
    assert!(html.contains("Invented data: a virtual client pressed."));
}

#[test]
fn nothing_is_asked_of_the_outside() {
    let made = session();
    let html = html(&made.header(), &made.records);
    for reach in ["http:", "https:", "src=", "href=", "@import", "<script", "<link", "//cdn"] {
        assert!(!html.contains(reach), "{reach}");
    }
    assert_eq!(html.matches("url(").count(), html.matches("url(#fill-").count());
}

#[test]
fn the_same_session_gives_the_same_bytes() {
    let made = session();
    assert_eq!(html(&made.header(), &made.records), html(&made.header(), &made.records));
}

#[test]
fn markup_in_any_text_is_only_text() {
    let hostile = "</title><script>alert(1)</script>\"'&";
    let made = session();
    let mut header = made.header();
    (header.client, header.began, header.program) = (hostile.into(), hostile.into(), hostile.into());
    (header.format, header.measured.display) = (hostile.into(), hostile.into());
    header.protocol.name = hostile.into();
    header.setup.site = hostile.into();
    header.setup.side = hostile.into();
    header.setup.switch = hostile.into();
    header.setup.mounting = hostile.into();
    header.setup.devices = vec![hostile.into()];
    let (mut found, cautions) = findings(&header, &made.records);
    found.rests.push((hostile.into(), 1));
    found.blocks[0].ratings.push((hostile.into(), 1));
    let advice = SetUpAdvice::of(&[(&header, &made.records)]).ok();
    let pictures = Pictures::beside(advice.as_ref());
    let html =
        report::html(&header, &found, &cautions, &made.records, advice.as_ref(), &pictures, &report::More::default());
    assert!(!html.contains("<script") && html.matches("</svg>").count() == 6, "{html}");
    assert!(html.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert_balanced(&html);
}

#[test]
fn elements_close_in_order() {
    let made = session();
    assert_balanced(&html(&made.header(), &made.records));
    assert_balanced(&html(&samples::header(), &samples::records()));
    assert_balanced(&html(&samples::header(), &[]));
}

/// Every element that opens is closed, in order; `meta` alone stands without an end.
fn assert_balanced(html: &str) {
    let mut open = Vec::new();
    for tag in html.split('<').skip(1).filter_map(|rest| rest.split('>').next()) {
        let name = tag.split_whitespace().next().unwrap_or_default();
        match name.strip_prefix('/') {
            Some(closed) => assert_eq!(open.pop(), Some(closed)),
            None if name == "meta" || name.starts_with('!') || tag.ends_with('/') => {}
            None => open.push(name),
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    for nonsense in ["NaN", "\"inf", "\"-inf", ">inf", ">-inf"] {
        assert!(!html.contains(nonsense), "{nonsense}");
    }
}

#[test]
fn a_changed_setting_is_marked_by_a_word() {
    let made = session();
    let plain = html(&made.header(), &made.records);
    let changed = html(&made.header_with(Settings::default().with(Id::Hold, 300_000)), &made.records);
    assert!(!plain.contains("Changed from the default"));
    assert_eq!(changed.matches("Changed from the default").count(), 1);
}

#[test]
fn recorded_data_carry_no_banner() {
    let made = session();
    let header = Header { invented: false, ..made.header() };
    assert!(!html(&header, &made.records).contains("Invented data"));
}

#[test]
fn an_empty_session_says_so() {
    let html = html(&samples::header(), &[]);
    assert_balanced(&html);
    assert!(html.contains("No trial could be scored in this session"));
    assert_eq!(html.matches("<svg ").count(), 0);
}
