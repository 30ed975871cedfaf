//! What no arrangement can beat: entropy, Huffman's code, and the bound for letters of unequal cost.
//!
//! A scanned menu is a prefix code: to take the `j`-th entry of a group is a letter that costs the time
//! until it is lit and pressed. With entropy `H` of the uses in bits, no such code has a mean cost below
//! `H / λ`, where `λ` solves `Σ_j 2^(−λ c_j) = 1` over the costs `c_j` of the letters (Krause 1962,
//! Information and Control 5:13–14; from memory). It reckons with no errors, with groups of any length
//! and depth, and with nothing that has to keep its place, so it can seldom be reached.

/// Entropy of uses in bits a selection; 0 where nothing is used.
#[must_use]
pub fn entropy(weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    let shares = weights.iter().map(|weight| weight / total).filter(|share| *share > 0.0);
    shares.map(|share| -share * libm::log2(share)).sum()
}

/// Mean length of the shortest code of two letters of equal cost (Huffman 1952, Proceedings of the IRE
/// 40:1098–1101): the fewest questions with yes or no that single an item out.
#[must_use]
pub fn huffman(weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    let mut left = weights.to_vec();
    let mut length = 0.0;
    while left.len() > 1 {
        left.sort_by(|one, other| other.total_cmp(one));
        let joined = left.pop().unwrap_or(0.0) + left.pop().unwrap_or(0.0);
        length += joined / total;
        left.push(joined);
    }
    length
}

/// What it costs to take an entry, in any unit of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Letters {
    /// The first entry of a group.
    pub first: f64,
    /// From the first to the second.
    pub second: f64,
    /// From each further one to the next.
    pub next: f64,
}

impl Letters {
    /// Bits that a unit of time carries at most: `λ`. `None` where a letter costs nothing.
    #[must_use]
    pub fn capacity(&self) -> Option<f64> {
        let Letters { first, second, next } = *self;
        if !(first > 0.0 && second > 0.0 && next > 0.0 && (first + second + next).is_finite()) {
            return None;
        }
        // 2^(−λ first) (1 + 2^(−λ second) / (1 − 2^(−λ next))) falls from infinity to 0 in λ.
        let sum = |rate: f64| {
            let letter = |cost: f64| libm::exp2(-rate * cost);
            letter(first) * (1.0 + letter(second) / (1.0 - letter(next)))
        };
        let mut high = 1.0 / first.min(next);
        while sum(high) > 1.0 {
            high *= 2.0;
        }
        let mut low = 0.0;
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if sum(middle) > 1.0 { low = middle } else { high = middle }
        }
        Some(high)
    }

    /// The least mean cost that any menu could have for these uses.
    #[must_use]
    pub fn bound(&self, weights: &[f64]) -> Option<f64> {
        Some(entropy(weights) / self.capacity()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An invented household menu of eight items.
    const HOUSEHOLD: [f64; 8] = [0.28, 0.22, 0.14, 0.12, 0.10, 0.07, 0.04, 0.03];

    fn steps(kappa: f64) -> Letters {
        Letters { first: 1.0 + kappa, second: 1.0, next: 1.0 }
    }

    #[test]
    fn entropy_and_huffman_are_those_of_worked_examples() {
        // scipy 1.17.1: entropy(p, base=2); see tests/reference/arrange.py, also for Huffman.
        assert!((entropy(&HOUSEHOLD) - 2.697_240).abs() < 1e-6);
        assert!((huffman(&HOUSEHOLD) - 2.71).abs() < 1e-12);
        // Cover and Thomas 2006, Elements of Information Theory, examples 2.1.2 and 5.6.1 (from memory).
        assert!((entropy(&[0.5, 0.25, 0.125, 0.125]) - 1.75).abs() < 1e-12);
        assert!((huffman(&[0.25, 0.25, 0.2, 0.15, 0.15]) - 2.3).abs() < 1e-12);
    }

    #[test]
    fn equal_uses_and_single_items_have_the_values_of_the_definition() {
        assert!((entropy(&[1.0; 64]) - 6.0).abs() < 1e-12 && (huffman(&[1.0; 64]) - 6.0).abs() < 1e-12);
        assert_eq!((entropy(&[3.0]), huffman(&[3.0]), entropy(&[])), (0.0, 0.0, 0.0));
    }

    #[test]
    fn the_capacity_solves_its_equation() {
        // Letters of cost 1 + κ, 2 + κ, …: λ = −log2 x with x^(κ+1) = 1 − x; κ = 0 and 1 by hand, the others by scipy.
        for (kappa, rate, bound) in [
            (0.0, 1.0, 2.697_240),
            (1.0, 0.694_242, 3.885_159),
            (2.0, 0.551_463, 4.891_062),
            (-0.35, 1.231_562, 2.190_096),
        ] {
            let letters = steps(kappa);
            assert!((letters.capacity().unwrap() - rate).abs() < 1e-6, "{kappa}");
            assert!((letters.bound(&HOUSEHOLD).unwrap() - bound).abs() < 1e-6, "{kappa}");
        }
        // The golden ratio, once more (κ = 1): a code of costs 2, 3, 4 … carries as much as one of costs 1 and 2.
        assert!((steps(1.0).capacity().unwrap() - f64::log2(f64::midpoint(1.0, 5.0_f64.sqrt()))).abs() < 1e-12);
    }

    #[test]
    fn letters_that_cost_nothing_have_no_capacity() {
        for letters in
            [Letters { first: 0.0, second: 1.0, next: 1.0 }, Letters { first: f64::NAN, second: 1.0, next: 1.0 }]
        {
            assert_eq!(letters.bound(&HOUSEHOLD), None);
        }
    }
}
