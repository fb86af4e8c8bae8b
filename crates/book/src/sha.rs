//! The name of an attachment: the SHA-256 of its bytes.

use crate::BookError;
use crate::error::short;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Names an attachment by the SHA-256 of its bytes, written as 64 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Sha256Key([u8; 32]);

impl Sha256Key {
    /// The key of these bytes (FIPS 180-4).
    ///
    /// ```
    /// let empty = book::Sha256Key::of(b"").to_string();
    /// assert_eq!(&empty[..16], "e3b0c44298fc1c14");
    /// ```
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Reads 64 small hexadecimal digits.
    ///
    /// # Errors
    /// [`BookError::Field`] on anything else.
    pub fn parse(text: &str) -> Result<Self, BookError> {
        let mut key = [0; 32];
        let digit = |c: u8| match c {
            b'0'..=b'9' => Some(c - b'0'),
            b'a'..=b'f' => Some(c - b'a' + 10),
            _ => None,
        };
        let good = text.len() == 64
            && text.as_bytes().chunks(2).zip(&mut key).all(|(pair, byte)| {
                match (digit(pair[0]), digit(pair[1])) {
                    (Some(high), Some(low)) => {
                        *byte = high << 4 | low;
                        true
                    }
                    _ => false,
                }
            });
        if good {
            return Ok(Self(key));
        }
        Err(BookError::Field {
            kind: "attachment",
            field: "sha256".to_owned(),
            found: short(text),
            expected: "64 hexadecimal digits in small letters".to_owned(),
        })
    }
}
impl std::fmt::Display for Sha256Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}
impl TryFrom<String> for Sha256Key {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::parse(&text)
    }
}
impl From<Sha256Key> for String {
    fn from(key: Sha256Key) -> Self {
        key.to_string()
    }
}
