//! One published number and where it came from.

use serde::{Deserialize, Serialize};

/// How a number was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Provenance {
    /// The source named was read.
    #[serde(rename = "READ")]
    Read,
    /// A second source that restates the named one was read.
    #[serde(rename = "READ2")]
    Read2,
    /// From memory; nobody here could read the source.
    #[serde(rename = "MEM")]
    Mem,
    /// From memory, but it reproduces published numbers that were read.
    #[serde(rename = "MEM+")]
    MemPlus,
    /// Arithmetic from definitions or from numbers that were read.
    #[serde(rename = "CALC")]
    Calc,
    /// Common practice, no source.
    #[serde(rename = "PRACTICE")]
    Practice,
}

impl Provenance {
    /// The tag as the data files write it.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::Read => "READ",
            Self::Read2 => "READ2",
            Self::Mem => "MEM",
            Self::MemPlus => "MEM+",
            Self::Calc => "CALC",
            Self::Practice => "PRACTICE",
        }
    }

    /// What a reader must be told beside a number of this kind, if anything.
    ///
    /// ```
    /// use facts::Provenance;
    /// assert_eq!(Provenance::Read.caution(), None);
    /// assert_eq!(Provenance::Mem.caution(), Some("from memory: check it against the source before relying on it"));
    /// ```
    pub const fn caution(self) -> Option<&'static str> {
        match self {
            Self::Read | Self::Calc | Self::MemPlus => None,
            Self::Read2 => Some("read in a second-hand copy of the source"),
            Self::Mem => Some("from memory: check it against the source before relying on it"),
            Self::Practice => Some("common practice, no source"),
        }
    }
}

/// A published number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// The number.
    pub value: f64,
    /// Its unit ("lb/bu", "ft3", "%", "deg"; "1" for a pure number).
    pub unit: String,
    /// Least value met, where the source gives a range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Greatest value met, where the source gives a range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// Where it is published.
    pub source: String,
    /// How it was come by.
    pub tag: Provenance,
    /// What to know before using it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}
