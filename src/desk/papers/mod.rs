//! What is given to others: one page for carers, a report for funders. Pure HTML, everything escaped.

pub mod carer;
pub mod funder;

use crate::report::escape;

/// A page of its own: no script, nothing fetched.
fn page(title: &str, body: &str) -> String {
    let title = escape(title);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n{body}</main>\n</body>\n</html>\n"
    )
}

/// Letters of 14 points, as those who read at the bedside need them.
const STYLE: &str = "\
@page{size:A4;margin:16mm}\n\
body{margin:0;background:#fff;color:#1c1e21;font:14pt/1.4 \"Noto Sans\",\"Liberation Sans\",Arial,sans-serif}\n\
main{max-width:46rem;margin:0 auto;padding:1rem 1.5rem}\n\
h1{font-size:20pt;line-height:1.2;margin:0 0 .6rem}\n\
h2{font-size:15pt;margin:1.1rem 0 .3rem;break-after:avoid}\n\
dt{color:#595959;font-size:12pt}\n\
dd{margin:0 0 .4rem;font-weight:600}\n\
table{width:100%;border-collapse:collapse;font-size:12pt}\n\
th,td{padding:.25rem .6rem .25rem 0;text-align:left;vertical-align:top;border-bottom:1px solid #c4c1b7}\n\
.stop{border-left:6px solid #d55e00;padding-left:.8rem}\n\
.aside{color:#595959;font-size:11pt}\n";

fn section(title: &str, body: &str) -> String {
    if body.is_empty() { String::new() } else { format!("<h2>{}</h2>\n{body}", escape(title)) }
}

fn paragraph(text: &str) -> String {
    if text.trim().is_empty() { String::new() } else { format!("<p>{}</p>\n", escape(text.trim())) }
}

/// A list of names and values; those without a value are left out.
fn facts(pairs: &[(&str, &str)]) -> String {
    let rows: String = pairs
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .map(|(name, value)| format!("<dt>{}</dt><dd>{}</dd>\n", escape(name), escape(value.trim())))
        .collect();
    if rows.is_empty() { rows } else { format!("<dl>\n{rows}</dl>\n") }
}

/// A table whose first row names the columns.
fn table(titles: &[&str], rows: &[Vec<String>]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let cells = |cells: &mut dyn Iterator<Item = &str>, tag: &str| -> String {
        cells.map(|cell| format!("<{tag}>{}</{tag}>", escape(cell))).collect()
    };
    let head = cells(&mut titles.iter().copied(), "th");
    let body: String =
        rows.iter().map(|row| format!("<tr>{}</tr>\n", cells(&mut row.iter().map(String::as_str), "td"))).collect();
    format!("<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}</tbody>\n</table>\n")
}
