//! Seconds and errors of simulated selections against a setting: a picture that stands by itself.

use super::marks::{area, bar, dot, line, path, words};
use super::scale::Scale;
use super::{LEFT, RIGHT, WIDTH, axis};
use crate::analysis::words::decimals;
use crate::report::colour::COLOURS;
use crate::report::text::escape;

/// What is drawn.
pub(crate) struct Curves {
    /// What it shows.
    pub title: String,
    /// The setting that runs across.
    pub across: String,
    /// Names and places of its values, where they are no numbers.
    pub names: Option<Vec<(f64, String)>>,
    /// One line each.
    pub curves: Vec<Curve>,
}

/// A line.
pub(crate) struct Curve {
    /// What it is for; empty where there is one only.
    pub name: String,
    /// Its points, from left to right.
    pub places: Vec<Place>,
}

/// A point: low end of the interval, value, high end.
pub(crate) struct Place {
    /// Where it stands across.
    pub x: f64,
    /// Seconds of a selection; `None` where nobody got there.
    pub seconds: Option<[f64; 3]>,
    /// Errors as a share of all items taken.
    pub errors: Option<[f64; 3]>,
}

/// One of the two fields, above one another.
struct Field {
    top: f64,
    bottom: f64,
    name: &'static str,
    unit: &'static str,
    from_zero: bool,
    of: fn(&Place) -> Option<[f64; 3]>,
}

const TOP: f64 = 44.0;
const LINES: f64 = 18.0;
/// So many times the best is beyond the picture.
const FAR: f64 = 2.5;
/// Between points that stand beside one another.
const ASIDE: f64 = 14.0;
const DASHES: [&str; 6] = ["", "7 3", "2 3", "9 3 2 3", "14 4", "1 5"];

/// The SVG file.
pub(crate) fn sweep(curves: &Curves) -> String {
    let key_height = 8.0 + LINES * curves.curves.iter().filter(|curve| !curve.name.is_empty()).count() as f64;
    let top = TOP + key_height;
    let fields = [
        Field {
            top,
            bottom: top + 190.0,
            name: "seconds",
            unit: "per selection",
            from_zero: false,
            of: |place| place.seconds,
        },
        Field {
            top: top + 214.0,
            bottom: top + 304.0,
            name: "errors, %",
            unit: "of items taken",
            from_zero: true,
            of: |place| place.errors.map(|ends| ends.map(|share| 100.0 * share)),
        },
    ];
    let across = across(curves);
    let height = top + 350.0;
    let marks: String = fields.iter().map(|field| field.draw(curves, &across)).collect();
    let bottom = fields[1].bottom;
    let below = match &curves.names {
        None => axis::below(&across, bottom, &curves.across),
        Some(names) => named(&across, bottom, names, &curves.across),
    };
    let ground = bar("paper", (0.0, 0.0), (WIDTH, height));
    let title = words("strong", (8.0, 22.0), &curves.title);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" \
         role=\"img\" aria-labelledby=\"title desc\">\n<title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n\
         <style>{}</style>\n{ground}{title}{}{marks}{below}</svg>\n",
        escape(&curves.title),
        escape(&description(curves)),
        style(),
        key(curves),
    )
}

fn across(curves: &Curves) -> Scale {
    let all = || curves.curves.iter().flat_map(|curve| &curve.places).map(|place| place.x);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let room = if curves.names.is_some() { 0.5 } else { 0.03 * (high - low) };
    Scale::new((low - room, high + room), (LEFT, RIGHT))
}

/// Names in the place of numbers under an axis.
fn named(across: &Scale, y: f64, names: &[(f64, String)], name: &str) -> String {
    let mark = |(at, text): &(f64, String)| {
        let x = across.place(*at);
        line("axis", (x, y), (x, y + 4.0)) + &words("tick middle", (x, y + 16.0), text)
    };
    let marks: String = names.iter().map(mark).collect();
    line("axis", (LEFT, y), (RIGHT, y)) + &marks + &words("tick end", (RIGHT, y + 32.0), name)
}

impl Field {
    fn draw(&self, curves: &Curves, across: &Scale) -> String {
        let scale = self.scale(curves);
        let drawn: Vec<Drawn> =
            (0..).zip(&curves.curves).map(|(nth, curve)| self.curve(nth, curve, curves, across, &scale)).collect();
        let names =
            words("tick", (8.0, self.top + 10.0), self.name) + &words("tick", (8.0, self.top + 23.0), self.unit);
        let under: String = drawn.iter().map(|one| one.under.as_str()).collect();
        let over: String = drawn.iter().map(|one| one.over.as_str()).collect();
        names + &axis::across(&scale, (LEFT, RIGHT)) + &under + &over
    }

    fn scale(&self, curves: &Curves) -> Scale {
        let ends = || curves.curves.iter().flat_map(|curve| &curve.places).filter_map(self.of);
        let (low, most) =
            ends().fold((f64::INFINITY, 0.0_f64), |(low, most), ends| (low.min(ends[0]), most.max(ends[2])));
        let least = ends().map(|ends| ends[1]).fold(f64::INFINITY, f64::min);
        match self.from_zero {
            true => Scale::new((0.0, 1.03 * most), (self.bottom, self.top)),
            // What lies far above the best is far too bad to be looked at closely.
            false => Scale::new((0.9 * low, (1.03 * most).min(FAR * least)), (self.bottom, self.top)),
        }
    }

