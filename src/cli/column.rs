//! A column of latencies out of a text: one a line, or one column of a CSV table with a header.

use crate::problem::{Findings, Problem, did_you_mean, shortened};

/// The latencies that belong together.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Group {
    /// The value of the grouping column; empty where there is none.
    pub name: String,
    pub seen: Vec<f64>,
    /// Limits above which a value is known to lie.
    pub censored: Vec<f64>,
}

/// Which columns of a table are meant.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Wanted<'a> {
    pub column: Option<&'a str>,
    pub by: Option<&'a str>,
}

/// The groups in the order in which they first appear, or every problem of the file.
pub(super) fn read(file: &str, text: &str, wanted: Wanted<'_>) -> Result<Vec<Group>, Vec<Problem>> {
    let mut findings = Findings::of(file);
    let mut lines = contents(text).peekable();
    let Some((line, first)) = lines.peek().cloned() else {
        return Err(vec![Problem::error(file, None, "it holds no latencies", "write one a line")]);
    };
    let headed = first.iter().all(|cell| value(cell).is_err());
    let header = if headed { first } else { Vec::new() };
    let places = match Places::find(&header, wanted) {
        Ok(places) if headed || lines.clone().all(|(_, cells)| cells.len() == 1) => places,
        Ok(_) => return Err(vec![no_header(file, line)]),
        Err((what, remedy)) => return Err(vec![Problem::error(file, Some(line), what, remedy)]),
    };
    let mut groups: Vec<Group> = Vec::new();
    for (line, cells) in lines.skip(usize::from(headed)) {
        if let Err((what, remedy)) = places.take(&cells, &mut groups) {
            findings.error(line, what, remedy);
        }
    }
    match findings.problems.len() {
        0 if groups.is_empty() => {
            Err(vec![Problem::error(file, None, "it holds no latencies", "write them below the header")])
        }
        0 => Ok(groups),
        2.. if groups.is_empty() => {
            let remedy = "give a file with one number a line, or a table with a header";
            Err(vec![Problem::error(file, None, "no line of it holds a latency", remedy)])
        }
        _ => Err(findings.sorted()),
    }
}

fn no_header(file: &str, line: u32) -> Problem {
    Problem::error(file, Some(line), "a table without a header", "name its columns in the first line")
}

/// Lines that hold something, with their numbers from 1, cut into cells.
fn contents(text: &str) -> impl Iterator<Item = (u32, Vec<String>)> + Clone + '_ {
    let uncommented = |line: &str| line.split('#').next().unwrap_or("").trim().to_string();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    (1..).zip(text.lines().map(uncommented)).filter(|(_, line)| !line.is_empty()).map(|(at, line)| (at, cells(&line)))
}

/// Cells between commas; one in double quotes keeps its commas, and two quotes in it stand for one.
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut quoted) = (vec![String::new()], false);
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cells.last_mut().expect("there is a first cell").push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            _ => cells.last_mut().expect("there is a first cell").push(letter),
        }
    }
    cells.iter().map(|cell| cell.trim().to_string()).collect()
}

type Wrong = (String, String);

/// Where the wanted columns stand.
struct Places {
    width: usize,
    latency: usize,
    by: Option<usize>,
}

impl Places {
    fn find(header: &[String], wanted: Wanted<'_>) -> Result<Places, Wrong> {
        let place = |name: &str| match header.iter().position(|cell| cell == name) {
            Some(place) => Ok(place),
            None if header.is_empty() => Err((format!("no header names a column `{name}`"), "write a header".into())),
            None => Err((format!("no column `{name}`"), did_you_mean(name, header.iter().map(String::as_str)))),
        };
        let by = wanted.by.map(place).transpose()?;
        let others: Vec<usize> = (0..header.len()).filter(|index| Some(*index) != by).collect();
        let latency = match (wanted.column, &others[..]) {
            (Some(name), _) => place(name)?,
            (None, []) if by.is_none() => 0,
            (None, [only]) => *only,
            _ => return Err(("several columns".into(), "choose one with `--column`".into())),
        };
        Ok(Places { width: header.len().max(1), latency, by })
    }

