//! What is written is read back, and whatever happens to the bytes in between is told.

use pacewright::log::header::Header;
use pacewright::log::reader::{LogFile, read};
use pacewright::log::{Content, MOST_BYTES};
use pacewright::problem::{Problem, Severity};
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::time::Moment;

use super::samples::{header, logged, records};

fn reread(bytes: &[u8]) -> (LogFile, Vec<Problem>) {
    read(bytes, "a.jsonl")
}

fn texts(problems: &[Problem]) -> Vec<String> {
    problems.iter().map(Problem::to_string).collect()
}

/// A small log: a header, six records, an end.
fn small() -> (Vec<Record>, Vec<u8>) {
    let records: Vec<Record> = records().into_iter().step_by(8).collect();
    let bytes = logged(&header(), &records);
    (records, bytes)
}

/// The lines of a log, each with its LF.
fn lines(bytes: &[u8]) -> Vec<Vec<u8>> {
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

#[test]
fn every_kind_of_record_reads_back_as_it_was() {
    let (log, problems) = reread(&logged(&header(), &records()));
    assert_eq!(texts(&problems), Vec::<String>::new());
    assert_eq!(log.header, Some(header()));
    assert_eq!(log.known().cloned().collect::<Vec<_>>(), records());
    let end = log.end.expect("it was finished");
    let count = |of: fn(&What) -> bool| records().iter().filter(|record| of(&record.what)).count() as u64;
    assert_eq!(end.inputs, count(|what| matches!(what, What::Input(_))));
    assert_eq!(end.effects, count(|what| matches!(what, What::Effect(_))));
    assert_eq!(end.events, count(|what| matches!(what, What::Event(_))));
}

#[test]
fn a_log_cut_at_any_byte_gives_all_its_whole_lines() {
    let (records, bytes) = small();
    for length in 0..bytes.len() {
        // The LF alone is no loss.
        let whole = bytes[..=length].iter().filter(|byte| **byte == b'\n').count();
        let expected = &records[..whole.saturating_sub(1).min(records.len())];
        // A power cut may leave NUL bytes behind the last one written.
        for padding in [0, 700] {
            let mut cut = bytes[..length].to_vec();
            cut.resize(length + padding, 0);
            let (log, problems) = reread(&cut);
            assert!(log.known().eq(expected), "cut at {length}");
            assert_eq!(log.header.is_some(), whole > 0, "cut at {length}");
            let complete = length + 1 == bytes.len() && padding == 0;
            assert_eq!(problems.is_empty(), complete, "cut at {length}: {:?}", texts(&problems));
        }
    }
}

#[test]
fn a_flip_of_any_byte_is_told_with_its_line_and_costs_only_that_line() {
    let (records, bytes) = small();
    let mut line = 1;
    for place in 0..bytes.len() {
        let mask = [0x01, 0x20, 0x80][place % 3];
        let mut flipped = bytes.clone();
        flipped[place] ^= mask;
        let (log, problems) = reread(&flipped);
        assert!(problems.iter().any(|problem| problem.line == Some(line)), "byte {place}: {:?}", texts(&problems));
        let hit = |index: usize| {
            let own = index as u32 + 2;
            own == line || (bytes[place] == b'\n' && own == line + 1)
        };
        let kept = records.iter().enumerate().filter(|(index, _)| !hit(*index)).map(|(_, record)| record);
        assert!(log.known().eq(kept), "byte {place} with {mask}: {:?}", texts(&problems));
        line += u32::from(bytes[place] == b'\n');
    }
}

#[test]
fn a_wrong_checksum_is_told_with_file_line_and_remedy() {
    let (_, bytes) = small();
    let mut lines = lines(&bytes);
    lines[3] = lines[3].iter().map(|byte| if *byte == b'1' { b'2' } else { *byte }).collect();
    let (log, problems) = reread(&lines.concat());
    let text = problems[0].to_string();
    assert!(text.starts_with("`a.jsonl`, line 4: the checksum is wrong: `"), "{text}");
    assert!(text.ends_with("; copy the file again from where it was recorded; all other records are read"), "{text}");
    assert_eq!((problems.len(), log.first_gap), (1, Some(4)));
}

#[test]
fn lines_that_are_missing_repeated_or_swapped_are_told() {
    let (records, bytes) = small();
    let whole = lines(&bytes);
    let told = |lines: Vec<Vec<u8>>| {
        let (log, problems) = reread(&lines.concat());
        (log.records.len(), problems.iter().map(|problem| format!("{:?} {}", problem.line, problem.what)).collect())
    };
    let check = |change: fn(&mut Vec<Vec<u8>>), left: usize, expected: &[&str]| {
        let mut changed = whole.clone();
        change(&mut changed);
        let (count, texts): (usize, Vec<String>) = told(changed);
        assert_eq!(count, records.len() - left);
        assert_eq!(texts, expected);
    };
    check(|lines| drop(lines.drain(2..4)), 2, &["Some(3) 2 records are missing before this line"]);
    check(
        |lines| lines.insert(3, lines[2].clone()),
        0,
        &["Some(4) record 2 comes again, or out of order, and is left out"],
    );
    check(
        |lines| lines.swap(2, 3),
        1,
        &[
            "Some(3) 1 records are missing before this line",
            "Some(4) record 2 comes again, or out of order, and is left out",
        ],
    );
    check(|lines| lines.insert(2, b"\n".to_vec()), 0, &["Some(3) the line is empty"]);
    check(
        |lines| lines.insert(2, b"\xff\xfe\n".to_vec()),
        0,
        &["Some(3) the line is no UTF-8 text from its byte 1 on"],
    );
    let last = records.len() + 1;
    check(|lines| lines.truncate(lines.len() - 1), 0, &[&format!("Some({last}) the end record is missing")]);
    check(
        |lines| drop(lines.remove(0)),
        0,
        &["Some(1) the header is missing", "Some(1) 1 records are missing before this line"],
    );
}

#[test]
fn a_line_without_end_is_skipped_and_the_rest_is_read() {
    let (records, bytes) = small();
    let mut lines = lines(&bytes);
    let mut long = vec![b'x'; 3 * MOST_BYTES];
    long.push(b'\n');
    lines.insert(2, long);
    let (log, problems) = reread(&lines.concat());
    assert!(log.known().eq(&records));
    assert_eq!((problems.len(), problems[0].line), (1, Some(3)));
    assert!(problems[0].what.contains("longer than"));
}

#[test]
fn line_endings_of_another_system_change_nothing() {
    let (records, bytes) = small();
    let text = String::from_utf8(bytes).unwrap().replace('\n', "\r\n");
    let (log, problems) = reread(text.as_bytes());
    assert!(log.known().eq(&records) && problems.is_empty(), "{:?}", texts(&problems));
}

#[test]
fn time_that_goes_back_is_told_but_an_input_keeps_its_stamp() {
    let event = records().pop().unwrap();
    let late = Record { at: Moment(500), ..event.clone() };
    let early = Record { at: Moment(400), ..event };
    let stamp = Record { at: Moment(300), what: What::Input(Input::Next) };
    let (log, problems) = reread(&logged(&header(), &[late, stamp, early]));
    assert_eq!(log.records.len(), 3);
    assert_eq!(problems.len(), 1);
    assert!(problems[0].to_string().contains("line 4: time goes back by 100 µs"), "{}", problems[0]);
}

#[test]
fn a_newer_version_is_refused_and_an_older_one_is_read_with_a_note() {
    let of_version = |version| logged(&Header { version, ..header() }, &records());
    let (log, problems) = reread(&of_version(Header::VERSION + 1));
    assert_eq!((log, problems.len()), (LogFile::default(), 1));
    assert_eq!(
        problems[0].to_string(),
        "`a.jsonl`, line 1: the log has version 2, this program reads up to 1; read it with a newer pacewright"
    );
    let (log, problems) = reread(&of_version(Header::VERSION - 1));
    assert!(log.known().eq(&records()) && log.header.is_some());
    assert_eq!((problems.len(), problems[0].severity), (1, Severity::Warning));
}

#[test]
fn what_is_no_log_is_told_in_few_words() {
    assert_eq!(reread(b"").1[0].what, "the file is empty");
    let (log, problems) = reread(&logged(&Header { format: "pacewright menu".into(), ..header() }, &records()));
    assert_eq!((log, problems.len()), (LogFile::default(), 1));
    let noise: Vec<u8> = (0..200_000_u32).map(|step| (step.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    for other in [&noise[..], b"# Notes\n\nNo log.\n", b"one line", b"\n", b"{\n  \"format\": \"pacewright menu\"\n}\n"]
    {
        let (log, problems) = reread(other);
        assert_eq!(log, LogFile::default());
        let remedy = "give a log that a session has written: `CODE-DATE-TIME.jsonl` in its data folder";
        assert_eq!(
            texts(&problems),
            [format!("`a.jsonl`: it is no session log: no line of it is one of a log; {remedy}")]
        );
    }
    let deep = format!("{{\"seq\":0,\"format\":{}\n", "[".repeat(100_000));
    assert!(!reread(deep.as_bytes()).1.is_empty());
}

#[test]
fn a_log_of_which_every_line_is_damaged_is_still_a_log() {
    let (_, bytes) = small();
    let damaged: Vec<Vec<u8>> = lines(&bytes).iter().map(|line| [&line[..line.len() - 4], b"\n"].concat()).collect();
    let (log, problems) = reread(&damaged.concat());
    assert_eq!((log.header, log.records.len()), (None, 0));
    let told: Vec<u32> = problems.iter().filter_map(|problem| problem.line).collect();
    assert!((1..=damaged.len() as u32).all(|line| told.contains(&line)), "{:?}", texts(&problems));
}

#[test]
fn a_record_of_another_kind_is_kept_as_it_stands() {
    let bytes = logged(&header(), &records());
    let foreign = r#"{"seq":1,"at":7,"in":"pressure","of":[1,2]"#;
    let line = format!("{foreign},\"crc\":\"{:08x}\"}}", crc32fast::hash(foreign.as_bytes()));
    let (log, problems) = reread(&[lines(&bytes)[0].clone(), line.clone().into_bytes()].concat());
    assert_eq!(log.records[0].content, Content::Unknown(line));
    assert!(problems.iter().any(|problem| problem.line == Some(2) && problem.what.contains("does not know")));
}

#[test]
fn equal_records_make_equal_bytes() {
    assert_eq!(logged(&header(), &records()), logged(&header(), &records()));
}
