//! What can go wrong at the desk: one sentence each, with what to do.

/// Everything here is bad usage or bad input (exit code 2); an unsquared account is a result, not an error.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// A written figure cannot be read.
    #[error("{figure}: {why}")]
    Figure {
        /// The figure's name, as typed.
        figure: String,
        /// What was found and what was expected.
        why: String,
    },
    /// A figure that this kind of entry must have is missing.
    #[error("a {kind} needs {figure} ({help}); add it")]
    Missing {
        /// Kind of entry.
        kind: String,
        /// The figure.
        figure: String,
        /// What it is.
        help: String,
    },
    /// A figure that this kind of entry does not have.
    #[error("a {kind} has no '{figure}'; it has {known}")]
    NoSuchFigure {
        /// Kind of entry.
        kind: String,
        /// As typed.
        figure: String,
        /// Those it has.
        known: String,
    },
    /// A kind that does not exist.
    #[error("'{found}' is no kind of entry; the kinds are {known}")]
    NoSuchKind {
        /// As typed.
        found: String,
        /// Those there are.
        known: String,
    },
    /// A name that the book does not know.
    #[error("the {what} '{found}' is not in the book; {known}")]
    NotInBook {
        /// field, machine, place, meter, buyer or person.
        what: &'static str,
        /// As typed.
        found: String,
        /// What is there, or what to write first.
        known: String,
    },
    /// No entry by that name, or several.
    #[error("{0}")]
    Entry(String),
    /// A row of a file.
    #[error("{file}, row {row}: {why}")]
    Row {
        /// File.
        file: String,
        /// Row, from 1.
        row: u64,
        /// What is wrong.
        why: String,
    },
    /// A file cannot be opened, read or written.
    #[error("{file}: {why}")]
    File {
        /// File.
        file: String,
        /// What is wrong and what to do.
        why: String,
    },
    /// Something that cannot be done as asked.
    #[error("{0}")]
    Refused(String),
    /// From the book.
    #[error(transparent)]
    Book(#[from] book::BookError),
    /// From the grain arithmetic.
    #[error(transparent)]
    Grain(#[from] grain::GrainError),
    /// A quantity.
    #[error(transparent)]
    Quantity(#[from] quantity::QuantityError),
    /// From the machine's arithmetic.
    #[error(transparent)]
    Machine(#[from] machine::MachineError),
    /// From the track.
    #[error(transparent)]
    Track(#[from] track::TrackError),
}

impl DeskError {
    /// A figure that cannot be read.
    pub fn figure(figure: &str, why: impl std::fmt::Display) -> Self {
        Self::Figure {
            figure: figure.to_owned(),
            why: why.to_string(),
        }
    }
    /// A file that cannot be used.
    pub fn file(file: &std::path::Path, why: impl std::fmt::Display) -> Self {
        Self::File {
            file: file.display().to_string(),
            why: why.to_string(),
        }
    }
}
