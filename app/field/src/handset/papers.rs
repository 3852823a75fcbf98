//! The papers of the journal as lists show them: each with what became of it.

use super::{Handset, Refused};
use chrono::NaiveDate;
use combgate_core::intake::Decision;
use combgate_core::record::{AssessmentV1, EntryBody, ParsedEntry, PaymentV1, ReceiptNumber};
use combgate_core::units::{Code, Currency, Label};
use combgate_view::RwSignal;
use std::ops::RangeInclusive;

/// Entries that are read at one go.
const CHUNK: u32 = 250;

/// A receipt or slip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Its place in the journal.
    pub seq: u32,
    /// Its number.
    pub number: ReceiptNumber,
    /// The day it counts on.
    pub day: NaiveDate,
    /// Whose.
    pub member: Code,
    /// What was decided.
    pub decision: Decision,
    /// The grade, when bought.
    pub grade: Option<Code>,
    /// Net mass, grams.
    pub net_g: Option<i64>,
    /// What is payable in minor units, when bought.
    pub total: Option<(i64, Currency)>,
    /// What was owed when it was issued, minor units.
    pub owed_minor: i64,
    /// The cancelled receipt that it replaces.
    pub replaces: Option<ReceiptNumber>,
}

/// How a receipt was undone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// Which.
    number: ReceiptNumber,
    /// On which day.
    pub day: NaiveDate,
    /// Why.
    pub reason: Label,
}

/// The papers among the entries that were read: the newest, back to some place.
#[derive(Debug, Clone, Default)]
pub struct Papers {
    /// All entries from this place on were read.
    from: Option<u32>,
    /// In order of place.
    list: Vec<Paper>,
    undone: Vec<Undone>,
    payments: Vec<PaymentV1>,
    registered: Vec<(Code, Label)>,
}

impl Papers {
    /// The papers among these entries.
    pub fn of<'a>(entries: impl IntoIterator<Item = &'a ParsedEntry>) -> Self {
        let mut papers = Self::default();
        for entry in entries {
            papers.note(entry);
        }
        papers
    }

    /// Puts what stands before these papers in the journal in front of them.
    fn begin_with(&mut self, mut older: Self) {
        older.from = older.from.or(self.from);
        older.list.append(&mut self.list);
        older.undone.append(&mut self.undone);
        older.payments.append(&mut self.payments);
        older.registered.append(&mut self.registered);
        *self = older;
    }

    /// Takes note of the next entry.
    pub fn note(&mut self, entry: &ParsedEntry) {
        let Ok(seq) = u32::try_from(entry.seq()) else {
            return;
        };
        self.from.get_or_insert(seq);
        match entry.body() {
            EntryBody::Receipt(receipt) => {
                let paper = Paper {
                    owed_minor: receipt.settlement.owed_minor,
                    replaces: receipt.replaces.clone(),
                    ..paper(
                        (seq, &receipt.number, receipt.day),
                        &receipt.member,
                        &receipt.assessment,
                    )
                };
                self.list.push(paper);
            }
            EntryBody::Slip(slip) => {
                let place = (seq, &slip.number, slip.day);
                self.list.push(paper(place, &slip.member, &slip.assessment));
            }
            EntryBody::Cancellation(cancelled) => self.undone.push(Undone {
                number: cancelled.number.clone(),
                day: cancelled.day,
                reason: cancelled.reason.clone(),
            }),
            EntryBody::Payment(payment) => self.payments.push(PaymentV1::clone(payment)),
            EntryBody::MemberRegistered(new) => {
                self.registered.push((new.member.clone(), new.name.clone()));
            }
            _ => {}
        }
    }

    /// The papers, newest first.
    pub fn newest_first(&self) -> impl Iterator<Item = &Paper> {
        self.list.iter().rev()
    }

    /// The paper at a place.
    pub fn at(&self, seq: u32) -> Option<&Paper> {
        let place = self
            .list
            .binary_search_by_key(&seq, |paper| paper.seq)
            .ok()?;
        self.list.get(place)
    }

    /// How a receipt was undone, if it was.
    pub fn undone(&self, number: &ReceiptNumber) -> Option<&Undone> {
        self.undone.iter().find(|undone| undone.number == *number)
    }

    /// The receipt that replaces another, if one does.
    pub fn replaced_by(&self, number: &ReceiptNumber) -> Option<&ReceiptNumber> {
        let mut all = self.list.iter();
        all.find(|paper| paper.replaces.as_ref() == Some(number))
            .map(|paper| &paper.number)
    }

    /// The place of a receipt or slip by its number.
    pub fn place_of(&self, number: &ReceiptNumber) -> Option<u32> {
        let mut all = self.list.iter();
        all.find(|paper| paper.number == *number)
            .map(|paper| paper.seq)
    }

    /// What was paid on a receipt after it was issued, minor units.
    pub fn paid_later(&self, number: &ReceiptNumber) -> i64 {
        self.payments(number)
            .fold(0, |sum, payment| sum.saturating_add(payment.paid_minor))
    }

    /// What was paid on a receipt after it was issued, oldest first.
    pub fn payments(&self, number: &ReceiptNumber) -> impl Iterator<Item = &PaymentV1> {
        self.payments
            .iter()
            .filter(move |payment| payment.number == *number)
    }

    /// What is still owed on a paper that stands, minor units; nothing on one that was undone.
    pub fn owed(&self, paper: &Paper) -> i64 {
        if paper.owed_minor == 0 || self.undone(&paper.number).is_some() {
            return 0;
        }
        let paid = self.paid_later(&paper.number);
        paper.owed_minor.saturating_sub(paid).max(0)
    }
}

