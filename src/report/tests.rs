//! The report as a whole.

use super::sample::{Sample, empty, full, many};
use super::svg;
use super::text::{self, glued};
use crate::advice::recommendation::Advice;
use crate::advice::text::number;
use crate::analysis::findings::Caution;
use crate::analysis::words::{capital, seconds};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::settings::{Id, REGISTRY};
use crate::time::Moment;

/// The opening tags of a page, in order: name and attributes.
fn tags(html: &str) -> Vec<(String, String)> {
    let opened = html.split('<').skip(1).filter(|tag| tag.starts_with(|letter: char| letter.is_ascii_alphabetic()));
    let parts = opened.filter_map(|tag| tag.split_once('>').map(|(inside, _)| inside));
    parts
        .map(|inside| inside.split_once(' ').unwrap_or((inside, "")))
        .map(|(name, rest)| (name.into(), rest.into()))
        .collect()
}

fn count(html: &str, name: &str) -> usize {
    tags(html).iter().filter(|(tag, _)| tag == name).count()
}

#[test]
fn the_file_stands_alone_and_runs_nothing() {
    let html = full().html();
    for (name, attributes) in tags(&html) {
        assert!(
            !["script", "link", "img", "iframe", "object", "embed", "base", "form", "use", "image"]
                .contains(&name.as_str()),
            "{name}"
        );
        assert!(
            !attributes.contains("href") && !attributes.contains("src=") && !attributes.contains(" on"),
            "{name} {attributes}"
        );
    }
    assert!(!html.contains("://") && !html.contains("@import") && !html.contains("@font-face"));
    // The only addresses are the patterns of the file itself.
    assert!(html.matches("url(").count() > 0 && html.matches("url(").count() == html.matches("url(#fill-").count());
}

#[test]
fn the_same_session_gives_the_same_bytes() {
    assert_eq!(full().html(), full().html());
}

#[test]
fn every_shipped_protocol_gives_a_report() {
    for (name, _) in crate::session::shipped::PROTOCOLS {
        let sample = super::sample::of_protocol(name);
        let (html, blocks) = (sample.html(), sample.findings.blocks.len());
        let line = |block: usize| format!("<tr><th scope=\"row\">{block} ");
        assert!(blocks > 0 && (1..=blocks).all(|block| html.contains(&line(block))), "{name}");
    }
}

#[test]
fn invented_data_are_called_so_and_others_are_not() {
    let words = "Invented data: a virtual client pressed.";
    assert!(full().html().contains(words));
    assert!(!empty().html().contains(words));
}

/// Every text that a file or a person can state, set to markup.
fn hostile() -> Sample {
    const BAD: &str = "</title></style></svg>\"'><script>alert(1)</script>&\u{0}\u{202e}";
    let mut sample = full();
    let bad = || BAD.to_string();
    let header = &mut sample.header;
    (header.client, header.program, header.began, header.format) = (bad(), bad(), bad(), bad());
    (header.protocol.name, header.protocol.about, header.protocol.menu) = (bad(), bad(), bad());
    header.measured.display = bad();
    let setup = &mut header.setup;
    for text in
        [&mut setup.site, &mut setup.side, &mut setup.switch, &mut setup.mounting, &mut setup.position, &mut setup.look]
    {
        *text = bad();
    }
    for text in [
        &mut setup.cue_kind,
        &mut setup.feedback,
        &mut setup.breathing,
        &mut setup.since_rest,
        &mut setup.since_medication,
        &mut setup.sound,
        &mut setup.level,
    ] {
        *text = bad();
    }
    (setup.assessor, setup.language, setup.devices) = (bad(), bad(), vec![bad()]);
    sample.findings.rests = vec![(bad(), 1)];
    sample.findings.pauses = vec![(bad(), 1)];
    for block in &mut sample.findings.blocks {
        block.ratings = vec![(bad(), 1)];
        block.measures.iter_mut().flat_map(|measures| &mut measures.outcomes).for_each(|share| share.outcome = bad());
    }
    sample.findings.total.outcomes.iter_mut().skip(1).for_each(|share| share.outcome = bad());
    for record in &mut sample.records {
        if let What::Event(crate::session::event::Event::Trial(trial)) = &mut record.what {
            trial.target = bad();
        }
    }
    let said = [Input::Note { text: bad() }, Input::Set { name: bad(), value: serde_json::json!({BAD: BAD}) }];
    sample.records.extend(said.map(|said| Record { at: Moment(481_000_000), what: What::Input(said) }));
    sample.records.push(Record {
        at: Moment(481_000_000),
        what: What::Event(crate::session::event::Event::Excluded { block: 0, trial: 1, reason: bad() }),
    });
    sample
}

