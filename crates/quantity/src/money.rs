//! Exact money and prices per bushel.

use crate::rounding::MoneyRounding;
use crate::text;
use crate::units::{by_text, unit_names};
use crate::{BushelWeight, Bushels, MassUnit, QuantityError};
use rust_decimal::Decimal;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// Ten-thousandths in one unit of currency.
const PER_ONE: i64 = 10_000;
/// Largest magnitude a constructor accepts: a billion, so that 900,000 of them still add.
const LIMIT: i64 = 1_000_000_000 * PER_ONE;

const MONEY: &str = "an amount of money, such as $1,234.50";
const PRICE: &str = "a price per bushel, such as $4.15/bu";

unit_names! {
    /// How a bare amount of money is meant.
    MoneyUnit ("a unit of money, such as $ or cents") {
        /// The farm's currency.
        Dollar = "$" ["$", "dollar", "dollars", "usd"],
        /// Its hundredth.
        Cent = "¢" ["¢", "c", "ct", "cts", "cent", "cents"],
    }
}

unit_names! {
    /// How a bare price is meant.
    PriceUnit ("a unit of price, such as $/bu or cents/bu") {
        /// The farm's currency per bushel.
        DollarPerBu = "$/bu" ["$/bu", "/bu", "per bu", "per bushel", "dollars/bu", "a bushel"],
        /// Cents per bushel.
        CentPerBu = "¢/bu" ["¢/bu", "c/bu", "cts/bu", "cent/bu", "cents/bu", "cents per bushel", "cents a bushel"],
    }
}

/// An amount of the farm's currency, an exact count of ten-thousandths; may be negative.
///
/// ```
/// use quantity::{Money, MoneyRounding};
/// let check = Money::parse("$1,234.50")?;
/// assert_eq!(check.show(), "$1,234.50");
/// assert_eq!(check.canonical(), "1234.5000");
/// let fee = Money::from_decimal("0.00505".parse().unwrap(), MoneyRounding::HalfUp)?;
/// assert_eq!((check - fee).show(), "$1,234.4949");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// No float becomes money:
///
/// ```compile_fail,E0308
/// let pay = quantity::Money::ZERO + 4.15;
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

/// Money per bushel, exact decimal.
///
/// ```
/// use quantity::{Price, PriceUnit};
/// let bid = Price::parse("$4.15/bu")?;
/// assert_eq!(bid, Price::parse("415 cents/bu")?);
/// assert_eq!(bid, Price::parse_or("4.15", PriceUnit::DollarPerBu)?);
/// assert_eq!(bid.show(), "$4.15/bu");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Price(pub Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// One cent, the step a settlement rounds to.
    pub const CENT: Self = Self(PER_ONE / 100);

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

    /// From a decimal, rounded to ten-thousandths by a named rule.
    ///
    /// # Errors
    /// Refuses more than a billion.
    pub fn from_decimal(value: Decimal, rule: MoneyRounding) -> Result<Self, QuantityError> {
        Self::at_places(value, 4, rule)
    }

    /// From a decimal, rounded once to the cent by a named rule: the line of a settlement.
    pub fn cents_of(value: Decimal, rule: MoneyRounding) -> Result<Self, QuantityError> {
        Self::at_places(value, 2, rule)
    }

    fn at_places(value: Decimal, places: u32, rule: MoneyRounding) -> Result<Self, QuantityError> {
        let out = || QuantityError::OutOfRange {
            what: "an amount of money",
            found: format!("${}", text::grouped_shortest(value, 4)),
            low: "-$1,000,000,000",
            high: "$1,000,000,000",
        };
        if value.abs() > Decimal::from(LIMIT / PER_ONE) {
            return Err(out());
        }
        let units = rule.round(value, places) * Decimal::from(PER_ONE);
        i64::try_from(units).map(Self).map_err(|_| out())
    }

    /// Rounded to the cent by a named rule.
    #[must_use]
    pub fn to_cents(self, rule: MoneyRounding) -> Self {
        // a multiple of the cent past an i64 does not exist: the amount itself stands
        Self(rule.round_units(self.0, Self::CENT.0).unwrap_or(self.0))
    }

    /// Sum, or `None` past an `i64`.
    pub fn checked_add(self, other: Self) -> Option<Self> {
        self.0.checked_add(other.0).map(Self)
    }

    /// Magnitude.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }

    /// Whether it is exactly nothing.
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// Reads an amount that says its currency, exactly (half-even beyond ten-thousandths).
    ///
    /// # Errors
    /// Refuses a bare number (see `parse_or`), more than 24 digits, more than a billion.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None)
    }

    /// As `parse`, taking a bare number in the unit that the caller names.
    pub fn parse_or(text: &str, default: MoneyUnit) -> Result<Self, QuantityError> {
        Self::read(text, Some(default))
    }

    fn read(text: &str, default: Option<MoneyUnit>) -> Result<Self, QuantityError> {
        let (sum, symbol) = after_symbol(text, MONEY)?;
        let written = text::written(&sum).ok_or_else(|| QuantityError::unreadable(text, MONEY))?;
        let default = if symbol {
            Some(MoneyUnit::Dollar)
        } else {
            default
        };
        let unit = text::unit_of(text, written.rest, default, MoneyUnit::named, MONEY)?;
        let value = written
            .exact()
            .filter(|_| !symbol || unit == MoneyUnit::Dollar);
        let value = value.ok_or_else(|| QuantityError::unreadable(text, MONEY))?;
        let value = match unit {
            MoneyUnit::Dollar => value,
            MoneyUnit::Cent => value / Decimal::ONE_HUNDRED,
        };
        Self::from_decimal(value, MoneyRounding::HalfEven)
    }

    /// Shown with two decimals, or as many as are not zero: `$1,234.50`, `-$0.0051`.
    pub fn show(self) -> String {
        let places = if self.0 % Self::CENT.0 == 0 { 2 } else { 4 };
        with_symbol(self.decimal(), places)
    }

    /// The text it is stored as: four decimals, exact.
    pub fn canonical(self) -> String {
        self.decimal().to_string()
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse_or(text, MoneyUnit::Dollar)
    }
}

