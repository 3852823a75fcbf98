//! Passwords: kept as Argon2id hashes, never as they are.

use crate::outcome::Advice;
use argon2::password_hash::SaltString;
use argon2::{Argon2, PasswordHash, PasswordHasher, PasswordVerifier};
use combgate_core::units::Code;
use ring::rand::{SecureRandom, SystemRandom};

/// Fewest characters. Source: NIST SP 800-63B-4, 3.1.1.2: a password that is the only proof has
/// fifteen characters at least (from memory, to be checked).
const CHARACTERS_AT_LEAST: usize = 15;
/// Most bytes: hashing takes longer with each.
const BYTES_AT_MOST: usize = 1_000;
/// Bytes of salt. Source: RFC 9106, 3.1: 16 bytes are recommended for passwords.
const SALT_BYTES: usize = 16;

/// A password that cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PasswordError {
    /// Too easily tried out.
    #[error("the password has {0} characters, {CHARACTERS_AT_LEAST} are the least")]
    TooShort(usize),
    /// Longer than is hashed.
    #[error("the password is longer than {BYTES_AT_MOST} bytes")]
    TooLong,
    /// Everybody's first guess.
    #[error("the password is one character over and over, or the account's own name")]
    TooPlain,
    /// The operating system gave no randomness.
    #[error("no password can be kept: the system gives no random numbers")]
    NoRandomness,
    /// The hash could not be made.
    #[error("the password cannot be hashed")]
    Unhashed,
}

impl Advice for PasswordError {
    fn hint(&self) -> String {
        match self {
            Self::TooShort(_) | Self::TooPlain => {
                "choose four or five words that you can remember and nobody would guess".to_owned()
            }
            Self::TooLong => "choose a shorter one".to_owned(),
            Self::NoRandomness | Self::Unhashed => {
                "restart this machine, then try again".to_owned()
            }
        }
    }
}

/// A new password's hash, as a PHC string.
pub fn hashed(password: &str, name: &Code) -> Result<String, PasswordError> {
    check(password, name)?;
    let mut bytes = [0; SALT_BYTES];
    SystemRandom::new()
        .fill(&mut bytes)
        .map_err(|_| PasswordError::NoRandomness)?;
    let salt = SaltString::encode_b64(&bytes).map_err(|_| PasswordError::Unhashed)?;
    Argon2::default()
        .hash_password(password.as_bytes(), &salt)
        .map(|hash| hash.to_string())
        .map_err(|_| PasswordError::Unhashed)
}

fn check(password: &str, name: &Code) -> Result<(), PasswordError> {
    let characters = password.chars().count();
    if characters < CHARACTERS_AT_LEAST {
        return Err(PasswordError::TooShort(characters));
    }
    if password.len() > BYTES_AT_MOST {
        return Err(PasswordError::TooLong);
    }
    let first = password.chars().next();
    if password.chars().all(|each| Some(each) == first)
        || password.eq_ignore_ascii_case(name.as_str())
    {
        return Err(PasswordError::TooPlain);
    }
    Ok(())
}

/// Whether a password is the one whose hash is kept. Without a hash the same time passes, so that
/// nobody learns by waiting which names there are.
pub fn fits(password: &str, hash: Option<&str>) -> bool {
    // A password of no account: RFC 9106's parameters as `hashed` writes them, over nothing.
    const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$AAAAAAAAAAAAAAAAAAAAAA$\
        AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";
    if password.len() > BYTES_AT_MOST {
        return false;
    }
    let is_right = PasswordHash::new(hash.unwrap_or(NOBODY)).is_ok_and(|hash| {
        Argon2::default()
            .verify_password(password.as_bytes(), &hash)
            .is_ok()
    });
    is_right && hash.is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name() -> Code {
        Code::new("neema").unwrap()
    }

    #[test]
    fn a_password_fits_its_own_hash_alone_and_two_hashes_differ() {
        let first = hashed("four plain wooden hives", &name()).unwrap();
        let second = hashed("four plain wooden hives", &name()).unwrap();
        assert!(
            first.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{first}"
        );
        assert_ne!(first, second);
        assert!(fits("four plain wooden hives", Some(&first)));
        assert!(!fits("four plain wooden hive", Some(&first)));
        assert!(!fits("four plain wooden hives", None));
        assert!(!fits("", Some("no hash")));
    }

    /// Source: the reference implementation of Argon2 (`argon2-cffi` of Python, which wraps it)
    /// hashed `combgate, a test` with the salt `0123456789abcdef`.
    #[test]
    fn a_hash_of_the_reference_implementation_is_understood() {
        const HASH: &str = "$argon2id$v=19$m=19456,t=2,p=1$MDEyMzQ1Njc4OWFiY2RlZg$UGDGxG3yIIm5ewEChTxU+RUh1DrQ4TiqU3nqF/1aoJs";
        assert!(fits("combgate, a test", Some(HASH)));
        assert!(!fits("combgate, a tesu", Some(HASH)));
    }

    #[test]
    fn what_is_easily_guessed_is_refused() {
        for (password, error) in [
            ("short", PasswordError::TooShort(5)),
            ("aaaaaaaaaaaaaaaa", PasswordError::TooPlain),
        ] {
            assert_eq!(hashed(password, &name()), Err(error));
        }
        assert_eq!(
            hashed(&"ab".repeat(501), &name()),
            Err(PasswordError::TooLong)
        );
    }
}
