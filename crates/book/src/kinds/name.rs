//! Names that people give: fields, wagons, crops, meters, themselves.

use crate::BookError;
use crate::error::short;
use serde::{Deserialize, Serialize};

/// A name as written: 1 to 80 characters, no line breaks, no blanks at either end.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Name(String);

impl Name {
    /// Trims, checks and keeps a name.
    ///
    /// # Errors
    /// [`BookError::Field`] when it is empty, longer than 80 characters or holds a control character.
    pub fn new(text: impl AsRef<str>) -> Result<Self, BookError> {
        let text = text.as_ref().trim();
        if (1..=80).contains(&text.chars().count()) && !text.chars().any(char::is_control) {
            Ok(Self(text.to_owned()))
        } else {
            Err(BookError::Field {
                kind: "entry",
                field: "name".to_owned(),
                found: short(text),
                expected: "1 to 80 characters on one line".to_owned(),
            })
        }
    }

    /// As written.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}
impl TryFrom<String> for Name {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::new(text)
    }
}
impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.0
    }
}
impl std::fmt::Display for Name {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}
