//! Where things stand: the same places on every page.

use super::frame::{Rect, Size};

/// Least height of the line at the lower edge, px.
const FOOT_LEAST: f32 = 18.0;

/// The places of one page, upright, disjoint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layout {
    /// What the client is asked.
    pub cue: Rect,
    /// The mark after a press, at the right end of the cue.
    pub answered: Rect,
    /// Tiles or a message.
    pub body: Rect,
    /// The simulated home.
    pub home: Rect,
    /// What is left, and the line for the clinician.
    pub foot: Rect,
    /// For the light sensor: the lower right corner.
    pub patch: Rect,
    /// Between tiles.
    pub gap: u32,
}

impl Layout {
    /// `font_needed` is the smallest readable font size, px.
    pub fn new(used: Rect, font_needed: f32, has_cue: bool, has_home: bool, has_patch: bool) -> Self {
        let (width, height) = (used.width as f32, used.height as f32);
        let shorter = width.min(height);
        let px = |length: f32| length.round() as u32;
        let (margin, gap) = (px(shorter * 0.03), px(shorter * 0.022));
        let foot_height = px((shorter * 0.052).max(FOOT_LEAST).min(height / 5.0));
        let cue_height = if has_cue { px((2.4 * font_needed).max(shorter * 0.15).min(height * 0.24)) } else { 0 };
        let home_height = if has_home { px(height * 0.19) } else { 0 };
        let patch_side = if has_patch { px(shorter * 0.06).min(foot_height) } else { 0 };

        let inner = used.inset_sides(margin);
        let mut rest = inner;
        let foot = used
            .without_below(margin / 2)
            .lowest(foot_height)
            .inset_sides(margin)
            .shortened_right(patch_side.saturating_sub(margin));
        rest = rest.without_below(foot_height + margin / 2 + gap).without_above(2 * margin / 3);
        let head = rest.uppermost(cue_height);
        let answered = head.rightmost(cue_height / 2);
        rest = rest.without_above(cue_height + 2 * margin / 3);
        let home = rest.lowest(home_height);
        rest = rest.without_below(home_height + if has_home { gap } else { 0 });
        let patch = used.lowest(patch_side).rightmost(patch_side);
        Self { cue: head.shortened_right(cue_height / 2), answered, body: rest, home, foot, patch, gap }
    }
}

/// Cuts a rectangle into `columns` × `rows` equal cells with gaps; row by row, all of the same size.
pub(super) fn cells(area: Rect, columns: usize, rows: usize, gap: u32) -> Vec<Rect> {
    let size = cell_size(area, columns, rows, gap);
    let along = |start: u32, at: usize, length: u32| {
        (at as u64).saturating_mul(u64::from(length + gap)).saturating_add(u64::from(start)).min(u64::from(u32::MAX))
            as u32
    };
    (0..rows)
        .flat_map(|row| (0..columns).map(move |column| (column, row)))
        .map(|(column, row)| Rect {
            x: along(area.x, column, size.width),
            y: along(area.y, row, size.height),
            width: size.width,
            height: size.height,
        })
        .collect()
}

pub(super) fn cell_size(area: Rect, columns: usize, rows: usize, gap: u32) -> Size {
    let share = |length: u32, count: usize| {
        let gaps = (count.max(1) as u64 - 1).saturating_mul(u64::from(gap));
        (u64::from(length).saturating_sub(gaps) / count.max(1) as u64) as u32
    };
    Size { width: share(area.width, columns), height: share(area.height, rows) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn apart(a: Rect, b: Rect) -> bool {
        a.is_empty()
            || b.is_empty()
            || a.x + a.width <= b.x
            || b.x + b.width <= a.x
            || a.y + a.height <= b.y
            || b.y + b.height <= a.y
    }

    proptest! {
        #[test]
        fn places_never_overlap_and_never_leave_the_screen(
            width in 1u32..4_000, height in 1u32..4_000, font in 1.0f32..600.0,
            cue: bool, home: bool, patch: bool,
        ) {
            let used = Rect::new(7, 9, width, height);
            let l = Layout::new(used, font, cue, home, patch);
            let all = [l.cue, l.answered, l.body, l.home, l.foot, l.patch];
            for (i, a) in all.iter().enumerate() {
                prop_assert!(a.is_empty() || (a.x >= 7 && a.y >= 9 && a.x + a.width <= 7 + width && a.y + a.height <= 9 + height));
                for b in &all[i + 1..] {
                    prop_assert!(apart(*a, *b), "{a:?} {b:?}");
                }
            }
        }
    }

    #[test]
    fn cells_fill_the_area_row_by_row() {
        let all = cells(Rect::new(10, 20, 110, 50), 3, 2, 10);
        assert_eq!(all.len(), 6);
        assert_eq!(all[4], Rect::new(50, 50, 30, 20));
    }
}
