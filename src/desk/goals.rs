//! Goal attainment scaling: goals of a person's own, scored on one scale.
//!
//! Each goal is agreed beforehand with five levels, from much less (−2) through as expected (0) to
//! much more than expected (+2), and a weight. The T score is 50 when all turn out as expected.
//!
//! Source: Kiresuk and Sherman 1968, Community Mental Health Journal 4:443–453, with their assumed
//! correlation of 0.3 between goals.

use serde::{Deserialize, Serialize};

/// Correlation between the scores of goals that the scale assumes.
const CORRELATION: f64 = 0.3;

/// One goal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Goal {
    /// In the client's words.
    pub text: String,
    /// Importance times difficulty, each 0 to 3; 1 where goals are not weighed.
    #[serde(default = "one")]
    pub weight: u32,
    /// Level before, −2 to +2.
    #[serde(default)]
    pub before: Option<i8>,
    /// Level reached, −2 to +2.
    #[serde(default)]
    pub reached: Option<i8>,
    /// How the goal is met today: who helps, how long it takes.
    #[serde(default)]
    pub today: String,
}

fn one() -> u32 {
    1
}

impl Goal {
    /// A goal of which nothing is written yet.
    #[must_use]
    pub fn fresh() -> Goal {
        Goal { text: String::new(), weight: 1, before: None, reached: None, today: String::new() }
    }
}

/// The T score of goals, each with its weight and its level from −2 to +2; `None` when there is no
/// goal with a weight, or a level lies outside.
#[must_use]
pub fn t_score(scored: impl IntoIterator<Item = (u32, i8)>) -> Option<f64> {
    let (mut sum, mut squares, mut weights) = (0.0, 0.0, 0.0);
    for (weight, level) in scored {
        if !(-2..=2).contains(&level) {
            return None;
        }
        let weight = f64::from(weight);
        sum += weight * f64::from(level);
        squares += weight * weight;
        weights += weight;
    }
    let spread = libm::sqrt((1.0 - CORRELATION) * squares + CORRELATION * weights * weights);
    (spread > 0.0).then(|| 50.0 + 10.0 * sum / spread)
}

/// The T score before and the one reached; of each only where every goal has a level.
#[must_use]
pub fn scores(goals: &[Goal]) -> (Option<f64>, Option<f64>) {
    let score = |level: fn(&Goal) -> Option<i8>| {
        let scored: Option<Vec<_>> = goals.iter().map(|goal| Some((goal.weight, level(goal)?))).collect();
        scored.and_then(t_score)
    };
    (score(|goal| goal.before), score(|goal| goal.reached))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_values_of_the_published_formula_come_out() {
        // Worked by hand from the formula of Kiresuk and Sherman 1968.
        let score = |scored: &[(u32, i8)]| t_score(scored.iter().copied()).unwrap();
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 5e-5, "{found} {wanted}");
        near(score(&[(1, 0), (1, 0), (1, 0)]), 50.0);
        near(score(&[(1, 1), (1, 1), (1, 0)]), 59.1287);
        near(score(&[(3, 1), (2, 0), (1, -1)]), 54.4065);
        near(score(&[(1, -1); 3]), 36.3069);
        near(score(&[(1, -2); 3]), 22.6139);
        near(score(&[(1, 2); 3]), 77.3861);
        near(score(&[(1, 1)]), 60.0);
        near(score(&[(2, 1), (3, 0), (1, 2), (4, -1)]), 50.0);
    }

    #[test]
    fn without_weight_or_outside_the_scale_there_is_no_score() {
        assert_eq!(t_score([]), None);
        assert_eq!(t_score([(0, 1)]), None);
        assert_eq!(t_score([(1, 3)]), None);
    }

    #[test]
    fn nobody_has_said_of_a_fresh_goal_where_it_stands() {
        assert_eq!(scores(&[Goal::fresh()]), (None, None));
    }

    #[test]
    fn a_goal_without_a_level_leaves_that_score_open() {
        let goal =
            |before, reached| Goal { text: "Open the door".into(), weight: 1, before, reached, today: String::new() };
        let (before, reached) = scores(&[goal(Some(-1), Some(1)), goal(Some(-1), None)]);
        assert_eq!(reached, None);
        assert!(before.is_some_and(|score| score < 50.0));
    }
}
