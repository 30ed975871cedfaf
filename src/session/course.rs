//! The trials of a block, drawn before it begins.
//!
//! Every block draws from a stream of its own, so that leaving one out never changes another.

use std::collections::VecDeque;

use super::cost::TILES;
use super::event::BlockKind;
use super::protocol::Block;
use crate::engine::tree::ItemIx;
use crate::rng::Stream;
use crate::time::Span;

/// A trial that has not been run yet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Task {
    /// `false` for practice.
    pub scored: bool,
    /// First or second try at this target.
    pub attempt: u8,
    /// What is wanted.
    pub target: Target,
    /// Choices that make one task with this one, itself among them.
    pub choices: u16,
    /// How many of them come after it.
    pub left: u16,
}

/// What a trial asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Target {
    /// The one tile, lit after a random wait.
    Lamp {
        /// The wait drawn.
        wait: Span,
        /// For so long it has to be held before it is let go; zero where a press is enough.
        hold: Span,
    },
    /// The marked one of several tiles.
    Tile {
        /// Its place, from 0.
        position: u16,
        /// How many there are.
        tiles: u16,
        /// How often the highlight passes over them.
        passes: u16,
    },
    /// Two presses.
    Pair,
    /// An item of the menu.
    Item(ItemIx),
}

/// The trials of `block`, practice first; tasks that the block writes are each done once. `find` knows the items of the
/// menu by id and `items` says how many there are.
pub(super) fn tasks(
    block: &Block,
    index: u16,
    seed: u64,
    items: u16,
    find: impl Fn(&str) -> Option<ItemIx>,
) -> VecDeque<Task> {
    let mut stream = Stream::named(seed, &format!("order of block {index}"));
    let practice = targets(block, block.practice, &mut stream, items, &find);
    let scored = targets(block, block.trials, &mut stream, items, &find);
    let first = in_order(practice, false).take(block.practice as usize);
    first.chain(in_order(scored, true)).collect()
}

/// The choices of these tasks one after the other.
fn in_order(tasks: Vec<Vec<Target>>, scored: bool) -> impl Iterator<Item = Task> {
    let choices = move |task: Vec<Target>| {
        let choices = task.len() as u16;
        let place = move |(place, target)| Task { scored, attempt: 1, target, choices, left: choices - 1 - place };
        (0..choices).zip(task).map(place)
    };
    tasks.into_iter().flat_map(choices)
}

/// Tasks of one choice or more.
fn targets(
    block: &Block,
    count: u32,
    stream: &mut Stream,
    items: u16,
    find: &impl Fn(&str) -> Option<ItemIx>,
) -> Vec<Vec<Target>> {
    let mut drawn = |kinds: u16| balanced(count, kinds, stream).into_iter();
    match block.kind {
        BlockKind::FirstContact | BlockKind::QuietWatch | BlockKind::SwitchCheck => Vec::new(),
        BlockKind::Reaction => {
            let hold = Span::from_seconds(block.hold).unwrap_or(Span::ZERO);
            (0..count).map(|_| vec![Target::Lamp { wait: wait(block.wait, stream), hold }]).collect()
        }
        BlockKind::TimedPress => {
            let tiles = if block.tiles == 0 { TILES } else { block.tiles.max(2) };
            let passes = block.passes.max(1);
            // A late press has to find a tile to land on: behind the last one that is the first of the next pass.
            let kinds = if passes > 1 { tiles } else { tiles - 1 };
            drawn(kinds).map(|position| vec![Target::Tile { position, tiles, passes }]).collect()
        }
        BlockKind::Repeat => (0..count).map(|_| vec![Target::Pair]).collect(),
        BlockKind::MenuTasks | BlockKind::Confirm if block.tasks.is_empty() => {
            let items: Vec<Target> = drawn(items.max(1)).map(|item| Target::Item(ItemIx(item))).collect();
            items.chunks(block.together.max(1).into()).map(<[Target]>::to_vec).collect()
        }
        BlockKind::MenuTasks | BlockKind::Confirm => written(block, find, stream),
    }
}

fn wait([least, most]: [f64; 2], stream: &mut Stream) -> Span {
    Span::from_seconds(least + (most - least).max(0.0) * stream.unit()).unwrap_or(Span::ZERO)
}

