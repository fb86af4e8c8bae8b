//! Length and area: swaths, offsets, boundaries, acres.

use crate::QuantityError;
use crate::real::real_quantity;
use crate::text;
use crate::units::{Units, unit_names};

const LENGTH: &str = "a length with its unit, such as 30 ft, 30 ft 6 in, 9.1 m or 360 in";
const AREA: &str = "an area with its unit, such as 80 ac, 32 ha or 435.6 ft2";

unit_names! {
    /// Units of length.
    LengthUnit ("a unit of length, such as ft, in, mi, m or km") {
        /// Meter.
        M = "m" ["m", "meter", "meters", "metre", "metres"],
        /// International foot, 0.3048 m.
        Ft = "ft" ["ft", "foot", "feet", "'", "\u{2032}", "\u{2019}"],
        /// Inch, 0.0254 m.
        In = "in" ["in", "inch", "inches", "\"", "\u{2033}", "\u{201d}", "''"],
        /// Statute mile, 5,280 ft.
        Mi = "mi" ["mi", "mile", "miles"],
        /// Yard, 3 ft.
        Yd = "yd" ["yd", "yard", "yards"],
        /// Centimeter.
        Cm = "cm" ["cm", "centimeter", "centimeters", "centimetre", "centimetres"],
        /// Millimeter.
        Mm = "mm" ["mm", "millimeter", "millimeters", "millimetre", "millimetres"],
        /// Kilometer.
        Km = "km" ["km", "kilometer", "kilometers", "kilometre", "kilometres"],
    }
}

real_quantity! {
    /// A length in meters; negative for an offset to the other side.
    ///
    /// ```
    /// use quantity::{Length, LengthUnit, Units};
    /// let swath = Length::parse("30ft")?;
    /// assert_eq!(swath, Length::parse("360 in")?);
    /// assert_eq!(swath.show(Units::Us), "30.0 ft");
    /// assert_eq!(swath.show(Units::Metric), "9.14 m");
    /// assert!(Length::parse("30").is_err());
    /// assert_eq!(Length::parse_or("30", LengthUnit::Ft)?, swath);
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    ///
    /// A length is not an area and not a number:
    ///
    /// ```compile_fail,E0308
    /// use quantity::{Area, Length};
    /// let _ = Length::ZERO + Area::ZERO;
    /// ```
    ///
    /// ```compile_fail,E0308
    /// let _ = quantity::Length::ZERO + 3.0;
    /// ```
    Length, LengthUnit, M, LENGTH;
    range -1_000_000.0..=1_000_000.0, "a length", "-1,000 km", "1,000 km";
    M = 1.0 / 1.0, from_m, m;
    Ft = 3_048.0 / 10_000.0, from_ft, ft;
    In = 254.0 / 10_000.0, from_inches, inches;
    Mi = 1_609_344.0 / 1_000.0, from_mi, mi;
    Yd = 9_144.0 / 10_000.0, from_yd, yd;
    Cm = 1.0 / 100.0, from_cm, cm;
    Mm = 1.0 / 1_000.0, from_mm, mm;
    Km = 1_000.0 / 1.0, from_km, km;
}

unit_names! {
    /// Units of area.
    AreaUnit ("a unit of area, such as ac, ha, m2 or ft2") {
        /// Square meter.
        M2 = "m2" ["m2", "m²", "sq m", "square meters", "square metres"],
        /// International acre, 0.40468564224 ha.
        Ac = "ac" ["ac", "acre", "acres"],
        /// Hectare.
        Ha = "ha" ["ha", "hectare", "hectares"],
        /// Square foot.
        Ft2 = "ft2" ["ft2", "ft²", "sq ft", "square feet", "square foot"],
    }
}

real_quantity! {
    /// An area in square meters; never negative.
    ///
    /// ```
    /// use quantity::{Area, Units};
    /// let field = Area::parse("80 ac")?;
    /// assert_eq!(field.show(Units::Us), "80.00 ac");
    /// assert_eq!(field.show(Units::Metric), "32.37 ha");
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    Area, AreaUnit, M2, AREA;
    range 0.0..=10_000_000_000.0, "an area", "0 ac", "1,000,000 ha";
    M2 = 1.0 / 1.0, from_m2, m2;
    Ac = 40_468_564_224.0 / 10_000_000.0, from_ac, ac;
    Ha = 10_000.0 / 1.0, from_ha, ha;
    Ft2 = 9_290_304.0 / 100_000_000.0, from_ft2, ft2;
}

