//! Fast draws from the Normal and the exponential law.
//!
//! The area under the density is covered by 256 layers of equal area, all of them rectangles but the
//! lowest, which has the tail. A point drawn in a layer almost always lies under the curve, and no
//! logarithm is needed. G. Marsaglia and W. W. Tsang, "The ziggurat method for generating random
//! variables", Journal of Statistical Software 5(8), 2000 (from memory); the edges are worked out here
//! from the condition of equal areas. What is not plain arithmetic comes from `libm`, so that the
//! draws are the same on every machine.

use std::sync::LazyLock;

use super::Stream;

const LAYERS: usize = 256;
/// From the bit after those of the layer to the sign of a float.
const SIGN_FROM_LAYERS: u32 = 63 - LAYERS.trailing_zeros();
/// Where the tail of the Normal law begins, so that 256 layers fit (the paper's value).
const NORMAL_TAIL: f64 = 3.654_152_885_361_009;
/// The same for the exponential law.
const EXPONENTIAL_TAIL: f64 = 7.697_117_470_131_05;

static NORMAL: LazyLock<Layers> = LazyLock::new(|| {
    let beyond = libm::sqrt(std::f64::consts::FRAC_PI_2) * libm::erfc(NORMAL_TAIL / std::f64::consts::SQRT_2);
    Layers::new(NORMAL_TAIL, beyond, bell, |height| libm::sqrt(-2.0 * libm::log(height)))
});

static EXPONENTIAL: LazyLock<Layers> =
    LazyLock::new(|| Layers::new(EXPONENTIAL_TAIL, decay(EXPONENTIAL_TAIL), decay, |height| -libm::log(height)));

fn bell(x: f64) -> f64 {
    libm::exp(-0.5 * x * x)
}

fn decay(x: f64) -> f64 {
    libm::exp(-x)
}

/// Layers from the lowest, the widest, to the top.
struct Layers {
    /// How wide each layer is; that of the lowest is as if it were a rectangle too. Zero at the end.
    width: [f64; LAYERS + 1],
    /// The height at which each layer begins. One at the end.
    floor: [f64; LAYERS + 1],
}

impl Layers {
    /// For a falling density with height 1 at 0, its inverse, and the area of its tail.
    fn new(tail: f64, beyond: f64, density: impl Fn(f64) -> f64, at_height: impl Fn(f64) -> f64) -> Layers {
        let area = tail * density(tail) + beyond;
        let mut layers = Layers { width: [0.0; LAYERS + 1], floor: [1.0; LAYERS + 1] };
        (layers.width[0], layers.floor[0]) = (area / density(tail), 0.0);
        (layers.width[1], layers.floor[1]) = (tail, density(tail));
        for layer in 2..LAYERS {
            layers.floor[layer] = layers.floor[layer - 1] + area / layers.width[layer - 1];
            layers.width[layer] = at_height(layers.floor[layer]);
        }
        layers
    }

    /// A point in a random layer, from bits that chose neither layer nor sign: surely under the curve,
    /// or yet to be judged.
    #[inline]
    fn point(&self, bits: u64) -> (usize, f64, bool) {
        let layer = (bits % LAYERS as u64) as usize;
        let x = (bits >> 11) as f64 * (1.0 / (1_u64 << 53) as f64) * self.width[layer];
        (layer, x, x < self.width[layer + 1])
    }

    /// Whether a point of this layer, at a random height in it, lies under the curve.
    fn is_under(&self, layer: usize, density_at_x: f64, stream: &mut Stream) -> bool {
        let (low, high) = (self.floor[layer], self.floor[layer + 1]);
        low + stream.unit() * (high - low) < density_at_x
    }
}

/// A standard Normal draw. Of 64 bits eight choose the layer, one the sign and 53 the place.
#[inline]
pub(super) fn normal(stream: &mut Stream) -> f64 {
    let bits = stream.bits();
    let (layer, x, inside) = NORMAL.point(bits);
    let size = if inside { x } else { normal_edge(layer, x, stream) };
    // The sign goes in without a branch, which would be guessed wrong half the time.
    f64::from_bits(size.to_bits() | (bits & LAYERS as u64) << SIGN_FROM_LAYERS)
}

/// The size of a draw whose point is not surely under the curve.
#[cold]
fn normal_edge(layer: usize, x: f64, stream: &mut Stream) -> f64 {
    if layer == 0 {
        normal_tail(stream)
    } else if NORMAL.is_under(layer, bell(x), stream) {
        x
    } else {
        normal(stream).abs()
    }
}

