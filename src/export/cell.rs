//! One value of a table, and how it is written.
//!
//! Numbers stay numbers; nothing is rounded: times are whole microseconds and are written with all
//! six decimals of a second. Text that a spreadsheet would run as a formula gets an apostrophe
//! before it (the advice of OWASP on "CSV injection").

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// There is none.
    Missing,
    /// A whole number.
    Whole(i64),
    /// A time in microseconds, written in seconds.
    Micros(i64),
    /// A number that is no time.
    Number(f64),
    /// Yes or no, written `TRUE` and `FALSE`, which pandas, R and DuckDB all take for what they are.
    Flag(bool),
    /// A word or a text.
    Text(String),
}

/// How a table is spelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spelling {
    /// Comma-separated (RFC 4180, with LF); a missing value is an empty cell.
    Csv,
    /// Tab-separated as BIDS asks for it; a missing value is `n/a`.
    Tsv,
}

impl Cell {
    /// A text; an empty one is missing.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Cell {
        let text = text.into();
        if text.is_empty() { Cell::Missing } else { Cell::Text(text) }
    }

    /// What `found` holds, or missing.
    #[must_use]
    pub fn some<T>(found: Option<T>, cell: impl FnOnce(T) -> Cell) -> Cell {
        found.map_or(Cell::Missing, cell)
    }

    /// A whole number that may be missing.
    #[must_use]
    pub fn whole(found: Option<impl Into<i64>>) -> Cell {
        Cell::some(found, |number| Cell::Whole(number.into()))
    }

    /// A measurement of which 0 says that it was not made.
    #[must_use]
    pub fn measured(value: impl Into<u64>) -> Cell {
        match value.into() {
            0 => Cell::Missing,
            value => Cell::Whole(value as i64),
        }
    }

    /// The value as it stands in a table.
    #[must_use]
    pub fn spelled(&self, spelling: Spelling) -> String {
        match self {
            Cell::Missing if spelling == Spelling::Tsv => "n/a".into(),
            Cell::Missing => String::new(),
            Cell::Whole(number) => number.to_string(),
            Cell::Micros(micros) => seconds(*micros),
            Cell::Number(number) => number.to_string(),
            Cell::Flag(true) => "TRUE".into(),
            Cell::Flag(false) => "FALSE".into(),
            Cell::Text(text) => quoted(&harmless(text), spelling),
        }
    }
}

/// Microseconds as seconds, exactly.
fn seconds(micros: i64) -> String {
    let (sign, size) = (if micros < 0 { "-" } else { "" }, micros.unsigned_abs());
    format!("{sign}{}.{:06}", size / 1_000_000, size % 1_000_000)
}

/// The text with an apostrophe before whatever a spreadsheet would take for a formula.
fn harmless(text: &str) -> String {
    let formula = ['=', '+', '-', '@', '\t', '\r', '\n'];
    if text.starts_with(formula) || text.trim_start().starts_with(formula) { format!("'{text}") } else { text.into() }
}

fn quoted(text: &str, spelling: Spelling) -> String {
    match spelling {
        Spelling::Csv if text.contains([',', '"', '\n', '\r']) || text.trim() != text => {
            format!("\"{}\"", text.replace('"', "\"\""))
        }
        Spelling::Csv => text.into(),
        // A line break or a tab inside a cell has no spelling that all readers of BIDS share.
        Spelling::Tsv => text.replace(['\t', '\n', '\r'], " "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn csv(cell: Cell) -> String {
        cell.spelled(Spelling::Csv)
    }

    #[test]
    fn a_time_is_written_to_the_microsecond() {
        assert_eq!(csv(Cell::Micros(-120_000)), "-0.120000");
        assert_eq!(csv(Cell::Micros(61_000_001)), "61.000001");
        assert_eq!(csv(Cell::Micros(i64::MIN)), "-9223372036854.775808");
    }

    #[test]
    fn what_would_run_as_a_formula_is_made_harmless_and_numbers_stay_numbers() {
        for text in ["=1+1", "+1", "-1", "@SUM(A1)", " =1"] {
            assert!(csv(Cell::text(text)).trim_start_matches('"').starts_with('\''), "{text}");
        }
        assert_eq!(csv(Cell::text("\t=1")), "\"'\t=1\"".replace('"', ""));
        assert_eq!(csv(Cell::text("\r=1")), "\"'\r=1\"");
        assert_eq!(csv(Cell::text("=\"x\",1")), "\"'=\"\"x\"\",1\"");
        assert_eq!((csv(Cell::Whole(-3)), csv(Cell::Number(-0.5))), ("-3".into(), "-0.5".into()));
    }

    #[test]
    fn a_missing_value_is_empty_or_as_bids_writes_it() {
        assert_eq!((csv(Cell::Missing), Cell::Missing.spelled(Spelling::Tsv)), (String::new(), "n/a".into()));
        assert_eq!(Cell::text("a\tb\nc").spelled(Spelling::Tsv), "a b c");
    }
}
