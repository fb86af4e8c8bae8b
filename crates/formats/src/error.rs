//! Why a file was refused.

/// One error for the whole room: the file, what was found, what was expected, what to do.
#[derive(Debug, thiserror::Error)]
pub enum FormatError {
    /// The file could not be read or written at all.
    #[error("{file}: {source}")]
    Unreachable {
        /// The file as the caller names it.
        file: String,
        /// What the machine said.
        source: std::io::Error,
    },
    /// It is some other kind of file.
    #[error("{file}: found {found}, expected {expected}")]
    NotThis {
        /// The file as the caller names it.
        file: String,
        /// What it looks like.
        found: String,
        /// What was expected and what to do.
        expected: String,
    },
    /// The columns do not say enough.
    #[error("{file}: {what}")]
    Columns {
        /// The file as the caller names it.
        file: String,
        /// What is missing or said twice, and what to do.
        what: String,
    },
    /// No row could be used.
    #[error(
        "{file}: found no usable row among the first {rows}, expected combine points; the first was set aside because {first}"
    )]
    NoUsableRow {
        /// The file as the caller names it.
        file: String,
        /// How many rows were tried.
        rows: u64,
        /// What was wrong with the first.
        first: String,
    },
    /// A bad row, where bad rows were not to be tolerated.
    #[error("{file}: row {row}: {what}; read without strict to set such rows aside and go on")]
    BadRow {
        /// The file as the caller names it.
        file: String,
        /// Line of the file, from 1.
        row: u64,
        /// What was found and expected.
        what: String,
    },
    /// A column, role or unit named by hand is not understood.
    #[error("found '{found}', expected {expected}")]
    Override {
        /// As written.
        found: String,
        /// What would be understood.
        expected: String,
    },
    /// It is not well made; the caller, who opened it, names the file.
    #[error("found {found}, expected {expected}")]
    Malformed {
        /// What is wrong, and where in the file.
        found: String,
        /// What was expected and what to do.
        expected: String,
    },
    /// SQLite refused; the caller names the file.
    #[error(transparent)]
    Sqlite(#[from] rusqlite::Error),
}
