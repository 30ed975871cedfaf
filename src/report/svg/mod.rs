//! The plots. Each is a file of its own and stands in [`PLOTS`].

mod latencies;
mod outcomes;
mod scale;
mod shape;
mod timeline;

use super::Material;
use super::markup::{Html, element, plain, section};

/// One plot.
struct Plot {
    /// Its heading.
    title: &'static str,
    /// How to read it.
    caption: &'static str,
    /// Draws it; `None` when there is nothing to show.
    draw: fn(&Material) -> Option<Html>,
}

/// All plots, in the order of the report.
const PLOTS: &[Plot] = &[latencies::PLOT, outcomes::PLOT, timeline::PLOT];

/// Width of every plot in its own units; the page scales it.
const WIDTH: f64 = 720.0;
/// Where the plotting area begins: left of it stand the names of the rows.
const LEFT: f64 = 130.0;
/// Where it ends.
const RIGHT: f64 = 700.0;

/// All plots that have something to show.
pub(super) fn figures(material: &Material) -> Html {
    let figures: Vec<Html> = PLOTS.iter().filter_map(|plot| figure(plot, material)).collect();
    if figures.is_empty() {
        return Html::default();
    }
    section("Pictures", &figures)
}

fn figure(plot: &Plot, material: &Material) -> Option<Html> {
    let caption = element("figcaption", &[], &[plain("strong", plot.title), plain("span", plot.caption)]);
    Some(element("figure", &[], &[caption, (plot.draw)(material)?]))
}
