//! Draws by weight in the same time for any number of outcomes: the alias method (A. J. Walker 1977,
//! tables as by M. D. Vose 1991; from memory).

use crate::rng::Stream;

/// Outcomes with weights.
#[derive(Clone, Debug)]
pub struct Weighted {
    /// Outcome by outcome: of 2⁶⁴ draws of this place those that it keeps, and who gets the rest.
    places: Vec<(u64, u16)>,
}

impl Weighted {
    /// Outcome `i` comes as often as `weights[i]` says.
    ///
    /// `None` unless every weight is a number of at least 0, one is above it, and there are no more than
    /// 65,536 of them.
    #[must_use]
    pub fn new(weights: &[f64]) -> Option<Weighted> {
        let total: f64 = weights.iter().sum();
        let sound = weights.iter().all(|weight| *weight >= 0.0) && total.is_finite() && total > 0.0;
        if !sound || weights.len() > 1 << 16 {
            return None;
        }
        let heaviest = (0..weights.len()).max_by(|a, b| weights[*a].total_cmp(&weights[*b]))? as u16;
        let scale = weights.len() as f64 / total;
        let mut places: Vec<(f64, u16)> = weights.iter().map(|weight| (weight * scale, heaviest)).collect();
        fill(&mut places);
        // A share of 1 is one draw short: nobody can tell.
        let kept = |(share, other): (f64, u16)| ((share * 2_f64.powi(64)) as u64, other);
        Some(Weighted { places: places.into_iter().map(kept).collect() })
    }

    /// The next outcome.
    #[inline]
    pub fn draw(&self, stream: &mut Stream) -> u16 {
        // Of the product the whole part is the place, and what is left is a draw of that place.
        let product = u128::from(stream.bits()) * self.places.len() as u128;
        let place = (product >> 64) as u64;
        let (kept, other) = self.places[place as usize];
        if (product as u64) < kept { place as u16 } else { other }
    }
}

/// Fills each place that has less than 1 from one that has more.
fn fill(places: &mut [(f64, u16)]) {
    let (mut short, mut over): (Vec<usize>, Vec<usize>) = (0..places.len()).partition(|place| places[*place].0 < 1.0);
    while let (Some(from), Some(place)) = (over.last().copied(), short.pop()) {
        places[place].1 = from as u16;
        places[from].0 -= 1.0 - places[place].0;
        if places[from].0 < 1.0 {
            over.pop();
            short.push(from);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outcomes_come_as_often_as_their_weights_say() {
        let weights = [3.0, 0.0, 1.0, 0.5, 0.0, 5.5];
        let table = Weighted::new(&weights).unwrap();
        let mut counts = [0_u32; 6];
        let mut stream = Stream::named(2, "weighted");
        (0..100_000).for_each(|_| counts[usize::from(table.draw(&mut stream))] += 1);
        for (count, weight) in counts.into_iter().zip(weights) {
            let share = weight / 10.0;
            let error = (100_000.0_f64 * share * (1.0 - share)).sqrt();
            assert!((f64::from(count) - 100_000.0 * share).abs() <= 4.5 * error, "{count} for {weight}");
        }
    }

    #[test]
    fn the_table_adds_up_to_the_weights() {
        let weights: Vec<f64> = (0..37).map(|i| f64::from(i % 5) * 0.37 + f64::from(i == 8)).collect();
        let table = Weighted::new(&weights).unwrap();
        let mut shares = vec![0.0; 37];
        for (place, (kept, other)) in table.places.iter().enumerate() {
            let kept = *kept as f64 / 2_f64.powi(64);
            shares[place] += kept;
            shares[usize::from(*other)] += 1.0 - kept;
        }
        let scale = 37.0 / weights.iter().sum::<f64>();
        assert!(shares.iter().zip(&weights).all(|(share, weight)| (share - weight * scale).abs() < 1e-9));
    }

    #[test]
    fn weights_that_make_no_sense_make_no_table() {
        for weights in [&[][..], &[0.0, 0.0], &[1.0, -1.0], &[f64::NAN], &[f64::INFINITY, 1.0]] {
            assert!(Weighted::new(weights).is_none(), "{weights:?}");
        }
    }
}