by_text!(Money, MONEY);

/// Takes the `$` off `$4.15`, `-$4.15` and `$-4.15`; says whether there was one.
fn after_symbol(text: &str, expected: &'static str) -> Result<(String, bool), QuantityError> {
    let (negative, body) = text::sign(text.trim());
    let Some(body) = body.strip_prefix('$') else {
        return Ok((text.to_owned(), false));
    };
    let body = body.trim_start();
    if !negative {
        return Ok((body.to_owned(), true));
    }
    // one sign is enough: "-$-5" is a slip of the finger
    if text::sign(body).1.len() == body.len() {
        Ok((format!("-{body}"), true))
    } else {
        Err(QuantityError::unreadable(text, expected))
    }
}

fn with_symbol(value: Decimal, places: u32) -> String {
    let shown = text::grouped(value, places);
    match shown.strip_prefix('-') {
        Some(size) => format!("-${size}"),
        None => format!("${shown}"),
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Money {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}
impl SubAssign for Money {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}
impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Price {
    /// From a decimal of the currency per bushel, within 1,000 either way.
    pub fn per_bu(value: Decimal) -> Result<Self, QuantityError> {
        if value.abs() <= Decimal::ONE_THOUSAND {
            return Ok(Self(value));
        }
        Err(QuantityError::OutOfRange {
            what: "a price per bushel",
            found: format!("${}/bu", text::grouped_shortest(value, 4)),
            low: "-$1,000/bu",
            high: "$1,000/bu",
        })
    }

    /// From a price per mass, such as dollars a hundredweight of sunflower, at a bushel weight.
    ///
    /// ```
    /// use quantity::{BushelWeight, MassUnit, Price};
    /// let oil = Price::per_mass("21.50".parse().unwrap(), MassUnit::Cwt, BushelWeight::pounds(28)?)?;
    /// assert_eq!(oil.show(), "$6.02/bu");
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    pub fn per_mass(
        value: Decimal,
        per: MassUnit,
        weight: BushelWeight,
    ) -> Result<Self, QuantityError> {
        let price = value
            .checked_mul(weight.mass().decimal(per))
            .unwrap_or(Decimal::MAX);
        Self::per_bu(price.normalize())
    }

    /// What a count of bushels brings, rounded once to the cent by a named rule.
    ///
    /// ```
    /// use quantity::{BushelWeight, Bushels, MoneyRounding, Price};
    /// let corn = BushelWeight::pounds(56)?;
    /// let net = Bushels::buyers("890.724".parse().unwrap(), corn);
    /// let gross = Price::parse("$4.15/bu")?.times(&net, MoneyRounding::HalfUp)?;
    /// assert_eq!(gross.show(), "$3,696.50"); // 3,696.5046
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    pub fn times(self, bushels: &Bushels, rule: MoneyRounding) -> Result<Money, QuantityError> {
        Money::cents_of(
            self.0.checked_mul(bushels.count).unwrap_or(Decimal::MAX),
            rule,
        )
    }

    /// Reads a price that says it is per bushel, exactly.
    ///
    /// # Errors
    /// Refuses a bare number (see `parse_or`), a price with no `/bu`, and more than $1,000/bu.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None)
    }

    /// As `parse`, taking `4.15` and `$4.15` in the unit that the caller names.
    pub fn parse_or(text: &str, default: PriceUnit) -> Result<Self, QuantityError> {
        Self::read(text, Some(default))
    }

    fn read(text: &str, default: Option<PriceUnit>) -> Result<Self, QuantityError> {
        let (sum, symbol) = after_symbol(text, PRICE)?;
        let written = text::written(&sum).ok_or_else(|| QuantityError::unreadable(text, PRICE))?;
        // with a symbol only "per bushel" is left to be said; "$4.15" where cents are meant is refused below
        let unit = text::unit_of(text, written.rest, default, PriceUnit::named, PRICE)?;
        let value = written
            .exact()
            .filter(|_| !symbol || unit == PriceUnit::DollarPerBu);
        let value = value.ok_or_else(|| QuantityError::unreadable(text, PRICE))?;
        Self::per_bu(match unit {
            PriceUnit::DollarPerBu => value,
            PriceUnit::CentPerBu => value / Decimal::ONE_HUNDRED,
        })
    }

    /// Shown with two decimals, or as many as are not zero up to four: `$4.15/bu`, `$4.1525/bu`.
    pub fn show(self) -> String {
        let places = if self.0.round_dp(4) == self.0.round_dp(2) {
            2
        } else {
            4
        };
        format!("{}/bu", with_symbol(self.0, places))
    }

    /// The text it is stored as: exact decimal per bushel.
    pub fn canonical(self) -> String {
        format!("{} /bu", self.0)
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        let bad = || QuantityError::unreadable(text, PRICE);
        let number = text.strip_suffix(" /bu").ok_or_else(bad)?;
        Self::per_bu(Decimal::from_str_exact(number).map_err(|_| bad())?)
    }
}

by_text!(Price, PRICE);
