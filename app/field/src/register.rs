//! The members whose honey can be bought: those of the brief and those registered on this phone.
//!
//! Those of the brief are read after the first screen is shown, a few at a time, so that a register
//! of twenty thousand holds up neither the start nor a key. Until then nobody is found, and nothing
//! is said of what is due to anybody.

use combgate_core::intake::{Found, MemberIndex, Sought};
use combgate_core::record::{AdvanceV1, Brief, FieldRegister, MemberV1, ParsedEntry};
use combgate_core::units::{Code, Label};
use combgate_view::{RwSignal, StoredValue};
use std::sync::Arc;

/// The register; cheap to copy.
#[derive(Debug, Clone, Copy)]
pub struct Register {
    field: RwSignal<FieldRegister>,
    members: RwSignal<Option<Arc<Members>>>,
    index: StoredValue<Option<Indexed>>,
}

/// The members of a brief in an order in which they are found.
#[derive(Debug, Default)]
pub struct Members {
    all: Vec<MemberV1>,
    index: Arc<MemberIndex>,
}

impl Members {
    /// Takes in some more.
    pub fn add(&mut self, more: Vec<MemberV1>) {
        // Nobody else holds it yet.
        let index = Arc::make_mut(&mut self.index);
        for member in &more {
            index.add(sought(
                &member.number,
                &member.name,
                member.village.as_ref(),
            ));
        }
        self.all.extend(more);
    }

    /// All of them, once the last was taken in.
    #[must_use]
    pub fn sorted(self) -> Self {
        Self {
            index: Arc::new(Arc::unwrap_or_clone(self.index).sorted()),
            ..self
        }
    }
}

/// An index of all, and of what it is one.
#[derive(Debug, Clone)]
struct Indexed {
    brief: Arc<Members>,
    registered: usize,
    /// Places of the members registered here whom the brief does not know yet: in the index they
    /// come after those of the brief.
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
            members: RwSignal::new(None),
            index: StoredValue::new(None),
        }
    }

    /// Takes note of the next entry.
    pub fn note(&self, entry: &ParsedEntry) {
        self.field.update(|field| field.note(entry));
    }

    /// Takes the members of the brief in hand in place of those before; none when they are still
    /// to be read.
    pub fn take(&self, members: Option<Members>) {
        self.members.set(members.map(Arc::new));
    }

    /// Whether the members of the brief were read. Reactive.
    pub fn is_read(&self) -> bool {
        self.members.with(Option::is_some)
    }

    /// How many members the brief has, once they were read. Reactive.
    pub fn count(&self) -> Option<usize> {
        self.members
            .with(|members| Some(members.as_ref()?.all.len()))
    }

    /// Shows all members of the brief that were read to `look`. Reactive.
    pub fn each(&self, look: impl FnMut(&MemberV1)) {
        if let Some(members) = self.members.get() {
            members.all.iter().for_each(look);
        }
    }

    /// A member of the brief by the number. Reactive.
    pub fn member(&self, number: &Code) -> Option<MemberV1> {
        let members = self.members.get()?;
        let mut all = members.all.iter();
        all.find(|member| member.number == *number).cloned()
    }

    /// The best `most` members for what is typed, and how many there are; none while the register
    /// is still being read. Reactive.
    pub fn find(&self, typed: &str, most: usize) -> Option<(Vec<Candidate>, usize)> {
        let brief = self.members.get()?;
        self.field.with(|field| {
            let Indexed { index, own, .. } = self.indexed(&brief, field);
            let members = &brief.all;
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
            Some((shown.collect(), count))
        })
    }

    fn indexed(&self, brief: &Arc<Members>, field: &FieldRegister) -> Indexed {
        let registered = field.members().len();
        let known = self.index.get_value();
        known
            .filter(|known| Arc::ptr_eq(&known.brief, brief) && known.registered == registered)
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

    /// Whether a member who was registered on this phone agreed to photos then.
    pub fn agreed_to_photos(&self, number: &Code) -> bool {
        self.field.with_untracked(|field| {
            let mut members = field.members().iter();
            members.any(|member| member.member == *number && member.photos)
        })
    }

    /// What is due to a member and from them; nothing is known while the register is still being
    /// read. Reactive.
    pub fn due(&self, brief: &Brief, number: &Code) -> Option<Due> {
        self.is_read().then(|| {
            self.member(number).map_or_else(Due::default, |member| Due {
                advance: self.field.with(|field| field.advance(&member, brief)),
                premiums: member.premiums,
            })
        })
    }
}

impl Indexed {
    fn of(brief: &Arc<Members>, field: &FieldRegister) -> Self {
        let own: Arc<[usize]> = (0..field.members().len())
            .filter(|place| {
                let number = &field.members()[*place].member;
                !brief.all.iter().any(|member| member.number == *number)
            })
            .collect();
        let known = |index| Self {
            brief: Arc::clone(brief),
            registered: field.members().len(),
            own: Arc::clone(&own),
            index,
        };
        if own.is_empty() {
            return known(Arc::clone(&brief.index));
        }
        let mut index = MemberIndex::clone(&brief.index);
        for place in own.iter() {
            let member = &field.members()[*place];
            index.add(sought(
                &member.member,
                &member.name,
                member.village.as_ref(),
            ));
        }
        known(Arc::new(index.sorted()))
    }
}

fn sought<'a>(number: &'a Code, name: &'a Label, village: Option<&'a Label>) -> Sought<'a> {
    Sought {
        number: number.as_str(),
        name: name.as_str(),
        village: village.map_or("", Label::as_str),
    }
}

fn candidate(number: &Code, name: &Label, village: Option<&Label>) -> Candidate {
    Candidate {
        number: number.clone(),
        name: name.to_string(),
        village: village.map_or_else(String::new, Label::to_string),
    }
}
