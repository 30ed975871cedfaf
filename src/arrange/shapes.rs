//! Groupings to begin the search with: one by one, rows of every width, rows that grow shorter, rows
//! behind single items.

use super::parts::{Kind, Part, Stock};

/// Longest row that is tried.
const LONGEST: usize = 9;
/// Single items before the first row.
const LEADS: [usize; 3] = [0, 1, 2];
/// How many of too many entries stay on the page; the rest goes to a new one.
const ON_PAGE: [usize; 5] = [8, 12, 18, 26, 35];

/// How the entries of a group are put in rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// One by one.
    List,
    /// Rows of one width, behind some single entries.
    Rows {
        /// Entries in a row.
        width: usize,
        /// Single entries before the rows.
        lead: usize,
    },
    /// Each row one shorter than the one before; what is left at the end stands alone.
    Stairs {
        /// Entries in the first row.
        first: usize,
        /// Single entries before the rows.
        lead: usize,
    },
    /// One row at the beginning, the others alone.
    OneRow {
        /// Entries in it.
        width: usize,
    },
}

/// All shapes to begin with.
pub fn shapes() -> Vec<Shape> {
    let wide = |lead| (2..=LONGEST).map(move |width| Shape::Rows { width, lead });
    let stairs = |lead| (2..=LONGEST).map(move |first| Shape::Stairs { first, lead });
    let one = (2..=LONGEST).map(|width| Shape::OneRow { width });
    let list = std::iter::once(Shape::List);
    list.chain(LEADS.into_iter().flat_map(move |lead| wide(lead).chain(stairs(lead)))).chain(one).collect()
}

impl Shape {
    /// All rows are equally long but for the last; single entries may stand before them.
    #[must_use]
    pub fn is_grid(self) -> bool {
        matches!(self, Shape::Rows { .. })
    }

    /// The lengths of the rows for so many entries; a length of 1 is a single entry.
    fn lengths(self, entries: usize) -> Vec<usize> {
        let (lead, first, falls) = match self {
            Shape::List => (entries, 1, 0),
            Shape::Rows { width, lead } => (lead, width, 0),
            Shape::Stairs { first, lead } => (lead, first, 1),
            Shape::OneRow { width } => (0, width, width),
        };
        let mut lengths = vec![1; lead.min(entries)];
        let (mut left, mut next) = (entries - lengths.len(), first);
        while left > 0 {
            let length = next.clamp(1, left);
            lengths.push(length);
            left -= length;
            next = next.saturating_sub(falls).max(1);
        }
        lengths
    }
}

/// The parts in this shape: every group of the menu that has no groups on its page is put in rows, with
/// what is used most first.
pub fn shaped(stock: &Stock, parts: &[Part], shape: Shape) -> Vec<Part> {
    let mut loose: Vec<Part> = parts.iter().map(|part| inside(stock, part, shape)).collect();
    loose.sort_by(|one, other| stock.weight(other).total_cmp(&stock.weight(one)));
    in_rows(loose, shape)
}

fn inside(stock: &Stock, part: &Part, shape: Shape) -> Part {
    match part {
        Part::Group(kind, parts) => Part::Group(*kind, shaped(stock, parts, shape)),
        Part::Item(item) => Part::Item(*item),
    }
}

fn in_rows(loose: Vec<Part>, shape: Shape) -> Vec<Part> {
    let lengths = shape.lengths(loose.len());
    // One row around everything would be a press for nothing.
    if lengths.len() < 2 {
        return loose;
    }
    let mut left = loose.into_iter();
    let row = |length| match length {
        1 => left.next(),
        length => Some(Part::Group(Kind::Row, left.by_ref().take(length).collect())),
    };
    lengths.into_iter().filter_map(row).collect()
}

/// Ways to move what is too much for a page to new pages; the parts themselves where it fits.
pub fn paged(stock: &Stock, parts: &[Part], most: usize) -> Vec<Vec<Part>> {
    let tiles = |parts: &[Part]| parts.iter().map(|part| stock.tiles(part)).sum::<usize>();
    if tiles(parts) <= most {
        return vec![parts.to_vec()];
    }
    let mut by_use = parts.to_vec();
    by_use.sort_by(|one, other| stock.weight(other).total_cmp(&stock.weight(one)));
    let page = |count: usize| {
        let mut stays = by_use.clone();
        let rest = stays.split_off(count.min(stays.len()));
        // What is still too much goes on from page to page.
        let rest = paged(stock, &rest, most).pop().unwrap_or_default();
        stays.push(Part::Group(Kind::More, rest));
        stays
    };
    ON_PAGE.iter().map(|count| page(*count)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_have_the_lengths_of_their_shape() {
        assert_eq!(Shape::List.lengths(4), [1, 1, 1, 1]);
        assert_eq!(Shape::Rows { width: 3, lead: 0 }.lengths(8), [3, 3, 2]);
        assert_eq!(Shape::Rows { width: 3, lead: 2 }.lengths(7), [1, 1, 3, 2]);
        assert_eq!(Shape::Stairs { first: 3, lead: 0 }.lengths(8), [3, 2, 1, 1, 1]);
        assert_eq!(Shape::OneRow { width: 4 }.lengths(8), [4, 1, 1, 1, 1]);
        assert_eq!(Shape::Rows { width: 9, lead: 0 }.lengths(0), Vec::<usize>::new());
    }

    #[test]
    fn every_shape_keeps_every_item_once() {
        let menu = crate::menu::shipped::find("flat").unwrap();
        let (stock, parts) = Stock::of(&menu, |_| false);
        for shape in shapes() {
            let mut found = super::super::parts::items(&shaped(&stock, &parts, shape));
            found.sort_unstable();
            assert_eq!(found, (0..stock.items.len() as u16).collect::<Vec<_>>(), "{shape:?}");
        }
    }
}
