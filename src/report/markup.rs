//! HTML and SVG that cannot be broken by the text in it.

use std::fmt::Write;

/// A piece of finished markup. Text enters only through [`Html::text`], which escapes it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Html(String);

impl Html {
    /// Text, whatever it holds. Control characters become spaces.
    pub fn text(text: &str) -> Html {
        Html(escaped(text))
    }

    /// The markup.
    pub fn into_string(self) -> String {
        self.0
    }
}

impl FromIterator<Html> for Html {
    fn from_iter<I: IntoIterator<Item = Html>>(parts: I) -> Html {
        Html(parts.into_iter().map(|part| part.0).collect())
    }
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            control if control.is_control() => safe.push(' '),
            other => safe.push(other),
        }
    }
    safe
}

/// An element with its attributes and children.
pub(super) fn element(name: &'static str, attributes: &[(&'static str, &str)], children: &[Html]) -> Html {
    let mut markup = format!("<{name}");
    for (attribute, value) in attributes {
        let _ = write!(markup, " {attribute}=\"{}\"", escaped(value));
    }
    markup.push('>');
    children.iter().for_each(|child| markup.push_str(&child.0));
    let _ = write!(markup, "</{name}>");
    Html(markup)
}

/// An element with a class and text.
pub(super) fn styled(name: &'static str, class: &str, text: &str) -> Html {
    element(name, &[("class", class)], &[Html::text(text)])
}

/// An element with text.
pub(super) fn plain(name: &'static str, text: &str) -> Html {
    element(name, &[], &[Html::text(text)])
}

/// A part of the report with its heading.
pub(super) fn section(title: &str, children: &[Html]) -> Html {
    let body: Html = [plain("h2", title)].into_iter().chain(children.iter().cloned()).collect();
    element("section", &[], &[body])
}

/// A list of sentences.
pub(super) fn list(class: &str, items: impl IntoIterator<Item = Html>) -> Html {
    let items: Vec<Html> = items.into_iter().map(|item| element("li", &[], &[item])).collect();
    element("ul", &[("class", class)], &items)
}

/// A table with a caption and column headings; the first cell of each row is the heading of that row.
pub(super) fn table(caption: &str, columns: &[&str], rows: &[Vec<String>]) -> Html {
    let head: Vec<Html> =
        columns.iter().map(|column| element("th", &[("scope", "col")], &[Html::text(column)])).collect();
    let rows: Vec<Html> = rows.iter().map(|row| element("tr", &[], &cells(row))).collect();
    let head = element("thead", &[], &[element("tr", &[], &head)]);
    element("table", &[], &[plain("caption", caption), head, element("tbody", &[], &rows)])
}

/// A table of facts: a name and what it is, without column headings.
pub(super) fn facts(rows: &[(&str, String)]) -> Html {
    let row = |(name, fact): &(&str, String)| element("tr", &[], &cells(&[(*name).to_string(), fact.clone()]));
    element("table", &[], &[element("tbody", &[], &rows.iter().map(row).collect::<Vec<_>>())])
}

fn cells(row: &[String]) -> Vec<Html> {
    let cell = |(index, text): (usize, &String)| match index {
        0 => element("th", &[("scope", "row")], &[Html::text(text)]),
        _ => plain("td", text),
    };
    row.iter().enumerate().map(cell).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_only_ever_text() {
        let hostile = "<script>alert('&\"')</script>\u{0}";
        let safe = "&lt;script&gt;alert(&#39;&amp;&quot;&#39;)&lt;/script&gt; ";
        assert_eq!(Html::text(hostile).into_string(), safe);
        let attribute = element("p", &[("title", hostile)], &[]).into_string();
        assert_eq!(attribute, format!("<p title=\"{safe}\"></p>"));
    }

    #[test]
    fn tables_have_headings_both_ways() {
        let table = table("T", &["a", "b"], &[vec!["1".into(), "2".into()]]).into_string();
        assert!(table.contains("<th scope=\"col\">a</th>") && table.contains("<th scope=\"row\">1</th><td>2</td>"));
    }
}
