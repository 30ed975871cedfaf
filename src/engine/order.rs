//! The order of inputs that arrive together.

use super::effect::Input;
use crate::time::Moment;

/// Puts the inputs of one wake into the order in which the engine has to get them.
///
/// By stamp; in one microsecond frames shown come before edges, edges keep their order of arrival
/// and commands come last. A stall comes before everything, whatever its stamp, so that no other
/// input of the same wake acts.
pub fn sort_batch(batch: &mut [(Moment, Input)]) {
    batch.sort_by_key(|(at, input)| match input {
        Input::Stalled => (Moment::START, 0),
        Input::Shown { .. } => (*at, 1),
        Input::Edge { .. } => (*at, 2),
        Input::Start | Input::Halt => (*at, 3),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::effect::Switch;

    #[test]
    fn ties_are_shown_then_edges_as_they_came_then_commands() {
        let edge = |switch, down| Input::Edge { switch: Switch(switch), down };
        let mut batch = vec![
            (Moment(5), Input::Halt),
            (Moment(5), edge(1, true)),
            (Moment(5), edge(0, true)),
            (Moment(5), Input::Shown { number: 3 }),
            (Moment(4), edge(2, true)),
            (Moment(9), Input::Stalled),
        ];
        sort_batch(&mut batch);
        let order: Vec<Input> = batch.into_iter().map(|(_, input)| input).collect();
        let expected =
            [Input::Stalled, edge(2, true), Input::Shown { number: 3 }, edge(1, true), edge(0, true), Input::Halt];
        assert_eq!(order, expected);
    }
}
