//! Throughput of aimed movements, as ISO 9241-411:2012 defines it (from memory; the numbers of its test are worked).
//!
//! What counts is where the movements ended, not how large the target was: the effective width holds 96 % of the end
//! points of a normal law. Means are divided, not quotients averaged. Lengths are in any one unit.

/// √(2πe), as the standard rounds it.
const WIDTHS: f64 = 4.133;

/// One movement to a target, looked at along the straight line from where it began to the target's middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Movement {
    /// Length of that line.
    pub distance: f64,
    /// How far beyond the middle it ended; negative when short of it.
    pub off: f64,
    /// Seconds that it took.
    pub seconds: f64,
}

/// What movements of one kind come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Throughput {
    /// Mean length of the movements, to where they ended.
    pub distance: f64,
    /// Effective width: 4.133 standard deviations of the ends.
    pub width: f64,
    /// Effective index of difficulty, in bits.
    pub bits: f64,
    /// Mean seconds of a movement.
    pub seconds: f64,
    /// Bits a second.
    pub bits_per_s: f64,
}

/// The throughput of these movements; `None` where fewer than two, no spread or no time leaves it without a meaning.
#[must_use]
pub fn throughput(movements: &[Movement]) -> Option<Throughput> {
    let count = movements.len() as f64;
    let mean = |of: fn(&Movement) -> f64| movements.iter().map(of).sum::<f64>() / count;
    let off = mean(|one| one.off);
    let squares: f64 = movements.iter().map(|one| (one.off - off).powi(2)).sum();
    let width = WIDTHS * (squares / (count - 1.0)).sqrt();
    let (distance, seconds) = (mean(|one| one.distance + one.off), mean(|one| one.seconds));
    let bits = libm::log2(distance / width + 1.0);
    let found = Throughput { distance, width, bits, seconds, bits_per_s: bits / seconds };
    (movements.len() > 1 && width > 0.0 && distance > 0.0 && seconds > 0.0).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    /// Movements over 512 units in 0.9 s whose ends have this standard deviation.
    fn moved(sd: f64) -> Vec<Movement> {
        // Of plus and minus one, as often, the standard deviation of a sample of ten is √(10/9).
        let off = |n: u32| sd * (0.9_f64).sqrt() * if n.is_multiple_of(2) { 1.0 } else { -1.0 };
        (0..10).map(|n| Movement { distance: 512.0, off: off(n), seconds: 0.9 }).collect()
    }

    #[test]
    fn the_worked_numbers_of_the_standard_come_out() {
        // ISO 9241-411, amplitude 512 and movement time 0.9 s (formulas from memory): ends with a standard deviation of 12
        // are 49.596 wide, 3.501237 bit and 3.890263 bit/s.
        let found = throughput(&moved(12.0)).unwrap();
        assert!(close(found.width, 49.596, 1e-9) && close(found.distance, 512.0, 1e-12), "{found:?}");
        assert!(close(found.bits, 3.501_237, 1e-6) && close(found.bits_per_s, 3.890_263, 1e-6), "{found:?}");
        // As wide as a target of 64 is: 3.169925 bit, 3.522139 bit/s.
        let found = throughput(&moved(64.0 / 4.133)).unwrap();
        assert!(close(found.bits, 3.169_925, 1e-6) && close(found.bits_per_s, 3.522_139, 1e-6), "{found:?}");
    }

    #[test]
    fn the_rounded_constant_is_that_of_a_normal_law() {
        assert!((WIDTHS - (std::f64::consts::TAU * std::f64::consts::E).sqrt()).abs() < 5e-4);
    }

    #[test]
    fn where_nothing_spreads_or_nothing_moved_there_is_none() {
        assert_eq!((throughput(&[]), throughput(&moved(12.0)[..1]), throughput(&moved(0.0))), (None, None, None));
    }
}
