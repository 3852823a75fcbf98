//! The lock: what is known of members is kept under a PIN, and a PIN that is forgotten costs no
//! receipt.
//!
//! The journal stays readable for the program, so that it can be given out, sealed for the desk,
//! while nobody knows the PIN. A newer brief lifts the lock: the desk gives none to a thief.

use super::{Handset, Outgoing, Part, Refused};
use crate::platform::clock;
use crate::platform::database::Database;
use crate::platform::drafts;
use crate::platform::state::{self, Slot};
use crate::platform::vault::{self, VaultError};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use combgate_core::record::seal::{SealError, SharedKey, seal_for};
use combgate_core::record::{Brief, DocumentError, JwkV1, PublicKey, from_text, to_text};
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-lock/1";
const BYTES_AT_MOST: usize = 64 * 1024;
/// Rounds of PBKDF2 with HMAC-SHA-256. What OWASP's cheat sheet on storing passwords
/// asked for in 2023 (from memory).
const ROUNDS: u32 = 600_000;
/// Digits of a PIN (common practice).
pub const DIGITS: std::ops::RangeInclusive<usize> = 6..=12;
/// Wrong PINs that cost no wait (common practice).
const FREE_TRIES: u32 = 5;
const WAIT_AT_MOST_SECONDS: u32 = 300;

/// How this handset is locked.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lock {
    format: String,
    /// Beside the PIN, base64url.
    salt: String,
    rounds: u32,
    /// The secret that seals, under the PIN's key.
    secret: String,
    /// Minutes without a touch after which the page locks.
    minutes: u32,
    /// Wrong PINs since the last right one.
    tries: u32,
    /// The brief in hand; only a later one lifts the lock.
    serial: u32,
    /// For whom the journal is sealed while nobody knows the PIN.
    desk: JwkV1,
}

impl Lock {
    /// The lock of this handset, if it has one.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn read(database: &Database) -> Result<Option<Self>, Refused> {
        let Some(text) = state::read(database, Slot::Lock).await? else {
            return Ok(None);
        };
        let lock: Self = from_text("lock", &text, BYTES_AT_MOST)?;
        if lock.format != FORMAT {
            return Err(Refused::Document(DocumentError::UnknownVersion {
                what: "lock",
                found: lock.format,
                expected: FORMAT,
            }));
        }
        Ok(Some(lock))
    }

    /// Minutes without a touch after which the page locks.
    pub const fn minutes(&self) -> u32 {
        self.minutes
    }

    /// The brief in hand when it was locked.
    pub(super) const fn serial(&self) -> u32 {
        self.serial
    }

    /// Seconds to wait before the next PIN is looked at: none at first, then twice as long each
    /// time.
    pub fn wait_seconds(&self) -> u32 {
        let beyond = self.tries.saturating_sub(FREE_TRIES);
        match beyond {
            0 => 0,
            beyond => 1_u32
                .checked_shl(beyond)
                .map_or(WAIT_AT_MOST_SECONDS, |seconds| {
                    seconds.min(WAIT_AT_MOST_SECONDS)
                }),
        }
    }

    /// A newer brief was taken in.
    pub(super) async fn know(mut self, database: &Database, brief: &Brief) -> Result<(), Refused> {
        self.serial = brief.payload().serial;
        // A desk that gives no key any more gets what is sealed for the one it gave before.
        self.desk = sealing_key(brief).unwrap_or(self.desk);
        self.write(database).await
    }

    async fn write(&self, database: &Database) -> Result<(), Refused> {
        Ok(state::write(database, Slot::Lock, &to_text("lock", self)?).await?)
    }

    async fn secret(&self, pin: &Pin) -> Result<[u8; 32], Refused> {
        let salt = URL_SAFE_NO_PAD.decode(&self.salt).ok();
        let salt: [u8; 16] = salt
            .and_then(|salt| salt.try_into().ok())
            .ok_or(VaultError::Seal(SealError::Malformed))?;
        let key = vault::key_of(&pin.0, &salt, self.rounds).await?;
        match key.open(&self.secret) {
            Ok(secret) => Ok(secret
                .try_into()
                .map_err(|_| VaultError::Seal(SealError::Malformed))?),
            Err(SealError::DoesNotOpen) => Err(Refused::WrongPin),
            Err(error) => Err(VaultError::Seal(error).into()),
        }
    }
}

/// A PIN that may be chosen.
#[derive(Clone)]
pub struct Pin(String);

/// Why a PIN may not be chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PinFault {
    /// Something other than digits, or too few or too many of them.
    NotDigits,
    /// One digit repeated, or digits in a row.
    TooEasy,
}

