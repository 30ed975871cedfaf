//! Height, slope and curvature of a log-likelihood at a point, and how terms add up to one.

/// A vector over the three parameters.
pub(super) type Three = [f64; 3];

/// Below this chance of being seen at all a truncated likelihood says nothing any more.
const LEAST_CHANCE: f64 = 1e-9;

/// Height, slope and curvature at a point, in the surface's own coordinates.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Local {
    pub height: f64,
    pub slope: Three,
    /// Symmetric.
    pub curvature: [Three; 3],
}

impl Local {
    pub(super) fn add(&mut self, weight: f64, term: &Local) {
        self.height += weight * term.height;
        for row in 0..3 {
            self.slope[row] += weight * term.slope[row];
            for column in 0..3 {
                self.curvature[row][column] += weight * term.curvature[row][column];
            }
        }
    }

    /// This ln of a chance. Where next to nothing could be seen the height is not a number, which no climb
    /// accepts.
    pub(super) fn if_likely(self) -> Local {
        let height = if self.height > libm::log(LEAST_CHANCE) { self.height } else { f64::NAN };
        Local { height, ..self }
    }

    /// ln of the chance of a value between two limits, where these are those of one above either.
    pub(super) fn chance_between(&self, above: &Local) -> Local {
        let (mut share, mut chance) = (*above, *self);
        share.add(-1.0, self);
        chance.add(1.0, &share.complement());
        chance.if_likely()
    }

    /// ln of the chance of a value at or below a limit, where this is that of one above it.
    pub(super) fn chance_below(&self) -> Local {
        self.complement().if_likely()
    }

    /// ln (1 − p), where this is ln p.
    fn complement(&self) -> Local {
        let chance = -libm::expm1(self.height);
        let odds = libm::exp(self.height) / chance;
        let mut below =
            Local { height: libm::log(chance), slope: self.slope.map(|part| -odds * part), curvature: [[0.0; 3]; 3] };
        for row in 0..3 {
            for column in 0..3 {
                let product = self.slope[row] * self.slope[column];
                below.curvature[row][column] = -odds * (self.curvature[row][column] + (1.0 + odds) * product);
            }
        }
        below
    }
}