/// A draw beyond the start of the tail: exponential steps, thinned out.
fn normal_tail(stream: &mut Stream) -> f64 {
    loop {
        let step = exponential(stream) / NORMAL_TAIL;
        if 2.0 * exponential(stream) > step * step {
            return NORMAL_TAIL + step;
        }
    }
}

/// A standard exponential draw.
#[inline]
pub(super) fn exponential(stream: &mut Stream) -> f64 {
    let (layer, x, inside) = EXPONENTIAL.point(stream.bits());
    if inside { x } else { exponential_edge(layer, x, stream) }
}

/// A draw whose point is not surely under the curve. The tail of the law is the law itself, moved on.
#[cold]
fn exponential_edge(layer: usize, x: f64, stream: &mut Stream) -> f64 {
    if layer == 0 {
        EXPONENTIAL_TAIL + exponential(stream)
    } else if EXPONENTIAL.is_under(layer, decay(x), stream) {
        x
    } else {
        exponential(stream)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_layers_close_at_the_top() {
        for layers in [&NORMAL, &EXPONENTIAL] {
            let area = layers.width[0] * layers.floor[1];
            let top = layers.floor[LAYERS - 1] + area / layers.width[LAYERS - 1];
            assert!((top - 1.0).abs() < 1e-9, "{top}");
            assert!(layers.width.windows(2).all(|pair| pair[0] > pair[1]));
        }
    }

    /// The largest distance between the law and that of `count` draws, times √count.
    fn distance(count: usize, draw: fn(&mut Stream) -> f64, below: impl Fn(f64) -> f64) -> f64 {
        let mut stream = Stream::named(3, "ziggurat");
        let mut draws: Vec<f64> = (0..count).map(|_| draw(&mut stream)).collect();
        draws.sort_by(f64::total_cmp);
        let n = count as f64;
        let off = draws.iter().enumerate().map(|(rank, x)| {
            let law = below(*x);
            (law - rank as f64 / n).max((rank + 1) as f64 / n - law)
        });
        off.fold(0.0, f64::max) * n.sqrt()
    }

    fn normal_below(x: f64) -> f64 {
        0.5 * libm::erfc(-x / std::f64::consts::SQRT_2)
    }

    fn exponential_below(x: f64) -> f64 {
        -libm::expm1(-x)
    }

    // Kolmogorov's law: a true sampler goes beyond 2.5 in 7 of a million samples (2·exp(−2·2.5²)).
    #[test]
    fn draws_follow_their_law() {
        assert!(distance(400_000, normal, normal_below) < 2.5);
        assert!(distance(400_000, exponential, exponential_below) < 2.5);
    }

    // Few draws of a sample fall in the tail, so it is drawn and judged by itself.
    #[test]
    fn the_tail_of_the_normal_law_is_its_own() {
        let beyond = normal_below(-NORMAL_TAIL);
        let tail_below = |x: f64| 1.0 - normal_below(-x) / beyond;
        assert!(distance(50_000, normal_tail, tail_below) < 2.5);
    }

    #[test]
    fn both_tails_come_as_often_as_they_should() {
        let mut stream = Stream::named(4, "tails");
        let mut far = [0_u32; 3];
        let count = 2_000_000;
        for _ in 0..count {
            let (z, e) = (normal(&mut stream), exponential(&mut stream));
            far[0] += u32::from(z > 3.3);
            far[1] += u32::from(z < -3.3);
            far[2] += u32::from(e > 7.0);
        }
        let wanted = [normal_below(-3.3), normal_below(-3.3), libm::exp(-7.0)];
        for (far, share) in far.into_iter().zip(wanted) {
            let mean = share * f64::from(count);
            assert!((f64::from(far) - mean).abs() < 4.5 * mean.sqrt(), "{far} of {mean}");
        }
    }

    #[test]
    fn moments_are_those_of_the_laws() {
        let mut stream = Stream::named(7, "moments");
        let count = 400_000;
        let mut sums = [0.0; 5];
        for _ in 0..count {
            let (z, e) = (normal(&mut stream), exponential(&mut stream));
            let powers = [z, z * z, z.powi(4), e, e * e];
            sums.iter_mut().zip(powers).for_each(|(sum, power)| *sum += power);
        }
        // Means and variances of the powers, by the moments 1, 3, 15, 105 and n!.
        let laws = [(0.0, 1.0), (1.0, 2.0), (3.0, 96.0), (1.0, 1.0), (2.0, 20.0)];
        let n = f64::from(count);
        for (sum, (mean, variance)) in sums.into_iter().zip(laws) {
            assert!((sum / n - mean).abs() < 5.0 * (variance / n).sqrt(), "{} is not {mean}", sum / n);
        }
    }
}
