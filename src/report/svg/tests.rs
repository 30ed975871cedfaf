//! The plots of sessions of many kinds: no words overlap, none leave the picture.

use super::{PLOTS, WIDTH};
use crate::report::sample::{empty, many};

/// Words in a plot with the box that they fill, as wide as the letters of the usual fonts.
struct Words {
    text: String,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    /// They have a ground of their own, so that lines end beside them.
    clear: bool,
}

/// Mean width of a letter as a part of the size of type; Liberation Sans has 0.50 on English text.
const LETTER: f64 = 0.53;

fn all_words(marks: &str) -> Vec<Words> {
    marks.split("<text ").skip(1).map(one).collect()
}

fn one(tag: &str) -> Words {
    let (attributes, rest) = tag.split_once('>').unwrap();
    let attribute = |name: &str| {
        let opening = format!("{name}=\"");
        let value = attributes.split(&opening).nth(1).unwrap();
        value.split('"').next().unwrap().to_string()
    };
    let (class, x, y) = (attribute("class"), attribute(" x"), attribute(" y"));
    let text = rest.split("</text>").next().unwrap().replace("&#39;", "'");
    let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
    let size = if class.contains("tick") { 11.0 } else { 12.0 };
    let width = text.chars().count() as f64 * LETTER * size;
    let left = match () {
        () if class.contains("middle") => x - width / 2.0,
        () if class.contains("end") => x - width,
        () => x,
    };
    let clear = class.contains("clear");
    Words { text, clear, left, right: left + width, top: y - 0.75 * size, bottom: y + 0.2 * size }
}

fn overlap(one: &Words, other: &Words) -> bool {
    one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom
}

#[test]
fn words_neither_overlap_nor_leave_the_picture() {
    for (name, sample) in many() {
        let drawn = sample.drawn();
        for (plot, drawing) in PLOTS.iter().filter_map(|plot| Some((plot.name, (plot.draw)(&drawn)?))) {
            let words = all_words(&drawing.marks);
            for (nth, one) in words.iter().enumerate() {
                let inside =
                    one.left >= 0.0 && one.right <= WIDTH + 1.0 && one.top >= 0.0 && one.bottom <= drawing.height;
                assert!(inside, "{name}, {plot}: {:?} at {}, {}", one.text, one.left, one.top);
                for other in &words[nth + 1..] {
                    assert!(!overlap(one, other), "{name}, {plot}: {:?} and {:?}", one.text, other.text);
                }
            }
        }
    }
}

/// Where the upright lines stand and how high they reach.
fn uprights(marks: &str) -> Vec<[f64; 3]> {
    let of = |class: &str| {
        let opening = format!("<path class=\"{class}\" d=\"M");
        marks.split(&opening).skip(1).map(upright).collect::<Vec<_>>()
    };
    [of("advised"), of("in-force")].concat()
}

fn upright(path: &str) -> [f64; 3] {
    let numbers = path.split('"').next().unwrap().split(['L', ' ']).map(|number| number.parse().unwrap());
    let [x, top, _, bottom] = numbers.collect::<Vec<f64>>()[..] else { panic!("{path}") };
    [x, top, bottom]
}

#[test]
fn no_upright_line_runs_through_words() {
    let mut seen = 0;
    for (name, sample) in many() {
        let drawn = sample.drawn();
        for drawing in PLOTS.iter().filter_map(|plot| (plot.draw)(&drawn)) {
            for [x, top, bottom] in uprights(&drawing.marks) {
                seen += 1;
                let hit = |words: &Words| words.left < x && x < words.right && words.top < bottom && top < words.bottom;
                let through = all_words(&drawing.marks).into_iter().find(|words| !words.clear && hit(words));
                assert!(through.is_none(), "{name}: {}", through.unwrap().text);
            }
        }
    }
    assert!(seen > 0);
}

#[test]
fn a_plot_without_data_is_a_sentence() {
    let html = super::all(&empty().drawn());
    assert_eq!((html.matches("<li>").count(), html.matches("<figure>").count()), (PLOTS.len(), 0));
}
