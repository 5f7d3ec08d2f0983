//! Codes and tokens that nobody can guess, from the randomness of the operating system. Refuses to keep any.

use sha2::{Digest, Sha256};

/// The letters of a code: capitals without I, L, O, Q, U and V, which are mistaken for each other or for figures.
pub(super) const LETTERS: &[u8] = b"ABCDEFGHJKMNPRSTWXYZ";

/// So many letters has a code.
pub(super) const CODE_LETTERS: usize = 8;

/// The digest of a secret. Digests are compared, never secrets: how long that takes says nothing about the secret.
pub(super) type Secret = [u8; 32];

/// The digest of a text.
pub(super) fn digest(text: &str) -> Secret {
    digest_of(text.as_bytes())
}

/// The digest of some bytes.
pub(super) fn digest_of(bytes: &[u8]) -> Secret {
    Sha256::digest(bytes).into()
}

/// A new code of eight letters.
///
/// # Errors
/// If the operating system gives no randomness.
pub(super) fn code() -> Result<String, getrandom::Error> {
    let letters = u8::try_from(LETTERS.len()).unwrap_or(u8::MAX);
    // Bytes past the last whole run of the letters would make the first letters more frequent.
    let most = u8::MAX - u8::MAX % letters;
    let mut code = String::with_capacity(CODE_LETTERS);
    while code.len() < CODE_LETTERS {
        let mut bytes = [0_u8; CODE_LETTERS];
        getrandom::fill(&mut bytes)?;
        let letters =
            bytes.iter().filter(|byte| **byte < most).filter_map(|byte| LETTERS.get(usize::from(byte % letters)));
        code.extend(letters.take(CODE_LETTERS - code.len()).map(|letter| char::from(*letter)));
    }
    Ok(code)
}

/// A new token of 256 bits, in hexadecimal figures.
///
/// # Errors
/// If the operating system gives no randomness.
pub(super) fn token() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_and_tokens_are_new_each_time() {
        let codes: BTreeSet<String> = (0..200).map(|_| code().unwrap()).collect();
        assert_eq!(codes.len(), 200);
        assert!(codes.iter().all(|code| code.len() == 8 && code.bytes().all(|letter| LETTERS.contains(&letter))));
        let used: BTreeSet<u8> = codes.iter().flat_map(|code| code.bytes()).collect();
        assert_eq!(used.len(), LETTERS.len(), "each letter is drawn");
        let (one, other) = (token().unwrap(), token().unwrap());
        assert!(one != other && one.len() == 64);
    }
}