#[test]
fn markup_in_any_text_stays_text() {
    let (clean, dirty) = (full().html(), hostile().html());
    assert!(dirty.matches("&lt;script&gt;alert(1)&lt;/script&gt;").count() > 40);
    assert_eq!(
        (count(&dirty, "script"), count(&dirty, "title"), count(&dirty, "style")),
        (0, count(&clean, "title"), 1)
    );
    assert!(!dirty.contains('\0') && !dirty.contains('\u{202e}'));
    for (name, attributes) in tags(&dirty) {
        assert!(!attributes.contains("alert"), "{name} {attributes}");
    }
}

/// Every element that is opened is closed, in order.
#[test]
fn elements_are_nested_properly() {
    for html in [full().html(), empty().html(), hostile().html()] {
        let mut open: Vec<&str> = Vec::new();
        for tag in html.split('<').skip(2).filter_map(|tag| tag.split_once('>').map(|(inside, _)| inside)) {
            let name = tag.split([' ', '/']).find(|part| !part.is_empty()).unwrap();
            match tag {
                _ if tag.starts_with('/') => assert_eq!(open.pop(), Some(name)),
                _ if tag.ends_with('/') || name == "meta" => {}
                _ => open.push(name),
            }
        }
        assert!(open.is_empty(), "{open:?}");
    }
}

#[test]
fn headings_come_in_order_and_tables_name_their_heads() {
    let html = full().html();
    let levels: Vec<u8> = tags(&html).iter().filter_map(|(name, _)| name.strip_prefix('h')?.parse().ok()).collect();
    assert_eq!((levels[0], levels.iter().filter(|level| **level == 1).count()), (1, 1));
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
    assert!(tags(&html).iter().filter(|(name, _)| name == "th").all(|(_, rest)| rest.starts_with("scope=")));
    assert_eq!(count(&html, "table"), count(&html, "caption"));
    assert!(html.contains("<html lang=\"en-GB\">"));
}

#[test]
fn each_picture_has_a_title_and_says_in_words_what_it_shows() {
    let sample = full();
    let (html, pictures) = (sample.html(), &sample.pictures);
    let figures = html.matches("<figure>").count();
    assert_eq!((html.matches("role=\"img\"").count(), count(&html, "desc")), (figures, figures));
    let shown = pictures.latencies.as_ref().unwrap();
    let right: u32 = shown.bins.iter().map(|bin| bin.right).sum();
    let presses = &pictures.trend.as_ref().unwrap().presses;
    let trials = sample.findings.blocks[3].measures.as_ref().unwrap().trials;
    let wanted = [
        format!("Latencies of {right} right, "),
        format!("; {} without a press.", shown.omitted),
        format!("comfortable, advised: {}", seconds(sample.list()[0].value_of(Id::ScanInterval).unwrap())),
        format!("Timed press: {} presses in order", presses.len()),
        format!("Block 4 Timed press, {trials} trials: "),
        "2 assessor&#39;s presses".into(),
    ];
    for words in &wanted {
        let described = html
            .split("<desc")
            .skip(1)
            .any(|rest| rest.split_once("</desc>").is_some_and(|(text, _)| text.contains(words)));
        assert!(described, "{words}");
    }
    let late = presses.iter().filter(|press| press.late).count();
    let key = usize::from(presses.len() > late);
    assert_eq!(html.matches("<circle class=\"dot\"").count(), presses.len() - late + key);
}

#[test]
fn the_first_page_and_the_plots_say_what_the_rules_say() {
    for (name, sample) in many() {
        let (html, list) = (sample.html(), sample.list());
        let first_page = html.split("<div class=\"details\">").next().unwrap();
        for one in list {
            let Advice::Set { value, unit, interval, .. } = &one.advice else { continue };
            let line = first_page.lines().find(|line| line.contains(&format!(">{}<", capital(one.rule)))).unwrap();
            let ends = interval.iter().flatten().map(|end| text::two(*end)).collect::<Vec<_>>();
            assert!(line.contains(&format!("<strong>{}</strong>", glued(&number(*value, unit)))), "{name}: {line}");
            assert!(*unit != "s" || ends.iter().all(|end| line.contains(end)), "{name}: {line}");
        }
        let advised = list.iter().find_map(|one| one.value_of(Id::ScanInterval));
        assert_eq!(sample.pictures.time_curve.is_some(), advised.is_some(), "{name}");
        let told = advised.map(|value| glued(&format!("A scan rate of {}", seconds(value))));
        assert!(told.is_none_or(|told| html.contains(&told)), "{name}");
    }
}

