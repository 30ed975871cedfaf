//! How the numbers came about, and what they rest on.

use super::Material;
use super::markup::{Html, facts, list, plain, section};

const METHOD: &[&str] = &[
    "Time runs from the moment the picture with the lit tile was handed to the screen to the moment the switch closed. \
     The delay of screen and switch themselves is part of it.",
    "Practice, helped, broken-off and excluded trials are counted and left out. Presses by the assessor never count.",
    "A trial is judged by the first thing that went wrong: early (the tile before), late (the tile after), omission \
     (no press in all passes), extra (nothing was there to take), wrong (another tile); otherwise it is a hit.",
    "The scan rate: mean latency of right and late presses divided by 0.65, rounded up to the next step. Two groups \
     found this ratio independently (Simpson, Koester and LoPresti, RESNA 2006; Assistive Technology 2007, \
     doi 10.1080/10400435.2007.10131865). It equals the mean plus two SD when the SD is 27 % of the mean, and is too \
     fast above that. Its range is the 90 % t interval of the mean, divided by 0.65.",
    "Shares: Wilson's score interval. Unasked presses: the exact Poisson interval (Garwood 1936); with none seen, the \
     one-sided limit of 3 over the minutes watched. Quartiles: linear interpolation (Hyndman and Fan, type 7). High \
     percentiles: a histogram of three significant digits.",
    "A choice: all time from the start of the scan to the choice, failures included, over the choices that were right.",
];

pub(super) fn method(material: &Material) -> Html {
    let header = material.header;
    let measured = &header.measured;
    let rows = [
        ("Program", format!("pacewright {}", header.program)),
        ("Log", format!("{}, version {}", header.format, header.version)),
        ("Protocol", format!("{}, version {}", header.protocol.name, header.protocol.version)),
        ("Seed", header.seed.to_string()),
        ("Data", if header.invented { "invented: a virtual client pressed".into() } else { "recorded".into() }),
        ("Least step of the clock", measure(measured.clock_step_ns, "ns")),
        ("Time between frames", measure(measured.frame_interval_us, "µs")),
        ("Delay of a frame", measure(measured.frame_lag_us, "µs")),
        ("Polling step of the input", measure(measured.input_step_us, "µs")),
        ("Display", if measured.display.is_empty() { "not told".into() } else { measured.display.clone() }),
    ];
    let methods = list("plain", METHOD.iter().map(|text| Html::text(text)));
    let note = plain("p", "Every number can be computed again from the log, which replays to the same session.");
    section("Method and sources", &[methods, plain("h3", "Where it comes from"), note, facts(&rows)])
}

fn measure(value: u64, unit: &str) -> String {
    if value == 0 { "not measured".into() } else { format!("{value} {unit}") }
}