    /// Names have no order: their points stand beside one another and are not joined.
    fn curve(&self, nth: usize, curve: &Curve, curves: &Curves, across: &Scale, scale: &Scale) -> Drawn {
        let joined = curves.names.is_none();
        let aside = if joined { 0.0 } else { ASIDE * (nth as f64 - (curves.curves.len() as f64 - 1.0) / 2.0) };
        let timed = curve.places.iter().filter_map(|place| Some((across.place(place.x) + aside, (self.of)(place)?)));
        let (inside, beyond): (Vec<_>, Vec<_>) = timed.partition(|(_, ends)| scale.holds(ends[1]));
        let along = |end: usize| inside.iter().map(move |(x, ends)| (*x, scale.place(ends[end])));
        let dots: String = along(1).map(|at| dot(mark(nth), at, 3.0)).collect();
        let beyond = beyond
            .iter()
            .map(|(x, ends)| words("tick middle", (*x, self.top - 4.0), &format!("↑ {}", decimals(ends[1], 0))));
        let beyond: String = beyond.collect();
        if !joined {
            let whiskers: String = along(0).zip(along(2)).map(|(low, high)| line("curve", low, high)).collect();
            return Drawn { under: whiskers, over: dots + &beyond };
        }
        let band: Vec<(f64, f64)> = along(2).chain(along(0).rev()).collect();
        let middle: Vec<(f64, f64)> = along(1).collect();
        Drawn { under: area("band", &band), over: path(&format!("curve line-{nth}"), &middle) + &dots + &beyond }
    }
}

/// What lies under all curves, and one curve.
struct Drawn {
    under: String,
    over: String,
}

fn mark(nth: usize) -> &'static str {
    if nth.is_multiple_of(2) { "dot" } else { "open" }
}

fn key(curves: &Curves) -> String {
    let named = curves.curves.iter().enumerate().filter(|(_, curve)| !curve.name.is_empty());
    let lines = named.map(|(nth, curve)| {
        let y = TOP + LINES * nth as f64;
        let sample = line(&format!("curve line-{nth}"), (8.0, y - 4.0), (48.0, y - 4.0));
        let sample = if curves.names.is_none() { sample } else { String::new() };
        sample + &dot(mark(nth), (28.0, y - 4.0), 3.0) + &words("label", (56.0, y), &curve.name)
    });
    lines.collect()
}

fn description(curves: &Curves) -> String {
    let told = curves.curves.iter().map(|curve| {
        let timed = curve.places.iter().filter_map(|place| Some((place.x, place.seconds?[1])));
        let name = if curve.name.is_empty() { "The selection" } else { &curve.name };
        match timed.min_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((x, seconds)) => {
                let (seconds, x) = (axis::number(seconds), axis::number(x));
                format!("{name} takes at least {seconds} s, at {} {x}.", curves.across)
            }
            None => format!("{name} never comes to its end."),
        }
    });
    told.collect::<Vec<_>>().join(" ")
}

/// The rules of the report's style for pictures, with its light colours, which every program can show.
fn style() -> String {
    let rules = include_str!("../style.css").lines().filter(|rule| rule.starts_with("svg "));
    let own = DASHES.iter().enumerate().map(|(nth, dash)| format!("svg .line-{nth}{{stroke-dasharray:{dash}}}\n"));
    let rest = "svg{font-family:\"Liberation Sans\",Arial,sans-serif}\nsvg .paper{fill:var(--paper)}\n".to_string();
    let rules: String = rules.map(|rule| format!("{rule}\n")).chain(own.skip(1)).chain([rest]).collect();
    COLOURS.iter().fold(rules, |rules, (name, light, _)| rules.replace(&format!("var(--{name})"), light))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(names: Option<Vec<(f64, String)>>) -> String {
        let place = |x: f64, seconds: f64| Place {
            x,
            seconds: Some([seconds - 0.1, seconds, seconds + 0.1]),
            errors: Some([0.01, 0.02, 0.03]),
        };
        let nobody = Place { x: 2.0, seconds: None, errors: None };
        let curve = |name: &str| Curve { name: name.into(), places: vec![place(0.0, 6.0), place(1.0, 5.0)] };
        let mut curves = vec![curve("pattern <linear>"), curve("pattern row-column")];
        curves[0].places.push(nobody);
        sweep(&Curves { title: "T & U".into(), across: "scan rate".into(), names, curves })
    }

    #[test]
    fn it_stands_by_itself_and_is_well_formed_with_hostile_names() {
        let names = Some(vec![(0.0, "linear".into()), (1.0, "row-column".into())]);
        for svg in [drawn(None), drawn(names)] {
            assert!(svg.starts_with("<svg xmlns=") && svg.ends_with("</svg>\n"));
            assert!(!svg.contains("var(--") && !svg.contains("NaN") && !svg.contains("inf"));
            assert!(svg.contains("pattern &lt;linear&gt;") && svg.contains("T &amp; U"));
            assert!(svg.contains("takes at least 5 s, at scan rate 1."));
        }
    }
}
