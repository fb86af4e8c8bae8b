//! Exact money, prices, and the named rules by which a sheet rounds.

use rust_decimal::{Decimal, RoundingStrategy};

/// An amount of the farm's currency, an exact count of ten-thousandths; may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

/// Money per bushel, exact decimal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Price(pub Decimal);

/// How a sheet rounds; every rounding names one of these.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoneyRounding {
    /// Halves away from zero.
    HalfUp,
    /// Halves to the even neighbour.
    HalfEven,
    /// Towards zero.
    Down,
    /// Away from zero.
    Up,
}

impl MoneyRounding {
    /// Rounds a decimal to a number of places by this rule.
    pub fn round(self, value: Decimal, places: u32) -> Decimal {
        let strategy = match self {
            Self::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Self::HalfEven => RoundingStrategy::MidpointNearestEven,
            Self::Down => RoundingStrategy::ToZero,
            Self::Up => RoundingStrategy::AwayFromZero,
        };
        value.round_dp_with_strategy(places, strategy)
    }
}

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// From ten-thousandths of the currency unit.
    pub const fn from_units(units: i64) -> Self {
        Self(units)
    }
    /// Ten-thousandths of the currency unit.
    pub const fn units(self) -> i64 {
        self.0
    }
    /// As an exact decimal of the currency unit.
    pub fn decimal(self) -> Decimal {
        Decimal::new(self.0, 4)
    }
}