/// `count` numbers below `kinds`, each as often as the others or once more, in random order, and
/// never one twice running where that can be helped.
fn balanced(count: u32, kinds: u16, stream: &mut Stream) -> Vec<u16> {
    let mut drawn: Vec<u16> = Vec::with_capacity(count as usize);
    while drawn.len() < count as usize {
        let mut round: Vec<u16> = (0..kinds).collect();
        stream.shuffle(&mut round);
        if round.len() > 1 && drawn.last() == round.first() {
            round.swap(0, 1);
        }
        drawn.append(&mut round);
    }
    drawn.truncate(count as usize);
    drawn
}

/// The tasks as the block writes them, sequences kept together: each once, or for practice as many
/// as are asked for.
fn written(block: &Block, find: &impl Fn(&str) -> Option<ItemIx>, stream: &mut Stream) -> Vec<Vec<Target>> {
    let targets = |ids: &Vec<String>| ids.iter().filter_map(|id| find(id)).map(Target::Item).collect();
    let mut sequences: Vec<Vec<Target>> = block.tasks.iter().map(targets).collect();
    if block.shuffled {
        stream.shuffle(&mut sequences);
    }
    sequences
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(block: &Block, seed: u64) -> Vec<Target> {
        let find = |id: &str| id.parse().ok().map(ItemIx);
        tasks(block, 0, seed, 9, find).into_iter().map(|task| task.target).collect()
    }

    #[test]
    fn targets_are_balanced_and_the_last_tile_is_none_in_a_single_pass() {
        let counts = |passes: u16, tiles: u16, trials: u32| -> Vec<usize> {
            let block = Block { trials, tiles, passes, ..Block::of(BlockKind::TimedPress) };
            let drawn = drawn(&block, 3);
            let at = |wanted: u16| {
                drawn.iter().filter(|t| matches!(t, Target::Tile { position, .. } if *position == wanted)).count()
            };
            (0..tiles).map(at).collect()
        };
        assert_eq!(counts(0, 6, 20), [4, 4, 4, 4, 4, 0]);
        assert_eq!(counts(2, 2, 20), [10, 10]);
    }

    #[test]
    fn the_same_seed_draws_the_same_order_and_another_seed_another() {
        let block = Block { trials: 10, ..Block::of(BlockKind::Reaction) };
        assert_eq!(drawn(&block, 1), drawn(&block, 1));
        assert_ne!(drawn(&block, 1), drawn(&block, 2));
    }

    #[test]
    fn waits_lie_between_the_bounds() {
        let block = Block { trials: 200, wait: [2.0, 5.0], ..Block::of(BlockKind::Reaction) };
        let bounds = Span::from_ms(2_000)..=Span::from_ms(5_000);
        assert!(drawn(&block, 5).iter().all(|t| matches!(t, Target::Lamp { wait, .. } if bounds.contains(wait))));
    }

    #[test]
    fn sequences_stay_together() {
        let tasks = vec![vec!["1".to_string(), "2".into()], vec!["7".into()]];
        let block = Block { tasks, ..Block::of(BlockKind::MenuTasks) };
        for seed in 0..20 {
            let order = drawn(&block, seed);
            let first = order.iter().position(|t| *t == Target::Item(ItemIx(1))).unwrap();
            assert_eq!(order[first + 1], Target::Item(ItemIx(2)));
        }
    }

    #[test]
    fn a_choice_knows_how_many_make_its_task_and_how_many_of_them_come_after() {
        let places = |block: &Block| -> Vec<(u16, u16)> {
            let find = |id: &str| id.parse().ok().map(ItemIx);
            tasks(block, 0, 1, 9, find).into_iter().map(|task| (task.choices, task.left)).collect()
        };
        let written = vec![vec!["1".to_string(), "2".into(), "7".into()], vec!["7".into()]];
        let block = Block { tasks: written, shuffled: false, ..Block::of(BlockKind::MenuTasks) };
        assert_eq!(places(&block), [(3, 2), (3, 1), (3, 0), (1, 0)]);
        let drawn = Block { trials: 5, together: 2, ..Block::of(BlockKind::MenuTasks) };
        assert_eq!(places(&drawn), [(2, 1), (2, 0), (2, 1), (2, 0), (1, 0)]);
    }

    #[test]
    fn practice_comes_first_and_is_not_scored() {
        let block = Block { practice: 2, trials: 3, ..Block::of(BlockKind::Repeat) };
        let scored: Vec<bool> = tasks(&block, 0, 1, 0, |_| None).into_iter().map(|task| task.scored).collect();
        assert_eq!(scored, [false, false, true, true, true]);
    }
}
