//! How quantities stand in a stored payload. The form is the book's contract and never changes:
//! a mass is exact with its unit, `"23686.64356140 kg"` (8 decimals, since a unit is 10
//! micrograms); a moisture is `"14.3 %"`, wet basis.

/// For `#[serde(with = "stored::mass")]`.
pub(crate) mod mass {
    use quantity::Mass;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    /// Writes the stored form.
    pub(crate) fn text(mass: Mass) -> String {
        let units = mass.units();
        let sign = if units < 0 { "-" } else { "" };
        let size = units.unsigned_abs();
        format!("{sign}{}.{:08} kg", size / 100_000_000, size % 100_000_000)
    }

    /// Reads the stored form only: digits, a point, 8 digits, ` kg`.
    pub(crate) fn read(text: &str) -> Option<Mass> {
        let number = text.strip_suffix(" kg")?;
        let (sign, digits) = number
            .strip_prefix('-')
            .map_or((1, number), |rest| (-1, rest));
        let (whole, part) = digits.split_once('.')?;
        let plain = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !plain(whole) || !plain(part) || part.len() != 8 {
            return None;
        }
        let units = whole.parse::<i64>().ok()?.checked_mul(100_000_000)?;
        let units = units
            .checked_add(part.parse::<i64>().ok()?)?
            .checked_mul(sign)?;
        (units.abs() <= 100_000_000 * 100_000_000).then(|| Mass::from_units(units))
    }

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde's `with` hands over a reference"
    )]
    pub(crate) fn serialize<S: Serializer>(mass: &Mass, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&text(*mass))
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Mass, D::Error> {
        let found = String::deserialize(from)?;
        read(&found).ok_or_else(|| {
            D::Error::custom(format!(
                "found '{found}', expected a mass like '23686.64356140 kg'"
            ))
        })
    }
}

/// For `#[serde(with = "stored::moisture")]`.
pub(crate) mod moisture {
    use quantity::Moisture;
    use rust_decimal::Decimal;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    /// Writes the stored form: no more decimals than needed.
    pub(crate) fn text(moisture: Moisture) -> String {
        format!(
            "{} %",
            Decimal::new(i64::from(moisture.ppm()), 4).normalize()
        )
    }

    /// Reads the stored form only.
    pub(crate) fn read(text: &str) -> Option<Moisture> {
        let number: Decimal = text.strip_suffix(" %")?.parse().ok()?;
        let ppm = number.checked_mul(Decimal::from(10_000))?;
        let ppm = ppm.is_integer().then(|| u32::try_from(ppm).ok())??;
        let moisture = Moisture::from_ppm(ppm).ok()?;
        (self::text(moisture) == text).then_some(moisture)
    }

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde's `with` hands over a reference"
    )]
    pub(crate) fn serialize<S: Serializer>(moisture: &Moisture, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&text(*moisture))
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Moisture, D::Error> {
        let found = String::deserialize(from)?;
        read(&found).ok_or_else(|| {
            D::Error::custom(format!(
                "found '{found}', expected a moisture like '14.3 %'"
            ))
        })
    }
}

/// For `#[serde(with = "stored::some_mass")]` on an `Option<Mass>`.
pub(crate) mod some_mass {
    use quantity::Mass;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    #[derive(Serialize, Deserialize)]
    #[serde(transparent)]
    struct Stored(#[serde(with = "super::mass")] Mass);

    // serde fixes the signature
    #[expect(
        clippy::ref_option,
        reason = "serde's `with` hands over a reference to the field"
    )]
    pub(crate) fn serialize<S: Serializer>(mass: &Option<Mass>, to: S) -> Result<S::Ok, S::Error> {
        mass.map(Stored).serialize(to)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Mass>, D::Error> {
        Ok(Option::<Stored>::deserialize(from)?.map(|stored| stored.0))
    }
}
