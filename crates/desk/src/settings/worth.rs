//! What is typed to turn a change into money.

use crate::DeskError;

/// What a change's grain is worth.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Worth {
    /// Price, dollars a bushel.
    pub price_per_bu: Option<f64>,
    /// Acres cut an hour.
    pub ac_per_h: Option<f64>,
    /// Weight of 1,000 seeds, grams, where somebody weighed them.
    pub thousand_g: Option<f64>,
}

impl Worth {
    /// From texts as typed: `$10.40/bu`, `6.5 ac/h`, `180 g`; bare numbers too.
    ///
    /// # Errors
    /// A text that is no number above 0.
    pub fn read(
        price: Option<&str>,
        rate: Option<&str>,
        seeds: Option<&str>,
    ) -> Result<Self, DeskError> {
        let read = |name: &str, text: Option<&str>, units: &[&str], like: &str| {
            let Some(text) = text.map(str::trim).filter(|text| !text.is_empty()) else {
                return Ok(None);
            };
            let mut plain = text.trim_start_matches('$').trim();
            for unit in units {
                plain = plain.strip_suffix(unit).unwrap_or(plain).trim();
            }
            plain
                .replace(',', "")
                .parse::<f64>()
                .ok()
                .filter(|value| value.is_finite() && *value > 0.0)
                .map(Some)
                .ok_or_else(|| {
                    DeskError::figure(
                        name,
                        format!("found '{text}', expected a number above 0 like {like}"),
                    )
                })
        };
        Ok(Self {
            price_per_bu: read("price", price, &["/bu"], "$10.40/bu")?,
            ac_per_h: read("acres an hour", rate, &["ac/h"], "6.5 ac/h")?,
            thousand_g: read("weight of 1,000 seeds", seeds, &["g"], "180 g")?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Worth;

    #[test]
    fn worth_is_read_as_typed() {
        let worth = Worth::read(Some("$10.40/bu"), Some("6.5 ac/h"), Some("180 g")).unwrap();
        let found = (worth.price_per_bu, worth.ac_per_h, worth.thousand_g);
        assert_eq!(found, (Some(10.4), Some(6.5), Some(180.0)));
        assert_eq!(
            Worth::read(None, Some(" "), None).unwrap(),
            Worth::default()
        );
        for odd in ["0", "-3", "ten", "$"] {
            let said = Worth::read(Some(odd), None, None).unwrap_err().to_string();
            assert!(said.contains("expected"), "{said}");
        }
    }
}
