//! A brief as a handset keeps it: the register apart from the rest, so that a start does not wait
//! for the names of twenty thousand members.
//!
//! What is kept was checked when it was taken in. Whoever can change it afterwards can change the
//! handset's journal as well, so no signature is looked at again.

use super::BRIEF_BYTES_AT_MOST;
use super::brief::{Brief, BriefError, MemberV1};
use super::json::{DocumentError, from_text, to_text};

/// The two texts that a brief is kept as.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// All but the register.
    pub head: String,
    /// The register, a member a line.
    pub register: String,
}

impl Brief {
    /// Without its register, and as it is to be kept.
    pub fn keep(mut self) -> Result<(Self, Kept), DocumentError> {
        let mut register = String::new();
        for member in self.take_members() {
            register.push_str(&to_text("member", &member)?);
            register.push('\n');
        }
        let head = to_text("brief", self.payload())?;
        Ok((self, Kept { head, register }))
    }

    /// Reads the head that was kept; the register is empty.
    pub fn recall(head: &str) -> Result<Self, BriefError> {
        Self::of_kept(from_text("brief", head, BRIEF_BYTES_AT_MOST)?)
    }
}

/// Reads some more members of a register that was kept: at most `most` of those behind `*place`,
/// which is moved on. None are left when it stands at the end of the text.
pub fn read_members(
    register: &str,
    place: &mut usize,
    most: usize,
) -> Result<Vec<MemberV1>, DocumentError> {
    let rest = register.get(*place..).unwrap_or_default();
    let mut members = Vec::new();
    for line in rest.split_inclusive('\n').take(most) {
        members.push(from_text("member", line, BRIEF_BYTES_AT_MOST)?);
        *place += line.len();
    }
    Ok(members)
}
