//! What the door says when something is not as it must be.

/// One sentence each, to act on.
#[derive(Debug, thiserror::Error)]
pub enum DoorError {
    /// A file or folder that cannot be read or written.
    #[error("{file}: {why}")]
    File {
        /// Which.
        file: String,
        /// What the machine said, and what to do.
        why: String,
    },
    /// Another program serves the same book.
    #[error(
        "this book is being served by another stook on this machine; use that one, or stop it first"
    )]
    Served,
    /// A name that is there already.
    #[error("there is already somebody called {0}; choose another name")]
    NameTaken(String),
    /// A name that cannot be one.
    #[error("found no name, expected 1 to 80 letters; type what people call them")]
    NameOdd,
    /// Nobody of that name or number.
    #[error("this person is not in the list any more; go back and look again")]
    Nobody,
    /// The last owner would go.
    #[error("this is the only owner; a book needs one, so add another owner first")]
    LastOwner,
    /// A code that opens nothing: never made, mistyped, used, or older than ten minutes. One
    /// sentence for all of them, so that a guesser learns nothing.
    #[error(
        "this code does not open anything; it may be mistyped, used, or older than 10 minutes, so ask the owner for a new one"
    )]
    Code,
    /// A name and passphrase that do not fit; one sentence whether the name is known or not.
    #[error("this name and passphrase do not fit together; try again, or pair this device anew")]
    SignIn,
    /// A passphrase too short to be one.
    #[error(
        "found a passphrase of {0} letters, expected 10 to 200; four words in a row are easy to keep"
    )]
    Passphrase(usize),
    /// Too many tries.
    #[error("too many tries; wait ten minutes and try again")]
    Slow,
    /// The machine has no chance to give.
    #[error("this machine gave no random numbers, so nothing safe can be made; start it again")]
    Chance,
    /// A certificate that cannot be made or used.
    #[error("the certificate: {0}")]
    Certificate(String),
}

impl DoorError {
    /// A file's error with its name.
    pub(crate) fn file(path: &std::path::Path, why: impl std::fmt::Display) -> Self {
        Self::File {
            file: path.display().to_string(),
            why: why.to_string(),
        }
    }
}

impl From<DoorError> for crate::Refusal {
    fn from(why: DoorError) -> Self {
        use axum::http::StatusCode;
        let status = match &why {
            DoorError::Code | DoorError::SignIn => StatusCode::FORBIDDEN,
            DoorError::Slow => StatusCode::TOO_MANY_REQUESTS,
            DoorError::File { .. } | DoorError::Chance | DoorError::Certificate(_) => {
                StatusCode::INTERNAL_SERVER_ERROR
            }
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Self::new(status, why.to_string())
    }
}
