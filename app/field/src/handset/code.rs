//! The signed stub behind the code on a paper.

use super::{Handset, Refused};
use crate::platform::state::{self, Slot};
use combgate_core::record::{ParsedEntry, PublicKey, SoftwareCheck, Stub, StubV1};

impl Handset {
    /// The stub of the paper at a place in the journal. It is signed once and kept before it is
    /// given out: a signature differs every time, and a paper that is opened again must show the
    /// code that the member has.
    ///
    /// # Errors
    /// [`Refused::NotEnrolled`] without the key that signed the paper, [`Refused::NoReceipt`] for
    /// an entry that is no paper, [`Refused::Key`], [`Refused::Store`].
    pub async fn stub(self, seq: u32, entry: &ParsedEntry) -> Result<String, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        let database = self.database.get_value();
        let kept = state::read(&database, Slot::Stub(seq)).await?;
        if let Some(kept) = kept.filter(|kept| holds(kept, entry, &key.public)) {
            return Ok(kept);
        }
        if entry.kid() != key.public.id() {
            return Err(Refused::NotEnrolled);
        }
        let says = StubV1::of(entry).ok_or(Refused::NoReceipt)?;
        let unsigned = says.unsigned(key.public.id())?;
        let signature = key.browser.sign(unsigned.bytes()).await?;
        let stub = unsigned.with_signature(&signature);
        state::write(&database, Slot::Stub(seq), &stub).await?;
        Ok(stub)
    }
}

/// Whether what was kept is this paper's stub; anything else is made anew.
fn holds(kept: &str, entry: &ParsedEntry, key: &PublicKey) -> bool {
    Stub::parse(kept)
        .is_ok_and(|stub| stub.is_of(entry).is_ok() && stub.verify(key, &SoftwareCheck).is_ok())
}
