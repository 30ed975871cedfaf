//! A number that carries its slopes and curvatures along two variables, so that sums, products and functions
//! of such numbers carry theirs exactly; no step size, no differences.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A value with its first and second derivatives by two variables, `t` and `k`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Jet {
    pub value: f64,
    pub t: f64,
    pub k: f64,
    pub tt: f64,
    pub tk: f64,
    pub kk: f64,
}

impl Jet {
    /// A number that depends on neither variable.
    pub(super) fn constant(value: f64) -> Jet {
        Jet { value, t: 0.0, k: 0.0, tt: 0.0, tk: 0.0, kk: 0.0 }
    }

    /// The two variables themselves.
    pub(super) fn variables(t: f64, k: f64) -> (Jet, Jet) {
        (Jet { t: 1.0, ..Jet::constant(t) }, Jet { k: 1.0, ..Jet::constant(k) })
    }

    /// A function of this number, from its value and its first and second derivative here.
    #[inline]
    pub(super) fn through(self, value: f64, first: f64, second: f64) -> Jet {
        Jet {
            value,
            t: first * self.t,
            k: first * self.k,
            tt: first * self.tt + second * self.t * self.t,
            tk: first * self.tk + second * self.t * self.k,
            kk: first * self.kk + second * self.k * self.k,
        }
    }

    pub(super) fn ln(self) -> Jet {
        let per = 1.0 / self.value;
        self.through(libm::log(self.value), per, -per * per)
    }

    /// ln(1 + x), all digits kept near 0.
    #[inline]
    pub(super) fn ln_1p(self) -> Jet {
        let per = 1.0 / (1.0 + self.value);
        self.through(libm::log1p(self.value), per, -per * per)
    }

    pub(super) fn sqrt(self) -> Jet {
        let root = libm::sqrt(self.value);
        self.through(root, 0.5 / root, -0.25 / (root * self.value))
    }

    #[inline]
    pub(super) fn recip(self) -> Jet {
        let per = 1.0 / self.value;
        self.through(per, -per * per, 2.0 * per * per * per)
    }
}

impl Add for Jet {
    type Output = Jet;
    #[inline]
    fn add(self, other: Jet) -> Jet {
        Jet {
            value: self.value + other.value,
            t: self.t + other.t,
            k: self.k + other.k,
            tt: self.tt + other.tt,
            tk: self.tk + other.tk,
            kk: self.kk + other.kk,
        }
    }
}

impl Mul for Jet {
    type Output = Jet;
    #[inline]
    fn mul(self, other: Jet) -> Jet {
        Jet {
            value: self.value * other.value,
            t: self.t * other.value + self.value * other.t,
            k: self.k * other.value + self.value * other.k,
            tt: self.tt * other.value + 2.0 * self.t * other.t + self.value * other.tt,
            tk: self.tk * other.value + self.t * other.k + self.k * other.t + self.value * other.tk,
            kk: self.kk * other.value + 2.0 * self.k * other.k + self.value * other.kk,
        }
    }
}

impl Mul<f64> for Jet {
    type Output = Jet;
    #[inline]
    fn mul(self, factor: f64) -> Jet {
        self.through(self.value * factor, factor, 0.0)
    }
}

impl Add<f64> for Jet {
    type Output = Jet;
    #[inline]
    fn add(self, more: f64) -> Jet {
        Jet { value: self.value + more, ..self }
    }
}

impl Neg for Jet {
    type Output = Jet;
    #[inline]
    fn neg(self) -> Jet {
        self * -1.0
    }
}

impl Sub for Jet {
    type Output = Jet;
    #[inline]
    fn sub(self, other: Jet) -> Jet {
        self + -other
    }
}

impl Div for Jet {
    type Output = Jet;
    #[inline]
    #[expect(clippy::suspicious_arithmetic_impl, reason = "a quotient is a product with the reciprocal")]
    fn div(self, other: Jet) -> Jet {
        self * other.recip()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_those_of_the_written_out_function() {
        // f = ln(1 + t k) √t / k at (2, 3), derivatives by hand with u = 1 + t k = 7.
        let (t, k) = Jet::variables(2.0, 3.0);
        let found = (t * k).ln_1p() * t.sqrt() / k;
        let (root, log) = (2.0_f64.sqrt(), 7.0_f64.ln());
        let by_t = (3.0 / 7.0 * root + log / (2.0 * root)) / 3.0;
        let by_k = root * (2.0 / 7.0 / 3.0 - log / 9.0);
        let by_tt = (-9.0 / 49.0 * root + 3.0 / 7.0 / root - log / (4.0 * 2.0 * root)) / 3.0;
        let by_kk = root * (-4.0 / 49.0 / 3.0 - 2.0 * 2.0 / 7.0 / 9.0 + 2.0 * log / 27.0);
        let by_tk = (2.0 / 7.0 / 3.0 - log / 9.0) / (2.0 * root) + root * (1.0 / 49.0 / 3.0 - 3.0 / 7.0 / 9.0);
        for (found, wanted) in [
            (found.value, log * root / 3.0),
            (found.t, by_t),
            (found.k, by_k),
            (found.tt, by_tt),
            (found.kk, by_kk),
            (found.tk, by_tk),
        ] {
            assert!((found - wanted).abs() < 1e-14, "{found} {wanted}");
        }
    }

    #[test]
    fn a_difference_with_itself_vanishes_with_all_its_derivatives() {
        let (t, k) = Jet::variables(0.7, 1.3);
        let found = (t * k + 2.0).ln() - (k * t + 2.0).ln();
        assert_eq!(found, Jet::constant(0.0));
    }
}