impl Pin {
    /// Takes six to twelve digits.
    ///
    /// # Errors
    /// See [`PinFault`].
    pub fn new(typed: &str) -> Result<Self, PinFault> {
        let digits: Vec<i16> = typed.bytes().map(i16::from).collect();
        let all_digits = typed.bytes().all(|byte| byte.is_ascii_digit());
        if !all_digits || !DIGITS.contains(&digits.len()) {
            return Err(PinFault::NotDigits);
        }
        let mut steps = digits.windows(2).map(|pair| pair[1] - pair[0]);
        let first = steps.next().unwrap_or_default();
        if first.abs() <= 1 && steps.all(|step| step == first) {
            return Err(PinFault::TooEasy);
        }
        Ok(Self(typed.to_owned()))
    }
}

impl Handset {
    /// Puts a lock on: what is known of members is sealed from now on.
    ///
    /// # Errors
    /// [`Refused::NoBrief`] without a brief that says for whom to seal; see [`Refused`] for the
    /// rest. Then nothing is locked.
    pub async fn put_lock_on(self, pin: &Pin, minutes: u32) -> Result<(), Refused> {
        let brief = self.brief.get_untracked().ok_or(Refused::NoBrief)?;
        let desk = sealing_key(&brief)?;
        let secret = vault::random::<32>()?;
        let salt = vault::random::<16>()?;
        let key = vault::key_of(&pin.0, &salt, ROUNDS).await?;
        let nonce = vault::random()?;
        let lock = Lock {
            format: FORMAT.to_owned(),
            salt: URL_SAFE_NO_PAD.encode(salt),
            rounds: ROUNDS,
            secret: key.seal(&secret, &nonce).map_err(VaultError::Seal)?,
            minutes,
            tries: 0,
            serial: brief.payload().serial,
            desk,
        };
        self.keep_under(Some((secret, &lock))).await
    }

    /// Takes the lock off.
    ///
    /// # Errors
    /// [`Refused::WrongPin`]; see [`Refused`] for the rest. Then the lock stays.
    pub async fn take_lock_off(self, pin: &Pin) -> Result<(), Refused> {
        self.open_lock(pin).await?;
        self.keep_under(None).await
    }

    /// How this handset is locked, if it is.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn lock(self) -> Result<Option<Lock>, Refused> {
        Lock::read(&self.database.get_value()).await
    }

    /// Looks at a PIN, after the wait that wrong ones before it cost; with the right one what is
    /// sealed can be read.
    ///
    /// # Errors
    /// [`Refused::WrongPin`]; see [`Refused`] for the rest.
    pub async fn open_lock(self, pin: &Pin) -> Result<(), Refused> {
        let database = self.database.get_value();
        let Some(mut lock) = Lock::read(&database).await? else {
            return Ok(());
        };
        clock::pause(lock.wait_seconds().saturating_mul(1000)).await;
        // Counted before it is looked at: a page that is closed in between saves no try.
        lock.tries = lock.tries.saturating_add(1);
        lock.write(&database).await?;
        let secret = lock.secret(pin).await?;
        lock.tries = 0;
        lock.write(&database).await?;
        vault::use_secret(Some(SharedKey::new(secret)));
        Ok(())
    }

    /// The journal, sealed for the desk alone: for a locked handset whose PIN nobody knows.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn sealed_bundle(self) -> Result<Vec<Outgoing>, Refused> {
        let lock = self.lock().await?.ok_or(Refused::NoBrief)?;
        let desk =
            PublicKey::try_from(&lock.desk).map_err(|_| VaultError::Seal(SealError::BadKey))?;
        let mut files = Vec::new();
        for file in self.bundle(Part::NotHandedOver).await? {
            let text = seal_for(&desk, file.text.as_bytes(), &vault::entropy()?)
                .map_err(VaultError::Seal)?;
            let name = format!("{}.jwe", file.name.trim_end_matches(".json"));
            files.push(Outgoing { name, text });
        }
        Ok(files)
    }

    /// Keeps everything private under another secret, all of it or nothing.
    async fn keep_under(self, lock: Option<([u8; 32], &Lock)>) -> Result<(), Refused> {
        let database = self.database.get_value();
        let drafts = drafts::texts();
        let private = state::private(&database).await?;
        let text = lock.map(|(_, lock)| to_text("lock", lock)).transpose()?;
        let before = vault::use_secret(lock.map(|(secret, _)| SharedKey::new(secret)));
        if let Err(error) = state::keep_private(&database, &private, text.as_deref()).await {
            // A secret that is kept nowhere must seal nothing.
            vault::use_secret(before);
            return Err(error.into());
        }
        drafts::keep_texts(&drafts);
        Ok(())
    }
}

fn sealing_key(brief: &Brief) -> Result<JwkV1, Refused> {
    brief
        .payload()
        .sealing_jwk
        .clone()
        .ok_or(Refused::NoSealingKey)
}