#[test]
fn ids_are_unique_and_all_labels_point_at_one() {
    let html = full().html();
    let values = |attribute: &str| -> Vec<String> {
        let opening = format!(" {attribute}=\"");
        html.split(&opening).skip(1).filter_map(|rest| rest.split_once('"').map(|(value, _)| value.into())).collect()
    };
    let mut ids = values("id");
    let number = ids.len();
    for label in values("aria-labelledby").iter().flat_map(|labels| labels.split(' ')) {
        assert!(ids.iter().any(|id| id == label), "{label}");
    }
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), number);
}

#[test]
fn an_empty_session_says_so_and_shows_no_numbers_it_does_not_have() {
    let html = empty().html();
    assert!(html.contains("No trial could be scored in this session"));
    assert!(html.contains("There was no correct press to time."));
    assert_eq!((html.matches("there is no picture.").count(), count(&html, "svg")), (6, 0));
    assert!(!html.split(|letter: char| !letter.is_alphanumeric()).any(|word| ["NaN", "inf"].contains(&word)));
}

#[test]
fn every_caution_comes_with_its_remedy_and_invention_is_told_once() {
    let mut sample = empty();
    sample.cautions.clear();
    assert!(sample.html().contains("Nothing in these data calls for special care."));
    sample.cautions = vec![Caution::Photosensitivity, Caution::Slowing { block: 2, ratio: 1.4 }, Caution::Invented];
    let html = sample.html();
    let watch = html.split("What to watch").nth(1).unwrap().split("</section>").next().unwrap();
    assert_eq!(watch.matches("<li>").count(), 2);
    for caution in &sample.cautions[..2] {
        let told = glued(&format!("<strong>{caution}</strong> {}", caution.remedy()));
        assert!(watch.contains(&told), "{watch}");
    }
}

#[test]
fn cautions_of_the_advice_stand_on_the_first_page() {
    let told = many().iter().map(|(name, sample)| {
        let html = sample.html();
        let watch = html.split("What to watch").nth(1).unwrap().split("</section>").next().unwrap().to_string();
        let all = sample.list().iter().flat_map(|one| &one.cautions);
        all.map(|caution| assert!(watch.contains(&glued(&text::escape(&caution.remedy))), "{name}: {watch}")).count()
    });
    assert!(told.sum::<usize>() > 0);
}

#[test]
fn every_safety_rule_is_there() {
    let html = full().html();
    for words in [
        "autonomic dysreflexia",
        "at or above T6",
        "Skin and position",
        "every 5 to 10 minutes",
        "infection control",
        "0.334 s",
        "real doors, beds or alarms",
        "Not certified as a medical device. It measures and informs; a licensed clinician decides; local policy holds.",
    ] {
        assert!(html.contains(words), "{words}");
    }
}

#[test]
fn changed_settings_stand_in_the_table_and_others_in_the_list() {
    let html = super::settings_table::table(&full().header.settings);
    let line = |label: &str| html.lines().find(|line| line.contains(label)).unwrap().to_string();
    let changed = line("Scan rate, seconds per item");
    assert!(changed.contains("<strong class=\"changed\">1.5\u{a0}s</strong></td><td>2\u{a0}s</td>"), "{changed}");
    assert_eq!((html.matches("class=\"changed\"").count(), html.matches("<dt>").count()), (1, REGISTRY.len() - 1));
}

/// The pictures use no colour but the named ones, so that their contrast is the tested one.
#[test]
fn colours_stand_in_one_place() {
    let style = include_str!("style.css");
    let used = style.split("var(--").skip(1).filter_map(|rest| rest.split_once(')').map(|(name, _)| name));
    for name in used {
        assert!(super::colour::COLOURS.iter().any(|(known, ..)| *known == name), "{name}");
    }
    assert!(!style.contains('#') && !style.contains("rgb"));
    let sample = full();
    let plots = svg::all(&sample.drawn());
    assert!(!plots.replace("url(#", "").replace("&#39;", "").contains('#'));
}

/// Where `PACEWRIGHT_REPORT_DIR` names a folder, the sample reports are left there to be looked at.
#[test]
fn reports_can_be_looked_at() {
    let Some(folder) = std::env::var_os("PACEWRIGHT_REPORT_DIR") else { return };
    let hostile = ("hostile", hostile());
    for (name, sample) in many().iter().chain([&hostile]) {
        std::fs::write(std::path::Path::new(&folder).join(format!("{name}.html")), sample.html()).unwrap();
    }
}
