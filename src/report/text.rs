//! Text that is safe inside HTML, tables, and moments as people read them.

use std::fmt::{Display, Write as _};

use crate::analysis::words::decimals;

/// `text` as HTML shows it letter by letter: nothing in it is markup, in an element or in a quoted
/// attribute. Control characters, and those that turn the direction of writing, become U+FFFD.
pub(crate) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\t' => safe.push(' '),
            _ if letter.is_control() || turns(letter) => safe.push('\u{fffd}'),
            _ => safe.push(letter),
        }
    }
    safe
}

/// The embedding, override and isolate characters of the Unicode bidirectional algorithm (UAX 9).
fn turns(letter: char) -> bool {
    matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Text in which a number stays with the word after it: "1.05 s" is never torn apart at a line's end.
pub(super) fn glued(text: &str) -> String {
    let mut after_digit = false;
    let keep = |letter: char| {
        let glue = after_digit && letter == ' ';
        after_digit = letter.is_ascii_digit();
        if glue { '\u{a0}' } else { letter }
    };
    text.chars().map(keep).collect()
}

/// A value as it is shown, or an en dash.
pub(super) fn or_dash(value: Option<f64>, show: fn(f64) -> String) -> String {
    value.map_or_else(|| "–".into(), show)
}

/// "0.62": as fine as a scan rate can be set.
pub(super) fn two(value: f64) -> String {
    decimals(value, 2)
}

/// "8:05", minutes and seconds since the session began.
pub(super) fn clock(value: f64) -> String {
    let whole = value.max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// "a, b and c".
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// "25 November 2026, 09:30" from an RFC 3339 stamp; any other text stays as it is.
pub(super) fn date(stamp: &str) -> String {
    let civil = stamp.get(..19).and_then(|local| local.parse::<jiff::civil::DateTime>().ok());
    civil.map_or_else(|| stamp.into(), |moment| moment.strftime("%-d %B %Y, %H:%M").to_string())
}

/// Names with their values, as one list; both are safe HTML already.
pub(super) fn pairs<N: Display>(class: &str, pairs: impl IntoIterator<Item = (N, String)>) -> String {
    let items = pairs.into_iter().map(|(name, value)| format!("<div><dt>{name}</dt><dd>{value}</dd></div>\n"));
    format!("<dl class=\"{class}\">\n{}</dl>\n", items.collect::<String>())
}

/// Lines of a table's body: each row's first cell heads it. Cells are safe HTML already.
pub(super) fn rows(lines: &[Vec<String>]) -> String {
    let mut body = String::new();
    for line in lines {
        let (head, cells) = line.split_first().map_or(("", &[][..]), |(head, cells)| (head.as_str(), cells));
        let _ = write!(body, "<tr><th scope=\"row\">{head}</th>");
        body.extend(cells.iter().map(|cell| format!("<td>{}</td>", glued(cell))));
        body.push_str("</tr>\n");
    }
    body
}

/// A table with a caption, column heads and lines; all parts are safe HTML already.
pub(super) fn table(class: &str, caption: &str, heads: &[&str], lines: &[Vec<String>]) -> String {
    let heads: String = heads.iter().map(|head| format!("<th scope=\"col\">{head}</th>")).collect();
    format!(
        "<table class=\"{class}\">\n<caption>{caption}</caption>\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{}</tbody>\n</table>\n",
        rows(lines)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_becomes_text() {
        assert_eq!(
            escape("<b a=\"1\" c='2'>&\n\0\u{202e}é🙂"),
            "&lt;b a=&quot;1&quot; c=&#39;2&#39;&gt;&amp; \u{fffd}\u{fffd}é🙂"
        );
    }

    #[test]
    fn lists_and_moments_read_as_people_write_them() {
        assert_eq!(listed(&["a".into(), "b".into(), "c".into()]), "a, b and c");
        assert_eq!((clock(485.9), clock(-1.0)), ("8:05".into(), "0:00".into()));
    }

    #[test]
    fn a_stamp_reads_as_a_date_and_anything_else_as_itself() {
        assert_eq!(date("2026-01-02T03:04:05+01:00"), "2 January 2026, 03:04");
        for odd in ["", "yesterday", "2026-99-02T03:04:05Z", "ééééééééééééééééééé"] {
            assert_eq!(date(odd), odd);
        }
    }
}
