//! Units of pressure, each by its definition.
//!
//! Conventional values: the centimetre of water is a column of 1 000 kg/m³, the millimetre of mercury
//! one of 13 595.1 kg/m³, both under the standard acceleration of free fall, 9.806 65 m/s² (3rd CGPM,
//! 1901); the pound is 0.453 592 37 kg and the inch 25.4 mm exactly (international agreement of 1959).

use serde::{Deserialize, Serialize};

const FREE_FALL: f64 = 9.806_65;
const WATER: f64 = 1_000.0;
const MERCURY: f64 = 13_595.1;
const INCH: f64 = 0.025_4;
const POUND: f64 = 0.453_592_37;

/// A unit of pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Pressure {
    /// Pascal, N/m².
    Pa,
    /// Hectopascal, 100 Pa.
    #[serde(rename = "hPa")]
    HPa,
    /// Kilopascal, 1 000 Pa.
    #[serde(rename = "kPa")]
    KPa,
    /// Centimetre of water.
    #[serde(rename = "cmH2O")]
    CmH2O,
    /// Millimetre of mercury.
    #[serde(rename = "mmHg")]
    MmHg,
    /// Inch of water.
    #[serde(rename = "inH2O")]
    InH2O,
    /// Pound-force per square inch.
    #[serde(rename = "psi")]
    Psi,
}

impl Pressure {
    /// All of them with their symbols.
    pub const ALL: [(Pressure, &'static str); 7] = [
        (Pressure::Pa, "Pa"),
        (Pressure::HPa, "hPa"),
        (Pressure::KPa, "kPa"),
        (Pressure::CmH2O, "cmH2O"),
        (Pressure::MmHg, "mmHg"),
        (Pressure::InH2O, "inH2O"),
        (Pressure::Psi, "psi"),
    ];

    /// One of it in pascals.
    #[must_use]
    pub fn pascals(self) -> f64 {
        match self {
            Pressure::Pa => 1.0,
            Pressure::HPa => 100.0,
            Pressure::KPa => 1_000.0,
            Pressure::CmH2O => WATER * FREE_FALL * 0.01,
            Pressure::MmHg => MERCURY * FREE_FALL * 0.001,
            Pressure::InH2O => WATER * FREE_FALL * INCH,
            Pressure::Psi => POUND * FREE_FALL / (INCH * INCH),
        }
    }

    /// The same pressure in another unit.
    #[must_use]
    pub fn convert(self, value: f64, to: Pressure) -> f64 {
        value * self.pascals() / to.pascals()
    }

    /// A pressure as people write it, "5 kPa" or "50 cmH2O", in pascals; `None` when it is none, is not
    /// above zero, or lies beyond 10⁶ Pa, which no breath and no sensor of one reaches.
    #[must_use]
    pub fn read(text: &str) -> Option<f64> {
        let text = text.trim();
        let digits = text.find(|letter: char| letter.is_ascii_alphabetic())?;
        let (value, symbol) = text.split_at(digits);
        let (unit, _) = Pressure::ALL.into_iter().find(|(_, known)| *known == symbol)?;
        let pascals = unit.convert(value.trim().parse().ok()?, Pressure::Pa);
        (pascals > 0.0 && pascals <= 1e6).then_some(pascals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn units_agree_with_published_factors() {
        // NIST Special Publication 811 (2008), appendix B.8, as printed there.
        for (unit, pascals, digits) in [
            (Pressure::CmH2O, 98.066_5, 1e-12),
            (Pressure::MmHg, 133.322_4, 1e-6),
            (Pressure::InH2O, 249.088_9, 1e-6),
            (Pressure::Psi, 6_894.757, 1e-7),
        ] {
            assert!(close(unit.pascals(), pascals, digits), "{unit:?} {}", unit.pascals());
        }
    }

    #[test]
    fn worked_conversions() {
        assert!(close(Pressure::CmH2O.convert(50.0, Pressure::KPa), 4.903_325, 1e-12));
        assert!(close(Pressure::CmH2O.convert(65.0, Pressure::KPa), 6.374_322_5, 1e-12));
        assert!(close(Pressure::KPa.convert(1.0, Pressure::CmH2O), 10.197_162_13, 1e-9));
        for (unit, _) in Pressure::ALL {
            assert!(close(Pressure::Pa.convert(unit.convert(3.0, Pressure::Pa), unit), 3.0, 1e-14), "{unit:?}");
        }
    }

    #[test]
    fn pressures_are_read_with_their_unit_and_nothing_else_is() {
        assert_eq!(Pressure::read("5 kPa"), Some(5_000.0));
        assert_eq!(Pressure::read("10hPa"), Some(1_000.0));
        for text in ["", "5", "kPa", "5 bar", "-5 kPa", "NaN kPa", "inf kPa", "0 kPa", "5 kPa 3"] {
            assert_eq!(Pressure::read(text), None, "{text}");
        }
    }
}
