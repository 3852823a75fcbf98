//! The members whose honey can be bought: those of the brief and those registered on this phone.

use combgate_core::intake::{Found, MemberIndex, Sought};
use combgate_core::record::{AdvanceV1, Brief, FieldRegister, ParsedEntry};
use combgate_core::units::{Code, Label};
use leptos::prelude::*;
use std::sync::Arc;

/// The register; cheap to copy.
#[derive(Debug, Clone, Copy)]
pub struct Register {
    field: RwSignal<FieldRegister>,
    index: StoredValue<Option<Indexed>>,
}

/// An index, and of what it is one.
#[derive(Debug, Clone)]
struct Indexed {
    serial: u32,
    registered: usize,
    /// Places of the members registered here whom the brief does not know yet: they come after
    /// those of the brief.
    own: Arc<[usize]>,
    index: Arc<MemberIndex>,
}

/// A member as shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// Number.
    pub number: Code,
    /// Name.
    pub name: String,
    /// Village, or nothing.
    pub village: String,
}

/// What is due to a member and from them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Due {
    /// Additions they have a right to.
    pub premiums: Vec<Code>,
    /// What is still outstanding of an advance.
    pub advance: Option<AdvanceV1>,
}

impl Register {
    /// What the entries of the journal put on it.
    pub fn of(field: FieldRegister) -> Self {
        Self {
            field: RwSignal::new(field),
            index: StoredValue::new(None),
        }
    }

    /// Takes note of the next entry.
    pub fn note(&self, entry: &ParsedEntry) {
        self.field.update(|field| field.note(entry));
    }

    /// The best `most` members for what is typed. The index is made at the first search, and
    /// again after a new brief or a new member. Reactive.
    pub fn find(&self, brief: &Brief, typed: &str, most: usize) -> (Vec<Candidate>, usize) {
        self.field.with(|field| {
            let members = &brief.payload().members;
            let Indexed { index, own, .. } = self.indexed(brief, field);
            let Found { best, count } = index.find(typed, most);
            let shown = best.into_iter().filter_map(|place| {
                if let Some(member) = members.get(place) {
                    let village = member.village.as_ref();
                    return Some(candidate(&member.number, &member.name, village));
                }
                let place = own.get(place.checked_sub(members.len())?)?;
                let member = field.members().get(*place)?;
                let village = member.village.as_ref();
                Some(candidate(&member.member, &member.name, village))
            });
            (shown.collect(), count)
        })
    }

    fn indexed(&self, brief: &Brief, field: &FieldRegister) -> Indexed {
        let (serial, registered) = (brief.payload().serial, field.members().len());
        let known = self.index.get_value();
        known
            .filter(|known| known.serial == serial && known.registered == registered)
            .unwrap_or_else(|| {
                let made = Indexed::of(brief, field);
                self.index.set_value(Some(made.clone()));
                made
            })
    }

    /// A member registered on this phone under this number.
    pub fn registered(&self, number: &Code) -> Option<Candidate> {
        self.field.with(|field| {
            let mut members = field.members().iter();
            members
                .find(|member| member.member == *number)
                .map(|member| candidate(&member.member, &member.name, member.village.as_ref()))
        })
    }

    /// What is due to a member and from them. Reactive.
    pub fn due(&self, brief: &Brief, number: &Code) -> Due {
        let mut members = brief.payload().members.iter();
        members
            .find(|member| member.number == *number)
            .map_or_else(Due::default, |member| Due {
                premiums: member.premiums.clone(),
                advance: self.field.with(|field| field.advance(member, brief)),
            })
    }
}

impl Indexed {
    fn of(brief: &Brief, field: &FieldRegister) -> Self {
        let members = &brief.payload().members;
        let own: Arc<[usize]> = (0..field.members().len())
            .filter(|place| {
                let number = &field.members()[*place].member;
                !members.iter().any(|member| member.number == *number)
            })
            .collect();
        let all = members
            .iter()
            .map(|member| (&member.number, &member.name, &member.village))
            .chain(own.iter().map(|place| {
                let member = &field.members()[*place];
                (&member.member, &member.name, &member.village)
            }));
        let index = MemberIndex::new(all.map(|(number, name, village)| Sought {
            number: number.as_str(),
            name: name.as_str(),
            village: village.as_ref().map_or("", Label::as_str),
        }));
        Self {
            serial: brief.payload().serial,
            registered: field.members().len(),
            own,
            index: Arc::new(index),
        }
    }
}

fn candidate(number: &Code, name: &Label, village: Option<&Label>) -> Candidate {
    Candidate {
        number: number.clone(),
        name: name.to_string(),
        village: village.map_or_else(String::new, Label::to_string),
    }
}
