//! Passphrases: Argon2id with the library's defaults (19 MiB, 2 passes, 1 lane, a salt of 16 bytes),
//! the first choice of the OWASP password storage cheat sheet (from memory).

use super::DoorError;
use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use std::sync::{LazyLock, Mutex, PoisonError};

/// One at a time: each needs 19 MiB and a core, and nobody signs in twice a second.
static TURN: Mutex<()> = Mutex::new(());

/// A hash that nothing fits, so that an unknown name costs as long as a known one.
static NOBODY: LazyLock<Option<String>> = LazyLock::new(|| hashed(&super::token::fresh().ok()?));

fn hashed(typed: &str) -> Option<String> {
    let kept: PasswordHash = Argon2::default().hash_password(typed.as_bytes()).ok()?;
    Some(kept.to_string())
}

/// What is kept of a passphrase.
///
/// # Errors
/// Fewer than 10 letters or more than 200.
pub fn keep(typed: &str) -> Result<String, DoorError> {
    let count = typed.chars().count();
    if !(10..=200).contains(&count) {
        return Err(DoorError::Passphrase(count));
    }
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    hashed(typed).ok_or(DoorError::Chance)
}

/// Whether a passphrase fits what is kept; without anything kept the same work is done for nothing.
pub fn fits(typed: &str, kept: Option<&str>) -> bool {
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let Some(against) = kept.or(NOBODY.as_deref()) else {
        return false;
    };
    let typed: String = typed.chars().take(200).collect();
    let fits = PasswordHash::new(against).is_ok_and(|hash| {
        Argon2::default()
            .verify_password(typed.as_bytes(), &hash)
            .is_ok()
    });
    fits && kept.is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_passphrase_fits_itself_only() {
        let kept = keep("four words in a row").unwrap();
        assert!(
            kept.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{kept}"
        );
        assert!(fits("four words in a row", Some(&kept)));
        assert!(!fits("four words in a raw", Some(&kept)));
        assert!(!fits("four words in a row", None));
        assert!(!fits("four words in a row", Some("not a hash")));
        assert_ne!(kept, keep("four words in a row").unwrap());
        assert!(matches!(keep("short"), Err(DoorError::Passphrase(5))));
    }
}
