//! Forgetting a member who asks for it, without breaking books or signatures.
//!
//! The books know members by number alone, so the number stays as a pseudonym. Name, village and
//! telephone leave the register. The signed documents that held them are sealed under a key that is
//! written to a file and kept nowhere else: with it a court can still check the signatures, without
//! it nobody reads them. Their digests stay, so the chain of the journal stays whole.

pub(crate) mod command;
pub(crate) mod key_file;

use crate::files::{FileError, write_whole};
use crate::outcome::Advice;
use crate::store::{Act, Forgotten, Naming, Sealed, SealedKind, Store, StoreError};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as BASE64URL;
use combgate_core::clerk::signed_text;
use combgate_core::record::seal::{SealError, SharedKey};
use combgate_core::record::{
    BRIEF_BYTES_AT_MOST, BriefV1, Digest, DocumentError, EntryBody, Jws, JwsError, ParsedEntry,
    Typ, from_text,
};
use combgate_core::units::{Code, Label, TextError};
use ring::rand::{SecureRandom, SystemRandom};
use std::path::{Path, PathBuf};

/// A key is one short line.
const KEY_BYTES_AT_MOST: usize = 256;

/// A member who is not forgotten, or documents that are not opened.
#[derive(Debug, thiserror::Error)]
pub enum ForgetError {
    /// Nobody of that number.
    #[error("member {0} is not on the register")]
    NoMember(Code),
    /// Forgotten before.
    #[error("member {0} is forgotten already")]
    Already(Code),
    /// Something is still to be paid or paid back.
    #[error("member {0} is still owed something, or owes an advance")]
    StillOwed(Code),
    /// A file of that name is there.
    #[error("{0} is there already; it was left as it is")]
    FileThere(PathBuf),
    /// The key does not open them.
    #[error("this key opens nothing that is sealed for member {0}")]
    WrongKey(Code),
    /// No key in the file.
    #[error("{0} holds no key")]
    NoKey(PathBuf),
    /// No randomness.
    #[error("this machine gives no random bytes")]
    NoRandomness,
    /// Sealing.
    #[error(transparent)]
    Seal(#[from] SealError),
    /// A document in the ledger.
    #[error("a document in the ledger cannot be read: {0}")]
    Document(String),
    /// A text.
    #[error(transparent)]
    Text(#[from] TextError),
    /// A file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ForgetError {
    fn hint(&self) -> String {
        match self {
            Self::NoMember(_) | Self::Text(_) => "look the number up on the register".to_owned(),
            Self::Already(_) => "nothing is to be done".to_owned(),
            Self::StillOwed(_) => {
                "pay what is owed first, or settle the advance: afterwards nobody could be found \
                 for it (`combgate member statement`)"
                    .to_owned()
            }
            Self::FileThere(_) => "name another file for the key".to_owned(),
            Self::WrongKey(_) | Self::NoKey(_) => {
                "give the file that was written when this member was forgotten".to_owned()
            }
            Self::NoRandomness => "restart this machine, then give the command again".to_owned(),
            Self::Seal(_) | Self::Document(_) => {
                "keep the folder as it is and report this fault; nothing was changed".to_owned()
            }
            Self::File(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

impl From<DocumentError> for ForgetError {
    fn from(error: DocumentError) -> Self {
        Self::Document(error.to_string())
    }
}

impl From<JwsError> for ForgetError {
    fn from(error: JwsError) -> Self {
        Self::Document(error.to_string())
    }
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The member's number.
    pub member: Code,
    /// Signed entries sealed.
    pub entries: usize,
    /// Briefs sealed.
    pub briefs: usize,
    /// Pieces of evidence that may still name people, for they are kept as they came.
    pub evidence: usize,
}

/// Forgets a member; the key is written to a file before anything is sealed.
pub fn forget<S: Store>(
    store: &mut S,
    member: &Code,
    act: &Act,
    because: &Label,
    key_file: &Path,
) -> Result<Done, ForgetError> {
    if key_file.exists() {
        return Err(ForgetError::FileThere(key_file.to_owned()));
    }
    let random = SystemRandom::new();
    let secret: [u8; 32] = random_bytes(&random)?;
    let key = SharedKey::new(secret);
    let done = store.atomically(|store| {
        may_be_forgotten(store, member)?;
        store.forget(&Forgotten {
            member: member.clone(),
            act: act.clone(),
            because: because.clone(),
        })?;
        let mut done = Done {
            member: member.clone(),
            entries: 0,
            briefs: 0,
            evidence: 0,
        };
        for naming in store.naming()? {
            if !names(&naming, member)? {
                continue;
            }
            match naming.what {
                SealedKind::Entry => done.entries += 1,
                SealedKind::Brief => done.briefs += 1,
            }
            store.seal(&Sealed {
                member: member.clone(),
                what: naming.what,
                handset: naming.handset,
                number: naming.number,
                digest: naming.digest,
                signed: Digest::of(signed_text(&naming.compact)),
                sealed: key.seal(naming.compact.as_bytes(), &random_bytes(&random)?)?,
            })?;
        }
        for handset in store.handsets()? {
            done.evidence += store.evidence(&handset.code)?.len();
        }
        // Before the transaction ends: what is sealed without a key is lost.
        write_whole(key_file, &(BASE64URL.encode(secret) + "\n"))?;
        Ok::<_, ForgetError>(done)
    })?;
    store.scrub()?;
    Ok(done)
}

/// Whether a member can be forgotten now; an error says why not.
pub fn may_be_forgotten(store: &impl Store, member: &Code) -> Result<(), ForgetError> {
    if store.forgotten(member)?.is_some() {
        return Err(ForgetError::Already(member.clone()));
    }
    let known = store
        .member(member)?
        .ok_or_else(|| ForgetError::NoMember(member.clone()))?;
    if store.owed_to(member)? > 0 || known.advance.is_some() {
        return Err(ForgetError::StillOwed(member.clone()));
    }
    Ok(())
}

fn names(naming: &Naming, member: &Code) -> Result<bool, ForgetError> {
    match naming.what {
        SealedKind::Entry => {
            let entry = ParsedEntry::parse(&naming.compact)
                .map_err(|error| ForgetError::Document(error.to_string()))?;
            Ok(matches!(entry.body(), EntryBody::MemberRegistered(new) if new.member == *member))
        }
        SealedKind::Brief => {
            let brief = Jws::parse(&naming.compact, Typ::Brief, BRIEF_BYTES_AT_MOST)?;
            let brief: BriefV1 = from_text("brief", brief.payload(), BRIEF_BYTES_AT_MOST)?;
            Ok(brief.members.iter().any(|known| known.number == *member))
        }
    }
}

fn random_bytes<const LENGTH: usize>(random: &SystemRandom) -> Result<[u8; LENGTH], ForgetError> {
    let mut bytes = [0; LENGTH];
    random
        .fill(&mut bytes)
        .map_err(|_| ForgetError::NoRandomness)?;
    Ok(bytes)
}

/// Opens what was sealed for a member: the signed documents as they were.
pub fn unseal(
    store: &impl Store,
    member: &Code,
    key: &SharedKey,
) -> Result<Vec<String>, ForgetError> {
    let mut opened = Vec::new();
    for sealed in store.sealed()? {
        if sealed.member != *member {
            continue;
        }
        let document = key
            .open(&sealed.sealed)
            .ok()
            .and_then(|bytes| String::from_utf8(bytes).ok())
            .filter(|document| Digest::of(document) == sealed.digest);
        opened.extend(document);
    }
    if opened.is_empty() {
        Err(ForgetError::WrongKey(member.clone()))
    } else {
        Ok(opened)
    }
}

/// Reads a key that [`forget`] wrote.
pub fn read_key(path: &Path, text: &str) -> Result<SharedKey, ForgetError> {
    BASE64URL
        .decode(text.trim())
        .ok()
        .and_then(|bytes| <[u8; 32]>::try_from(bytes).ok())
        .map(SharedKey::new)
        .ok_or_else(|| ForgetError::NoKey(path.to_owned()))
}