    /// Puts a line's latency into its group.
    fn take(&self, cells: &[String], groups: &mut Vec<Group>) -> Result<(), Wrong> {
        if cells.len() != self.width {
            let what = format!("{} cells where the first line has {}", cells.len(), self.width);
            return Err((what, "give each line as many as the first".into()));
        }
        let latency = value(&cells[self.latency])?;
        let name = self.by.map_or("", |by| &cells[by]);
        let index = groups.iter().position(|group| group.name == name).unwrap_or_else(|| {
            groups.push(Group { name: name.into(), ..Group::default() });
            groups.len() - 1
        });
        match latency {
            Latency::Seen(value) => groups[index].seen.push(value),
            Latency::Above(limit) => groups[index].censored.push(limit),
        }
        Ok(())
    }
}

enum Latency {
    Seen(f64),
    Above(f64),
}

fn value(cell: &str) -> Result<Latency, Wrong> {
    let (above, number) = cell.strip_prefix('>').map_or((false, cell), |rest| (true, rest.trim()));
    match number.parse::<f64>() {
        Ok(value) if !value.is_finite() => Err((format!("`{}` is not finite", shortened(cell)), "remove it".into())),
        Ok(value) => Ok(if above { Latency::Above(value) } else { Latency::Seen(value) }),
        Err(_) => {
            let what = format!("`{}` is no latency", shortened(cell));
            Err((what, "write a number, or `>` and the limit where none came in time".into()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str, column: Option<&str>, by: Option<&str>) -> Result<Vec<Group>, String> {
        read("f", text, Wanted { column, by }).map_err(|problems| problems[0].to_string())
    }

    #[test]
    fn a_plain_column_has_comments_and_censored_values() {
        let found = table("# invented\n0.5 # first\n\n>0.800\n-0.1\n", None, None).unwrap();
        assert_eq!(found, [Group { name: String::new(), seen: vec![0.5, -0.1], censored: vec![0.8] }]);
    }

    #[test]
    fn a_table_is_grouped_in_the_order_of_its_lines() {
        let text = "site,latency\nfoot,1\n\"hand, left\",2\nfoot,>3\n";
        let found = table(text, None, Some("site")).unwrap();
        assert_eq!(found[0], Group { name: "foot".into(), seen: vec![1.0], censored: vec![3.0] });
        assert_eq!((found[1].name.as_str(), &found[1].seen), ("hand, left", &vec![2.0]));
    }

    #[test]
    fn what_is_wrong_names_its_line() {
        assert!(table("0.5\nfast\n", None, None).unwrap_err().starts_with("`f`, line 2: `fast` is no latency; "));
        assert!(table("0.5\nNaN\n", None, None).unwrap_err().contains("line 2: `NaN` is not finite"));
        assert!(table("a,b\n1,2\n1\n", Some("a"), None).unwrap_err().contains("line 3: 1 cells"));
        assert!(table("a,b\n1,2\n", None, None).unwrap_err().contains("`--column`"));
        assert!(table("latency,site\n1,2\n", Some("latecy"), None).unwrap_err().contains("did you mean `latency`?"));
        assert!(table("1,2\n", None, None).unwrap_err().contains("without a header"));
        assert!(table("1\n", Some("a"), None).unwrap_err().contains("write a header"));
        assert!(table("# none\n", None, None).unwrap_err().contains("no latencies"));
        assert!(table("latency\n", None, None).unwrap_err().contains("no latencies"));
        let other = read("f", "# Notes\nNo table.\nNo number.\nNone at all.\n", Wanted::default()).unwrap_err();
        let remedy = "give a file with one number a line, or a table with a header";
        assert_eq!(other, [Problem::error("f", None, "no line of it holds a latency", remedy)]);
    }
}
