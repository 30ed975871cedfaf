//! Labels by number, on their way to the device's thread and back: a number needs no memory.

use std::sync::{Arc, Mutex};

use crate::lock::past_panics;

/// The ids of labels by their numbers; both ends of the way share them, the device's thread does not.
#[derive(Clone, Debug)]
pub(super) struct Numbers(Arc<Mutex<Vec<String>>>);

impl Numbers {
    /// Those of the recordings come first, in their order.
    pub fn new(recorded: Vec<String>) -> Numbers {
        Numbers(Arc::new(Mutex::new(recorded)))
    }

    /// The number of a label; one that is not recorded gets one as well.
    pub fn of(&self, id: String) -> usize {
        let mut ids = past_panics(&self.0);
        ids.iter().position(|known| *known == id).unwrap_or_else(|| {
            ids.push(id);
            ids.len() - 1
        })
    }

    /// The label of a number.
    pub fn id(&self, number: usize) -> Option<String> {
        past_panics(&self.0).get(number).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_keeps_its_number_and_one_without_a_recording_gets_the_next() {
        let numbers = Numbers::new(vec!["bed".into(), "lamp".into()]);
        let of = |id: &str| numbers.of(id.into());
        assert_eq!([of("lamp"), of("door"), of("bed"), of("door")], [1, 2, 0, 2]);
        assert_eq!((numbers.id(2), numbers.id(3)), (Some("door".to_string()), None));
    }
}
