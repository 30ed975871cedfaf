//! Seeded random streams with names.
//!
//! Each purpose draws from a stream of its own, so that a new draw in one place never shifts the
//! numbers of another. The same seed and name give the same numbers on every machine.

mod ziggurat;

use rand_core::{RngCore, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// A random stream that belongs to one purpose.
#[derive(Clone, Debug)]
pub struct Stream(Xoshiro256PlusPlus);

impl Stream {
    /// The stream called `name` of the run with this `seed`.
    #[must_use]
    pub fn named(seed: u64, name: &str) -> Stream {
        // FNV-1a spreads the name over 64 bits; the generator's own seeding mixes the rest.
        let hash = name
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
        Stream(Xoshiro256PlusPlus::seed_from_u64(seed.rotate_left(32) ^ hash))
    }

    /// Sixty-four random bits.
    #[inline]
    pub fn bits(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number in `0 <= x < 1`, uniform on multiples of 2⁻⁵³.
    #[inline]
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * (1.0 / (1u64 << 53) as f64)
    }

    /// A whole number in `0..count`, without bias. `count` must be at least 1.
    #[inline]
    pub fn below(&mut self, count: u64) -> u64 {
        assert!(count > 0, "a draw needs at least one outcome");
        // Lemire's multiply-and-reject.
        loop {
            let product = u128::from(self.bits()) * u128::from(count);
            if (product as u64) >= count.wrapping_neg() % count {
                return (product >> 64) as u64;
            }
        }
    }

    /// A standard exponential draw (mean 1).
    #[inline]
    pub fn exponential(&mut self) -> f64 {
        -libm::log1p(-self.unit())
    }

    /// A standard Normal draw, by the polar method.
    pub fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (2.0 * self.unit() - 1.0, 2.0 * self.unit() - 1.0);
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                return x * libm::sqrt(-2.0 * libm::log(square) / square);
            }
        }
    }

    /// A standard exponential draw, in a fifth of the time and by other numbers than
    /// [`Stream::exponential`]: for simulations.
    #[inline]
    pub fn fast_exponential(&mut self) -> f64 {
        ziggurat::exponential(self)
    }

    /// A standard Normal draw, in a fifth of the time and by other numbers than [`Stream::normal`]: for
    /// simulations.
    #[inline]
    pub fn fast_normal(&mut self) -> f64 {
        ziggurat::normal(self)
    }

    /// Puts a list into random order (Fisher–Yates).
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            list.swap(last, self.below(last as u64 + 1) as usize);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn streams_of_one_seed_differ_by_name_and_repeat_by_seed() {
        let draw = |seed, name| Stream::named(seed, name).bits();
        assert_eq!(draw(1, "order"), draw(1, "order"));
        assert_ne!(draw(1, "order"), draw(1, "latency"));
        assert_ne!(draw(1, "order"), draw(2, "order"));
    }

    #[test]
    fn samplers_have_the_moments_of_their_law() {
        let mut stream = Stream::named(7, "moments");
        let count = 200_000;
        let (mut normal, mut square, mut exponential) = (0.0, 0.0, 0.0);
        for _ in 0..count {
            let z = stream.normal();
            normal += z;
            square += z * z;
            exponential += stream.exponential();
        }
        let n = f64::from(count);
        assert!((normal / n).abs() < 5.0 / n.sqrt());
        assert!((square / n - 1.0).abs() < 5.0 * (2.0 / n).sqrt());
        assert!((exponential / n - 1.0).abs() < 5.0 / n.sqrt());
    }
}