fn paper(
    (seq, number, day): (u32, &ReceiptNumber, NaiveDate),
    member: &Code,
    assessment: &AssessmentV1,
) -> Paper {
    Paper {
        seq,
        number: number.clone(),
        day,
        member: member.clone(),
        decision: assessment.decision,
        grade: assessment.grade.clone(),
        net_g: assessment.net_g.map(i64::from),
        total: assessment.payable_minor.zip(assessment.currency),
        owed_minor: 0,
        replaces: None,
    }
}

/// Names of members by their numbers.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Names(Vec<(Code, String)>);

impl Names {
    /// The name of a member; empty where it is not known.
    pub fn of(&self, member: &Code) -> &str {
        self.place(member)
            .and_then(|place| self.0.get(place))
            .map_or("", |(_, name)| name)
    }

    fn put(&mut self, member: &Code, name: &Label) {
        if let Some((_, known)) = self.place(member).and_then(|place| self.0.get_mut(place)) {
            name.as_str().clone_into(known);
        }
    }

    fn place(&self, member: &Code) -> Option<usize> {
        self.0.binary_search_by(|(code, _)| code.cmp(member)).ok()
    }
}

impl Handset {
    /// The papers that were read so far. Reactive.
    pub fn papers(self) -> RwSignal<Papers> {
        self.papers
    }

    /// Reads the register, and papers back to a place; the newest that were read already are not read again.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn read_papers(self, back_to: u32) -> Result<(), Refused> {
        self.read_register().await?;
        loop {
            let last = u32::try_from(self.last.get_untracked()).unwrap_or(u32::MAX);
            let from = self.papers.with_untracked(|papers| papers.from);
            let before = from.map_or(last, |from| from.saturating_sub(1));
            if before < back_to.max(1) {
                return Ok(());
            }
            let begin = before.saturating_sub(CHUNK - 1).max(1);
            let entries = self.read(begin..=before).await?;
            let missing = entries.is_empty();
            let older = Papers::of(&entries);
            self.papers.update(|papers| papers.begin_with(older));
            if missing {
                return Ok(());
            }
        }
    }

    /// The entries of a day, from its opening on; none where it was not opened.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn day(self, day: NaiveDate) -> Result<Vec<ParsedEntry>, Refused> {
        let mut found: Vec<ParsedEntry> = Vec::new();
        let mut before = u32::try_from(self.last.get_untracked()).unwrap_or(u32::MAX);
        while before > 0 {
            let begin = before.saturating_sub(CHUNK - 1).max(1);
            let mut chunk = self.read(begin..=before).await?;
            let opening = chunk.iter().rposition(
                |entry| matches!(entry.body(), EntryBody::DayOpened(opened) if opened.day <= day),
            );
            let kept = chunk.split_off(opening.unwrap_or(0));
            found.splice(0..0, kept);
            if opening.is_some() || chunk.is_empty() && begin == 1 {
                break;
            }
            before = begin - 1;
        }
        Ok(found)
    }

    /// The names of these members, from the brief or from this handset's own register. Reactive.
    pub fn names_of<'a>(self, members: impl Iterator<Item = &'a Code>) -> Names {
        let mut wanted: Vec<Code> = members.cloned().collect();
        wanted.sort_unstable();
        wanted.dedup();
        let mut names: Names = Names(
            wanted
                .into_iter()
                .map(|code| (code, String::new()))
                .collect(),
        );
        self.papers.with_untracked(|papers| {
            for (member, name) in &papers.registered {
                names.put(member, name);
            }
        });
        self.register
            .each(|member| names.put(&member.number, &member.name));
        names
    }

    /// Parses the entries of these places.
    pub(super) async fn read(
        self,
        places: RangeInclusive<u32>,
    ) -> Result<Vec<ParsedEntry>, Refused> {
        let all = self.journal.get_value().entries(places).await?;
        Ok(all
            .iter()
            .map(|compact| ParsedEntry::parse(compact))
            .collect::<Result<_, _>>()?)
    }
}