impl Length {
    /// Reads `30 ft`, and feet and inches together: `30' 6"`, `30 ft 6 in`.
    fn read(text: &str, default: Option<LengthUnit>) -> Result<Self, QuantityError> {
        let Some((feet, inches)) = feet_and_inches(text) else {
            return Self::read_simple(text, default);
        };
        let bad = || QuantityError::unreadable(text, LENGTH);
        let (feet, inches) = (
            feet.float().ok_or_else(bad)?,
            inches.float().ok_or_else(bad)?,
        );
        if !(0.0..12.0).contains(&inches) {
            return Err(bad());
        }
        let negative = text.trim_start().starts_with(['-', '\u{2212}']);
        Self::new(
            feet * 12.0 + if negative { -inches } else { inches },
            LengthUnit::In,
        )
    }

    /// Shown in feet or meters; miles or kilometers when long, inches or centimeters when short.
    pub fn show(self, units: Units) -> String {
        let (unit, places) = match (units, self.0.abs()) {
            (Units::Us, size) if size >= 1_609.344 => (LengthUnit::Mi, 2),
            (Units::Us, size) if size < 0.914_4 && size > 0.0 => (LengthUnit::In, 2),
            (Units::Us, _) => (LengthUnit::Ft, 1),
            (Units::Metric, size) if size >= 1_000.0 => (LengthUnit::Km, 3),
            (Units::Metric, size) if size < 1.0 && size > 0.0 => (LengthUnit::Cm, 1),
            (Units::Metric, _) => (LengthUnit::M, 2),
        };
        self.show_in(unit, places)
    }
}

/// Splits `30 ft 6 in` into its two numbers; `None` where it is not of that form.
fn feet_and_inches(text: &str) -> Option<(text::Written<'_>, text::Written<'_>)> {
    let feet = text::written(text)?;
    let at = feet.rest.find(|c: char| c.is_ascii_digit())?;
    let inches = text::written(&feet.rest[at..])?;
    let units = (
        LengthUnit::named(feet.rest[..at].trim()),
        LengthUnit::named(inches.rest),
    );
    (units == (Some(LengthUnit::Ft), Some(LengthUnit::In))).then_some((feet, inches))
}

impl std::ops::Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl std::ops::Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(0.0 - self.0)
    }
}

impl Area {
    /// Of a rectangle, such as a swath and the length it was driven.
    ///
    /// ```
    /// use quantity::{Area, Length};
    /// let cut = Area::of_rectangle(Length::from_ft(30.0)?, Length::from_ft(1_452.0)?)?;
    /// assert!((cut.ac() - 1.0).abs() < 1e-12);
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// Refuses a negative product and what is out of range.
    pub fn of_rectangle(wide: Length, long: Length) -> Result<Self, QuantityError> {
        Self::from_m2(wide.0 * long.0)
    }

    /// What is left after a part is taken out; `None` where the part is the larger.
    pub fn checked_sub(self, part: Self) -> Option<Self> {
        (part.0 <= self.0).then_some(Self(self.0 - part.0))
    }

    fn read(text: &str, default: Option<AreaUnit>) -> Result<Self, QuantityError> {
        Self::read_simple(text, default)
    }

    /// Shown in acres or hectares; below a hundredth of an acre in square feet or meters.
    pub fn show(self, units: Units) -> String {
        let small = self.0 > 0.0 && self.0 < 40.468_564_224;
        match (units, small) {
            (Units::Us, true) => self.show_in(AreaUnit::Ft2, 1),
            (Units::Us, false) => self.show_in(AreaUnit::Ac, 2),
            (Units::Metric, true) => self.show_in(AreaUnit::M2, 2),
            (Units::Metric, false) => self.show_in(AreaUnit::Ha, 2),
        }
    }
}
