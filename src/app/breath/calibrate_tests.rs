//! A calibration, worked by hand.

use super::*;

fn key(name: &str) -> Binding {
    name.parse().unwrap()
}

fn pages(source: Source, switches: &[&str], kept: Option<Kept>) -> Calibrate {
    let config = LevelConfig { source, settings: Settings::default(), kept };
    Calibrate::new(5, config, switches.iter().map(|name| key(name)).collect())
}

/// Works the calibration in steps of 10 ms; the level is what `effort` says while one is asked for.
fn worked(effort: i32) -> Calibrate {
    let mut calibrate = pages(Source::Emulated, &["emulated breath soft puff"], None);
    calibrate.level(Moment::START, 0);
    calibrate.press(Moment::START, key("F3"));
    for n in 0..6_000_u64 {
        let now = Moment(n * 10_000);
        let asked = calibrate.scene().cue.as_ref().is_some_and(|cue| cue.text == words::PUFF);
        calibrate.level(now, if asked { effort } else { 0 });
        calibrate.wake(now);
    }
    calibrate
}

fn title(calibrate: &Calibrate) -> &str {
    let Body::Message(message) = &calibrate.scene().body else { panic!("no page") };
    &message.title
}

fn lines(calibrate: &Calibrate) -> String {
    let Body::Message(message) = &calibrate.scene().body else { panic!("no page") };
    message.lines.join(" ")
}

const VOICE: [&str; 1] = ["microphone soft sound"];

#[test]
fn a_calibration_that_is_kept_is_offered_with_its_day_and_can_be_made_again() {
    let told = worked(3_000);
    let Page::Found(found) = &told.page else { panic!("not found") };
    let kept = Some(Kept { found: found.clone(), day: "2026-03-04".to_string() });
    let mut again = pages(Source::Emulated, &["emulated breath soft puff"], kept.clone());
    assert!(lines(&again).contains("2026-03-04") && lines(&again).contains("3000, 3000, 3000"));
    let mut used = again.clone();
    used.press(Moment::START, key("Enter"));
    assert_eq!(used.done().map(|told| told.calibration), Some(found.clone()));
    again.press(Moment::START, key("F4"));
    assert_eq!((title(&again), again.done()), (words::BREATH_BEFORE, None));
    // A side that it knows nothing of, another device: it is not offered.
    let sip = pages(Source::Emulated, &["emulated breath soft sip"], kept.clone());
    let voice = pages(Source::Microphone, &VOICE, kept);
    assert!(!lines(&sip).contains("2026-03-04") && !lines(&voice).contains("2026-03-04"));
}

#[test]
fn where_nothing_is_heard_the_page_says_why_until_something_is() {
    let mut calibrate = pages(Source::Microphone, &VOICE, None);
    assert!(lines(&calibrate).contains("Nothing has been heard"), "{}", lines(&calibrate));
    calibrate.trouble(Some("this computer has no microphone".to_string()));
    assert!(lines(&calibrate).contains("This computer has no microphone."));
    calibrate.trouble(None);
    calibrate.level(Moment(1), 900);
    let all = lines(&calibrate);
    assert!(!all.contains("Nothing has been heard") && all.contains("ventilator") && all.contains("no sound is kept"));
}

#[test]
fn nothing_is_measured_while_nothing_comes() {
    let mut calibrate = pages(Source::Microphone, &VOICE, None);
    calibrate.press(Moment(1), key("F3"));
    assert!(lines(&calibrate).contains("This page waits"), "{}", lines(&calibrate));
    calibrate.level(Moment(2), 900);
    calibrate.press(Moment(3), key("F3"));
    assert!(matches!(calibrate.page, Page::Running(_)));
    // It is unplugged in the middle.
    calibrate.trouble(Some("the microphone has gone silent".to_string()));
    let all = lines(&calibrate);
    assert!(all.contains("The microphone has gone silent.") && !all.contains(words::BREATH_BEGINS), "{all}");
    calibrate.trouble(None);
    calibrate.level(Moment(4), 900);
    assert!(lines(&calibrate).contains(words::BREATH_BEGINS));
}

#[test]
fn a_sound_that_was_not_heard_speaks_of_no_tube() {
    let mut calibrate = pages(Source::Microphone, &VOICE, None);
    calibrate.page = Page::Before(Some(Refusal::NoEffort(Side::Above)));
    calibrate.level(Moment(1), 900);
    assert!(lines(&calibrate).contains("microphone nearer") && !lines(&calibrate).contains("tube"));
}

#[test]
fn what_was_found_is_used_only_while_the_device_is_there() {
    let mut calibrate = worked(3_000);
    calibrate.trouble(Some("pad 1 is unplugged".to_string()));
    calibrate.press(Moment(70_000_000), key("Enter"));
    assert!(lines(&calibrate).contains("Pad 1 is unplugged.") && calibrate.done().is_none());
    calibrate.trouble(None);
    calibrate.press(Moment(71_000_000), key("Enter"));
    assert!(calibrate.done().is_some());
}

#[test]
fn three_puffs_lead_to_what_the_session_is_told() {
    let mut calibrate = worked(3_000);
    assert_eq!((title(&calibrate), calibrate.done()), (words::BREATH_FOUND, None));
    calibrate.press(Moment(61_000_000), key("Enter"));
    let told = calibrate.done().unwrap();
    assert_eq!((told.calibration.above, told.emulated), (vec![3_000; 3], true));
    assert_eq!(told.calibration.below, Vec::<u32>::new());
}

#[test]
fn an_effort_is_told_as_a_pressure_where_the_full_scale_is_known() {
    let range = crate::level::Range { least: -10_000, greatest: 10_000 };
    let found = Calibration { rest: 0, noise: 40, above: vec![5_000; 3], below: Vec::new(), range };
    let kept = Some(Kept { found, day: "2026-03-04".to_string() });
    let told = |axis: &str| lines(&pages(Source::read(axis).unwrap(), &["breath soft puff"], kept.clone()));
    // Half of 50 cmH2O, of which one is 98.0665 Pa by definition, is 2.45 kPa.
    let known = told("pad 1 axis LeftStickY + to 50 cmH2O");
    assert!(known.contains("Puff: 5000, 5000, 5000 (noise at rest 40); 2.5 kPa, 25 cmH2O."), "{known}");
    assert!(!told("pad 1 axis LeftStickY +").contains("kPa"));
}

#[test]
fn nothing_seen_is_refused_and_can_be_tried_again() {
    let mut calibrate = worked(0);
    assert_eq!(title(&calibrate), words::BREATH_REFUSED);
    calibrate.press(Moment(70_000_000), key("F3"));
    assert_eq!(calibrate.scene().cue.as_ref().map(|cue| cue.text.as_str()), Some(words::BREATHE));
}

#[test]
fn what_to_mind_stands_before_it() {
    let calibrate = pages(Source::Emulated, &[], None);
    let all = lines(&calibrate);
    for words in ["circuit", "seal", "mask", "swallow", "one person", "dizz", "comfortable", "Emulated"] {
        assert!(all.contains(words), "{words}");
    }
}
