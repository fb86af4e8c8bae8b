//! Measured quantities that are never ledgered: a float in SI behind a range check.

/// Declares a measured quantity in SI with its units.
///
/// Each factor is a ratio of whole numbers, exact by definition (a foot is 3,048/10,000 m), and is
/// applied as a product and a quotient, so that 8 ft 6 in and 102 in are the same 2.5908 m. What is
/// written in SI goes through unchanged, so canonical text reads back to the same bits.
macro_rules! real_quantity {
    (
        $(#[$doc:meta])* $name:ident, $unit:ident, $si:ident, $expected:ident;
        range $low:literal ..= $high:literal, $what:literal, $low_text:literal, $high_text:literal;
        $($variant:ident = $num:literal / $den:literal, $from:ident, $as:ident);* $(;)?
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $unit {
            /// How many of the SI unit one of this unit is, as an exact ratio.
            const fn ratio(self) -> (f64, f64) {
                match self {
                    $(Self::$variant => ($num, $den)),*
                }
            }

            /// How many of the SI unit one of this unit is.
            pub fn per(self) -> f64 {
                let (over, under) = self.ratio();
                over / under
            }
        }

        impl $name {
            /// Nothing.
            pub const ZERO: Self = Self(0.0);

            /// From a number and its unit.
            ///
            /// # Errors
            /// Refuses NaN, infinity and what is out of range.
            pub fn new(value: f64, unit: $unit) -> Result<Self, $crate::QuantityError> {
                let (over, under) = unit.ratio();
                let si = value * over / under;
                if ($low..=$high).contains(&si) {
                    // adding zero makes -0 plain, so that it never prints as "-0"
                    Ok(Self(si + 0.0))
                } else {
                    Err($crate::QuantityError::OutOfRange {
                        what: $what,
                        found: $crate::error::shortened(&format!("{value} {}", unit.symbol())),
                        low: $low_text,
                        high: $high_text,
                    })
                }
            }

            /// In any of its units, for kernels and printing.
            pub fn to(self, unit: $unit) -> f64 {
                let (over, under) = unit.ratio();
                self.0 * under / over
            }

            $(
                #[doc = concat!("From ", stringify!($as), "; refuses what is not finite or out of range.")]
                pub fn $from(value: f64) -> Result<Self, $crate::QuantityError> {
                    Self::new(value, $unit::$variant)
                }
                #[doc = concat!("In ", stringify!($as), ".")]
                pub fn $as(self) -> f64 {
                    self.to($unit::$variant)
                }
            )*

            /// Reads a number with its unit.
            ///
            /// # Errors
            /// Refuses a bare number (see `parse_or`), an unknown unit, and what is out of range.
            pub fn parse(text: &str) -> Result<Self, $crate::QuantityError> {
                Self::read(text, None)
            }

            /// As `parse`, taking a bare number in the unit that the caller names.
            pub fn parse_or(text: &str, default: $unit) -> Result<Self, $crate::QuantityError> {
                Self::read(text, Some(default))
            }

            fn read_simple(text: &str, default: Option<$unit>) -> Result<Self, $crate::QuantityError> {
                let written = $crate::text::number(text, $expected)?;
                let unit = $crate::text::unit_of(text, written.rest, default, $unit::named, $expected)?;
                let value = written
                    .float()
                    .ok_or_else(|| $crate::QuantityError::unreadable(text, $expected))?;
                Self::new(value, unit)
            }

            /// Shown in a named unit with a number of decimals, thousands grouped.
            pub fn show_in(self, unit: $unit, places: usize) -> String {
                format!("{} {}", $crate::text::grouped_f64(self.to(unit), places), unit.symbol())
            }

            /// The text it is stored as: shortest digits that read back to the same value, SI.
            pub fn canonical(self) -> String {
                format!("{} {}", self.0, $unit::$si.symbol())
            }

            fn from_canonical(text: &str) -> Result<Self, $crate::QuantityError> {
                Self::parse(text)
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self::ZERO, std::ops::Add::add)
            }
        }
        /// How many of one go into the other.
        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        $crate::units::by_text!($name, $expected);
    };
}

pub(crate) use real_quantity;
