//! A table that grows row by row, written from the same list of columns that describes it.

use serde_json::{Map, Value, json};

use super::cell::{Cell, Spelling};

/// A word that a column holds, and what it means.
pub type Level = (&'static str, &'static str);

/// Where a column is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// Always.
    Always,
    /// Words that a person typed: only when they are asked for.
    FreeText,
    /// It could lead back to the client: only when codes and dates are kept as they are.
    Identifying,
}

/// One column of a table whose rows are `R`.
#[derive(Debug)]
pub struct Column<R> {
    /// Its name, which ends in its unit.
    pub name: &'static str,
    /// Its unit; empty where it has none.
    pub unit: &'static str,
    /// What it holds.
    pub meaning: &'static str,
    /// The words it may hold; empty for numbers and other texts.
    pub levels: &'static [Level],
    /// Where it is shown.
    pub kept: Kept,
    /// Its cell in a row.
    pub cell: fn(&R) -> Cell,
}

impl<R> Column<R> {
    /// A column that is always shown.
    #[must_use]
    pub const fn of(name: &'static str, unit: &'static str, meaning: &'static str, cell: fn(&R) -> Cell) -> Column<R> {
        Column { name, unit, meaning, levels: &[], kept: Kept::Always, cell }
    }

    /// The same with these words.
    #[must_use]
    pub const fn levels(mut self, levels: &'static [Level]) -> Column<R> {
        self.levels = levels;
        self
    }

    /// The same as words that a person typed.
    #[must_use]
    pub const fn free_text(mut self) -> Column<R> {
        self.kept = Kept::FreeText;
        self
    }

    /// The same as something that could lead back to the client.
    #[must_use]
    pub const fn identifying(mut self) -> Column<R> {
        self.kept = Kept::Identifying;
        self
    }
}

/// What is shown beside the columns that always are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    /// Words that people typed.
    pub free_text: bool,
    /// Codes, dates and whatever else could lead back to the client.
    pub identifying: bool,
}

impl Shown {
    /// Whether a column of this sort is there.
    #[must_use]
    pub fn shows(self, kept: Kept) -> bool {
        match kept {
            Kept::Always => true,
            Kept::FreeText => self.free_text,
            Kept::Identifying => self.identifying,
        }
    }
}

/// A table as text.
#[derive(Debug)]
pub struct Table<R> {
    /// Its name, which is that of its file.
    pub name: &'static str,
    /// What a row is.
    pub meaning: &'static str,
    columns: Vec<Column<R>>,
    spelling: Spelling,
    text: String,
}

impl<R> Table<R> {
    /// A table with those of `columns` that are `shown`, and no rows.
    #[must_use]
    pub fn new(
        name: &'static str,
        meaning: &'static str,
        mut columns: Vec<Column<R>>,
        shown: Shown,
        spelling: Spelling,
    ) -> Table<R> {
        columns.retain(|column| shown.shows(column.kept));
        let mut table = Table { name, meaning, columns, spelling, text: String::new() };
        let names: Vec<String> = table.columns.iter().map(|column| column.name.to_string()).collect();
        table.line(&names);
        table
    }

    /// Adds a row.
    pub fn add(&mut self, row: &R) {
        let cells: Vec<String> = self.columns.iter().map(|column| (column.cell)(row).spelled(self.spelling)).collect();
        self.line(&cells);
    }

    fn line(&mut self, cells: &[String]) {
        self.text.push_str(&cells.join(if self.spelling == Spelling::Csv { "," } else { "\t" }));
        self.text.push('\n');
    }

    /// Its columns.
    #[must_use]
    pub fn columns(&self) -> &[Column<R>] {
        &self.columns
    }

    /// Its text: a header line and a line for each row.
    #[must_use]
    pub fn into_text(self) -> String {
        self.text
    }

    /// Its columns as a BIDS sidecar describes them.
    #[must_use]
    pub fn described(&self) -> Map<String, Value> {
        self.columns.iter().map(|column| (column.name.to_string(), described(column))).collect()
    }
}

fn described<R>(column: &Column<R>) -> Value {
    let mut entry = json!({ "Description": column.meaning });
    if !column.levels.is_empty() {
        let levels: Map<String, Value> =
            column.levels.iter().map(|(name, meaning)| ((*name).to_string(), json!(meaning))).collect();
        entry["Levels"] = levels.into();
    }
    if !column.unit.is_empty() {
        entry["Units"] = column.unit.into();
    }
    entry
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns() -> Vec<Column<i64>> {
        vec![
            Column::of("time_s", "s", "A time.", |row| Cell::Micros(*row)),
            Column::of("note", "", "Words.", |_| Cell::text("a,b")).free_text(),
            Column::of("code", "", "A code.", |_| Cell::text("C07")).identifying(),
        ]
    }

    fn text(shown: Shown) -> String {
        let mut table = Table::new("t", "", columns(), shown, Spelling::Csv);
        table.add(&1_500_000);
        table.into_text()
    }

    #[test]
    fn a_column_is_there_or_not_as_a_whole() {
        assert_eq!(text(Shown::default()), "time_s\n1.500000\n");
        assert_eq!(text(Shown { free_text: true, identifying: false }), "time_s,note\n1.500000,\"a,b\"\n");
        assert_eq!(text(Shown { free_text: false, identifying: true }), "time_s,code\n1.500000,C07\n");
    }
}
