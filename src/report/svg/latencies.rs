//! Every right press as a dot, block by block, with the suggested scan rate below.

use super::scale::Scale;
use super::shape::{DEEP, INK, WARM, coloured, dot, frame, line, rectangle, text};
use super::{LEFT, Plot};
use crate::analysis::findings::{BlockFindings, Latency, Point, Suggestion};
use crate::analysis::words::{capital, count, kind, seconds};
use crate::report::Material;
use crate::report::markup::Html;

pub(super) const PLOT: Plot = Plot {
    title: "How long each press took",
    caption: "Each dot is one right press, counted from the moment its tile lit (open dot: something came between). \
              The bar spans the middle half, its mark is the median. The diamond is the suggested scan rate with its \
              90 % range.",
    draw,
};

const ROW: f64 = 74.0;
const TOP: f64 = 8.0;
const RADIUS: f64 = 3.4;

type Row<'a> = (&'a BlockFindings, &'a [Point], &'a Latency);

fn draw(material: &Material) -> Option<Html> {
    let rows: Vec<Row> = material.findings.blocks.iter().filter_map(row).collect();
    if rows.is_empty() {
        return None;
    }
    let suggestion = material.findings.suggestion.as_ref();
    let scale = scale(&rows, suggestion);
    let bottom = TOP + ROW * rows.len() as f64 + if suggestion.is_some() { 44.0 } else { 0.0 };
    let mut shapes = vec![scale.axis(TOP, bottom, "seconds from lit to pressed")];
    for (index, row) in rows.iter().enumerate() {
        shapes.extend(block(*row, scale, TOP + ROW * (index + 1) as f64));
    }
    shapes.extend(suggestion.into_iter().flat_map(|found| suggested(found, scale, bottom - 20.0)));
    Some(frame(bottom + 42.0, PLOT.title, &description(&rows), shapes))
}

fn row(block: &BlockFindings) -> Option<Row<'_>> {
    let measures = block.measures.as_ref()?;
    Some((block, &measures.series, measures.latency.as_ref()?))
}

fn scale(rows: &[Row], suggestion: Option<&Suggestion>) -> Scale {
    let least = rows.iter().flat_map(|row| row.1).map(|point| point.latency_s).fold(0.0, f64::min);
    let greatest = rows.iter().map(|row| row.2.max_s).fold(0.0, f64::max);
    let end = suggestion.map_or(0.0, |found| found.high_s.unwrap_or(0.0).max(found.scan_interval_s));
    Scale::new(least, greatest.max(end) * 1.08)
}

fn block((block, series, latency): Row, scale: Scale, bottom: f64) -> Vec<Html> {
    let mut shapes = vec![
        line("#aab4bc", 1.0, (LEFT, bottom - 6.0), (super::RIGHT, bottom - 6.0)),
        text("end", (LEFT - 12.0, bottom - 32.0), &capital(kind(block.kind))),
        coloured("#51606d", "end", (LEFT - 12.0, bottom - 15.0), &count(latency.count, "press", "presses")),
    ];
    shapes.extend(dots(series, scale, bottom - 22.0));
    let (low, high) = (scale.at(latency.lower_quartile_s), scale.at(latency.upper_quartile_s));
    let median = scale.at(latency.median_s);
    shapes.push(rectangle("#9cc3ca", DEEP, (low, bottom - 15.0), (high - low, 7.0)));
    shapes.push(line(INK, 2.5, (median, bottom - 18.0), (median, bottom - 5.0)));
    shapes
}

/// Dots of one place stand on each other; a high pile is pressed together so that it fits.
fn dots(series: &[Point], scale: Scale, floor: f64) -> Vec<Html> {
    let place = |point: &Point| libm::round(scale.at(point.latency_s) / (2.0 * RADIUS)) as i64;
    let mut places: Vec<(i64, bool)> = series.iter().map(|point| (place(point), point.interrupted)).collect();
    places.sort_unstable();
    let piles: Vec<&[(i64, bool)]> = places.chunk_by(|a, b| a.0 == b.0).collect();
    let highest = piles.iter().map(|pile| pile.len()).max().unwrap_or(1) as f64;
    let step = (2.0 * RADIUS).min((ROW - 32.0) / highest);
    let mut shapes = Vec::new();
    for pile in piles {
        for (level, (place, interrupted)) in pile.iter().enumerate() {
            let centre = (*place as f64 * 2.0 * RADIUS, floor - step * level as f64);
            shapes.push(dot(if *interrupted { "#ffffff" } else { DEEP }, DEEP, centre, RADIUS - 0.4));
        }
    }
    shapes
}

fn suggested(found: &Suggestion, scale: Scale, y: f64) -> Vec<Html> {
    let x = scale.at(found.scan_interval_s);
    let mut shapes = vec![coloured(WARM, "end", (LEFT - 12.0, y + 4.0), "Scan rate")];
    if let (Some(low), Some(high)) = (found.low_s, found.high_s) {
        let (low, high) = (scale.at(low), scale.at(high));
        shapes.push(line(WARM, 3.0, (low, y), (high, y)));
        shapes.extend([low, high].map(|end| line(WARM, 3.0, (end, y - 6.0), (end, y + 6.0))));
    }
    shapes.push(diamond((x, y)));
    let label = format!("{} per item", seconds(found.scan_interval_s));
    let right = scale.at(found.high_s.unwrap_or(0.0)).max(x) + 14.0;
    let left = scale.at(found.low_s.unwrap_or(found.scan_interval_s)).min(x) - 14.0;
    let (anchor, at) = if right > super::RIGHT - 110.0 { ("end", left) } else { ("start", right) };
    shapes.push(coloured(WARM, anchor, (at, y + 4.0), &label));
    shapes
}

fn diamond((x, y): (f64, f64)) -> Html {
    use super::shape::unit;
    let corner = |dx: f64, dy: f64| format!("{},{}", unit(x + dx), unit(y + dy));
    let points = [corner(-8.0, 0.0), corner(0.0, -8.0), corner(8.0, 0.0), corner(0.0, 8.0)].join(" ");
    crate::report::markup::element("polygon", &[("points", &points), ("fill", WARM), ("stroke", "#ffffff")], &[])
}

fn description(rows: &[Row]) -> String {
    let rows: Vec<String> = rows
        .iter()
        .map(|(block, _, latency)| {
            format!("{}: median {} of {}", kind(block.kind), seconds(latency.median_s), latency.count)
        })
        .collect();
    format!("{}.", rows.join("; "))
}
