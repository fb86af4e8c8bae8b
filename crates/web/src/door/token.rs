//! Secrets: session tokens, one-time tokens, pairing codes. Only their hashes are kept.
//!
//! A token is 256 bits of the machine's own chance, so its SHA-256 needs no salt and no slow hash:
//! nobody can try 2^256 of them. A store keeps the hash; to look a token up is to hash what came and
//! search for the hash, so the time of a comparison tells about hashes, not about tokens.

use super::DoorError;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// Letters of a pairing code: capitals without those that look or sound like another or like a
/// digit (no G, I, O, Q, S, U, V, Z).
pub const LETTERS: &[u8; 18] = b"ABCDEFHJKLMNPRTWXY";

/// Letters in a pairing code: 18^8 = 1.1e10 codes, each good for ten minutes and one use, against
/// at most 60 tries in that time by everybody together ([`super::limits`]).
pub const CODE_LENGTH: usize = 8;

/// Random bytes from the operating system.
///
/// # Errors
/// [`DoorError::Chance`].
pub fn chance<const N: usize>() -> Result<[u8; N], DoorError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| DoorError::Chance)?;
    Ok(bytes)
}

/// Lower-case hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// A fresh token: 64 hexadecimal digits.
///
/// # Errors
/// [`DoorError::Chance`].
pub fn fresh() -> Result<String, DoorError> {
    Ok(hex(&chance::<32>()?))
}

/// What is kept of a token or code.
pub fn hash(secret: &str) -> String {
    hex(&Sha256::digest(secret.as_bytes()))
}

/// Whether a text could be a token at all; anything else is not worth a hash.
pub fn is_token(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte))
}

/// A fresh pairing code, every letter equally likely.
///
/// # Errors
/// [`DoorError::Chance`].
pub fn code() -> Result<String, DoorError> {
    let even = 256 - 256 % LETTERS.len(); // bytes from here on would make some letters likelier
    let mut out = String::new();
    while out.len() < CODE_LENGTH {
        for byte in chance::<16>()? {
            if usize::from(byte) < even && out.len() < CODE_LENGTH {
                out.push(LETTERS[usize::from(byte) % LETTERS.len()] as char);
            }
        }
    }
    Ok(out)
}

/// A code as somebody typed it: any case, with spaces and dashes; none if it cannot be one.
pub fn typed_code(text: &str) -> Option<String> {
    let mut out = String::new();
    for c in text.chars().take(40) {
        let c = c.to_ascii_uppercase();
        if c == ' ' || c == '-' {
            continue;
        }
        if !c.is_ascii() || !LETTERS.contains(&(c as u8)) || out.len() == CODE_LENGTH {
            return None;
        }
        out.push(c);
    }
    (out.len() == CODE_LENGTH).then_some(out)
}

/// A code as it is shown: `ABCD EFHJ`.
pub fn shown_code(code: &str) -> String {
    match code.split_at_checked(4) {
        Some((first, rest)) => format!("{first} {rest}"),
        None => code.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_read_as_people_type_them() {
        let code = code().unwrap();
        assert_eq!(typed_code(&shown_code(&code)).as_deref(), Some(&*code));
        let loose = format!(" {}-{} ", code[..3].to_lowercase(), &code[3..]);
        assert_eq!(typed_code(&loose).as_deref(), Some(&*code));
        for odd in [
            "",
            "ABCDEFH",
            "ABCDEFHJK",
            "ABCDEFH0",
            "ABCDEFHÄ",
            "ABCDEFHI",
        ] {
            assert_eq!(typed_code(odd), None, "{odd}");
        }
    }

    #[test]
    fn every_letter_comes_up_and_no_other() {
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..200 {
            seen.extend(code().unwrap().into_bytes());
        }
        assert_eq!(seen, LETTERS.iter().copied().collect());
    }

    #[test]
    fn a_hash_is_the_published_one() {
        // FIPS 180-4's example, from the standard's own page of "abc"
        assert_eq!(
            hash("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert!(is_token(&fresh().unwrap()) && !is_token("ABC") && !is_token(&"G".repeat(64)));
    }
}
