//! A paper as one HTML file: no script, nothing fetched, everything escaped.

use super::{Block, Paper, Section};
use crate::report::escape;

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
.stop{border-left:6px solid #d55e00;padding-left:.8rem}\n";

/// The paper as HTML.
#[must_use]
pub fn html(paper: &Paper) -> String {
    let (title, language) = (escape(&paper.title), escape(&paper.language));
    let body: String = paper.sections.iter().map(section).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n{body}</main>\n</body>\n</html>\n"
    )
}

fn section(section: &Section) -> String {
    let title = if section.title.is_empty() { String::new() } else { element("h2", &section.title) + "\n" };
    let body: String = section.blocks.iter().map(block).collect();
    if section.warns { format!("<div class=\"stop\">\n{title}{body}</div>\n") } else { title + &body }
}

fn block(block: &Block) -> String {
    match block {
        Block::Text(text) => element("p", text) + "\n",
        Block::Facts(facts) => {
            let rows: String =
                facts.iter().map(|(name, value)| element("dt", name) + &element("dd", value) + "\n").collect();
            format!("<dl>\n{rows}</dl>\n")
        }
        Block::Steps(steps) => format!("<ol>\n{}</ol>\n", items(steps)),
        Block::Points(points) => format!("<ul>\n{}</ul>\n", items(points)),
        Block::Table(titles, rows) => {
            let rows: String = rows.iter().map(|row| row_of("td", row)).collect();
            format!("<table>\n<thead>{}</thead>\n<tbody>\n{rows}</tbody>\n</table>\n", row_of("th", titles).trim_end())
        }
    }
}

fn items(items: &[String]) -> String {
    items.iter().map(|item| element("li", item) + "\n").collect()
}

fn row_of(tag: &str, cells: &[String]) -> String {
    let cells: String = cells.iter().map(|cell| element(tag, cell)).collect();
    format!("<tr>{cells}</tr>\n")
}

fn element(tag: &str, text: &str) -> String {
    format!("<{tag}>{}</{tag}>", escape(text))
}

#[cfg(test)]
mod tests {
    use super::super::{points, section as part, table, text};
    use super::*;

    #[test]
    fn nothing_that_was_typed_is_markup() {
        let typed = &"<script>x</script>".to_string();
        let blocks = [
            text(typed),
            Some(Block::Facts(vec![(typed.clone(), typed.clone())])),
            Some(Block::Steps(points(&[typed]))),
            table(&[typed], vec![vec![typed.clone()]]),
        ];
        let paper = Paper::new(typed, "en-GB", vec![part(typed, blocks), part("empty", [])]);
        let html = html(&paper);
        assert!(!html.contains("<script"), "{html}");
        assert!(!html.contains("empty") && html.matches("&lt;script").count() == 9, "{html}");
    }

    #[test]
    fn what_is_left_out_is_not_written() {
        let paper = Paper::new("t", "en-GB", vec![part("", [text("head")]), part("Costs", [text("9")])]);
        let html = html(&paper.without(&["Costs".to_string(), String::new()].into()));
        assert!(html.contains("head") && !html.contains("Costs"));
    }
}
