//! How the numbers came about, what they were taken from, and all that is needed to repeat them.

use super::text::{escape, pairs};
use super::{Told, suggestion};
use crate::log::header::{Header, Measured};

pub(super) fn text(told: &Told) -> String {
    [method(told), SOURCES.into(), "<h3>Where this report comes from</h3>\n".into(), origin(told)].concat()
}

fn method(told: &Told) -> String {
    let compared = suggestion::compared(told);
    let about = &told.header.protocol.about;
    let about = if about.is_empty() { String::new() } else { format!("What this protocol is for: {about}") };
    [METHOD.into(), paragraph(&compared), paragraph(&about)].concat()
}

fn paragraph(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!("<p>{}</p>\n", escape(text)) }
}

const METHOD: &str = "\
<p>A latency runs from the moment at which the picture with the wanted item was handed to the screen to the moment at \
which the switch closed; the delays of screen and switch are part of it. A trial is judged by the first thing that went \
wrong. Practice, helped, broken-off and excluded trials are counted and left out; presses of the assessor never count.</p>
<p>The proposed scan rate is the slowest at which the expected time of a selection is within 5 % of the least. It is \
averaged over many guesses at what the presses leave open, each weighed by one over its own least time, so that what \
counts is the share of its best time that a guess loses. The published ratio stands beside it: mean latency of right and late presses divided by \
0.65, rounded up to the step of the setting, with the 90 % t interval of the mean divided likewise; it is too fast where \
presses scatter widely (coefficient of variation above 0.27). High percentiles come from a histogram of three \
significant digits.</p>
";

const SOURCES: &str = "\
<h3>Sources</h3>
<ul>
<li>Ratio of 0.65: Simpson, Koester, LoPresti 2007, <cite>Assistive Technology</cite> 19 (doi 10.1080/10400435.2007.10131865).</li>
<li>Intervals of shares: Wilson 1927, <cite>Journal of the American Statistical Association</cite> 22.</li>
<li>Quartiles: type 7 of Hyndman and Fan 1996, <cite>The American Statistician</cite> 50.</li>
<li>Trend line: Theil 1950; Sen 1968, <cite>Journal of the American Statistical Association</cite> 63 (from memory).</li>
<li>Colours that most eyes tell apart: Okabe and Ito 2008, <cite>Color Universal Design</cite> (from memory).</li>
<li>Presses per minute: exact Poisson interval (Garwood 1936, <cite>Biometrika</cite> 28).</li>
<li>Three flashes a second: W3C, <cite>WCAG 2.2</cite>, success criterion 2.3.1.</li>
</ul>
";

fn origin(told: &Told) -> String {
    let header = told.header;
    let measured = &header.measured;
    let facts = [
        ("Program", format!("pacewright {}", header.program)),
        ("Report written by", written_by(header)),
        ("Log format", format!("{}, version {}", header.format, header.version)),
        ("Protocol", format!("{}, version {}", header.protocol.name, header.protocol.version)),
        ("Menu", header.protocol.menu.clone()),
        ("Seed of all draws", header.seed.to_string()),
        ("Began", header.began.clone()),
        ("Screen", screen(measured)),
        ("Clock and input", rulers(measured)),
    ];
    let facts = facts.iter().filter(|(_, value)| !value.is_empty());
    pairs("pairs", facts.map(|(name, value)| (name, escape(value))))
}

/// Stated only when another version than the one that ran the session writes the report.
fn written_by(header: &Header) -> String {
    let version = env!("CARGO_PKG_VERSION");
    if header.program == version { String::new() } else { format!("pacewright {version}") }
}

fn screen(measured: &Measured) -> String {
    let frame = milliseconds(measured.frame_interval_us, "a frame every");
    let lag = milliseconds(measured.frame_lag_us, "shown after");
    join(&[measured.display.clone(), frame, lag])
}

fn rulers(measured: &Measured) -> String {
    let step = if measured.clock_step_ns == 0 {
        String::new()
    } else {
        format!("clock steps of {} ns", measured.clock_step_ns)
    };
    join(&[step, milliseconds(measured.input_step_us, "switch polled every")])
}

fn milliseconds(microseconds: u64, what: &str) -> String {
    if microseconds == 0 { String::new() } else { format!("{what} {:.1} ms", microseconds as f64 / 1e3) }
}

fn join(parts: &[String]) -> String {
    let stated: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    if stated.is_empty() { "not measured".into() } else { stated.join(", ") }
}
