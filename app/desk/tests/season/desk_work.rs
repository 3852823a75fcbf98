//! What happens between the phones and the desk, and at the desk.

use crate::common::handset::{code, label};
use crate::model::Fact;
use crate::play::{Letter, Season, State, date};
use crate::world::{APPROVER, HANDSETS};
use chrono::{DateTime, FixedOffset};
use combgate_core::clerk::{PailAtStore, SealSeen};
use combgate_core::intake::{ScaleCheck, WeighingScale};
use combgate_core::record::Means;
use combgate_core::units::{Grams, ScaleInterval};
use combgate_desk::closing::{close, open_day};
use combgate_desk::import::{Imported, import_bytes};
use combgate_desk::keys::DeskCheck;
use combgate_desk::payments::{self, PayError, Proposal};
use combgate_desk::receiving::{ReceiveError, Receiving, Which, receive};
use combgate_desk::store::{Act, Cause, Clerks, Payments, Reversed, Revocation, Store};
use std::collections::BTreeMap;
use std::path::Path;

/// A payment list as the model has it: by handset and receipt, how much.
pub struct List {
    pub id: i64,
    pub on_it: BTreeMap<(usize, usize), i64>,
    pub state: ListState,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListState {
    Proposed,
    Approved,
    Settled,
    Reversed,
}

/// The same entry with another first letter of its signature.
fn altered(compact: &str) -> String {
    let (text, signature) = compact.rsplit_once('.').unwrap();
    let other = if signature.starts_with('A') { 'B' } else { 'A' };
    format!("{text}.{other}{}", &signature[1..])
}

impl Season {
    /// The officer exports: what is not acknowledged, or any part. Letters are altered, torn, sent
    /// twice, or lost on the way.
    pub fn send(&mut self, who: usize) {
        let officer = &self.officers[who];
        let last = u64::try_from(officer.handset.entries.len()).unwrap();
        let mut seqs = officer.acknowledged + 1..=last;
        if self.rng.u8(..4) == 0 {
            let (one, other) = (self.rng.u64(1..=last), self.rng.u64(1..=last));
            seqs = one.min(other)..=one.max(other);
        }
        if seqs.is_empty() {
            return;
        }
        let mut letter = Letter {
            handset: who,
            text: officer.handset.bundle(seqs.clone()),
            seqs: seqs.clone(),
            altered: None,
            torn: false,
        };
        match self.rng.u8(..20) {
            0..=1 => {
                let seq = self.rng.u64(seqs);
                let honest = officer.handset.entries[usize::try_from(seq).unwrap() - 1].compact();
                letter.text = letter.text.replace(honest, &altered(honest));
                letter.altered = Some(seq);
            }
            2..=3 => {
                letter
                    .text
                    .truncate(self.rng.usize(..letter.text.len() - 2));
                letter.torn = true;
            }
            4 => self.bag.push(letter.clone()),
            5 => return,
            _ => {}
        }
        self.bag.push(letter);
    }

    /// The clerk does one thing.
    pub fn desk_step(&mut self) {
        match self.rng.u8(..20) {
            0..=10 => self.open_a_letter(),
            11..=14 => self.receive_a_pail(),
            15..=16 => self.propose(),
            17 => self.go_on_with_a_list(),
            18 => self.reverse_a_list(),
            _ => self.acknowledge(),
        }
    }

    fn open_a_letter(&mut self) {
        if self.bag.is_empty() {
            return;
        }
        let at = self.rng.usize(..self.bag.len());
        // Some messengers bring the same once more, later.
        let letter = if self.rng.u8(..6) == 0 {
            self.bag[at].clone()
        } else {
            self.bag.swap_remove(at)
        };
        self.import(&letter);
    }

    /// Takes in a letter and tells the model.
    pub fn import(&mut self, letter: &Letter) -> Option<Imported> {
        let (now, bytes) = (self.now(), letter.text.clone().into_bytes());
        let name = Path::new("letter.json");
        let imported = import_bytes(&mut self.store, &DeskCheck, name, bytes, now);
        if letter.torn {
            assert!(imported.is_err(), "a torn bundle is refused whole");
            return None;
        }
        let journal = &mut self.model.journals[letter.handset];
        let before = journal.booked();
        let whole = letter.seqs.clone();
        let whole = whole.filter(|seq| letter.altered != Some(*seq));
        journal.came.extend(whole);
        if let Some(seq) = letter.altered {
            let entries = &self.officers[letter.handset].handset.entries;
            let compact = entries[usize::try_from(seq).unwrap() - 1].compact();
            journal.altered.insert(altered(compact).into_bytes());
        }
        let imported = imported.unwrap();
        let booked = usize::try_from(imported.extension.booked).unwrap();
        assert_eq!(
            booked,
            journal.booked() - before,
            "each entry is booked once"
        );
        Some(imported)
    }

    /// Every phone that is there hands over all it has.
    pub fn hand_everything_over(&mut self) {
        for who in 0..self.officers.len() {
            if self.officers[who].state == State::InUse {
                let letter = self.whole_journal(who);
                self.import(&letter);
            }
        }
    }

    /// A bundle of all that a phone wrote.
    pub fn whole_journal(&self, who: usize) -> Letter {
        let handset = &self.officers[who].handset;
        let seqs = 1..=u64::try_from(handset.entries.len()).unwrap();
        Letter {
            handset: who,
            text: handset.bundle(seqs.clone()),
            seqs,
            altered: None,
            torn: false,
        }
    }

    fn acknowledge(&mut self) {
        let who = self.rng.usize(..self.officers.len());
        let booked = u64::try_from(self.model.journals[who].booked()).unwrap();
        self.officers[who].acknowledged = booked;
    }

    pub fn take_out_of_use(&mut self, who: usize, from_at: DateTime<FixedOffset>) {
        let revocation = Revocation {
            handset: code(HANDSETS[who]),
            from_at,
            cause: Cause::Lost,
            replacement: None,
            words: label("left in a bus"),
            account: code(APPROVER),
            made_at: self.now(),
        };
        self.store
            .atomically(|store| store.revoke(&revocation))
            .unwrap();
    }

    /// A pail comes to the store: bought by an officer, not given back, whether or not its bundle
    /// is here yet. It is weighed once; a second weighing needs a reason and takes its place.
    fn receive_a_pail(&mut self) {
        let mut there = Vec::new();
        for journal in &self.model.journals {
            let believed = journal
                .disbelieved_from
                .map_or(usize::MAX, |seq| usize::try_from(seq).unwrap() - 1);
            let all = journal.facts.len();
            for (at, bought) in journal.facts_bought(all.min(believed)) {
                if !journal.is_cancelled(at, all) {
                    there.push((bought.pail.clone(), bought.gross));
                }
            }
        }
        if there.is_empty() {
            return;
        }
        let (pail, gross) = there.swap_remove(self.rng.usize(..there.len()));
        // Within what both scales may err by.
        let gross = gross + self.rng.i64(-1..=1) * 10;
        let came_before = self.model.at_store.contains_key(&pail);
        let again = came_before && self.rng.bool();
        let receiving = Receiving {
            pail: code(&pail),
            which: Which::Expected,
            found: PailAtStore {
                scale: WeighingScale {
                    interval: ScaleInterval::new(10).unwrap(),
                    check: ScaleCheck::Passed,
                },
                gross: Grams::new(gross).unwrap(),
                tare: None,
                seal: SealSeen::Whole(code(&pail.replace('P', "S"))),
                by: label("Juma Bakari"),
            },
            again: again.then(|| label("typed wrongly")),
        };
        let now = self.now();
        let received = receive(&mut self.store, &receiving, now);
        if came_before && !again {
            assert!(matches!(received, Err(ReceiveError::Twice { .. })));
        } else {
            received.unwrap();
            self.model.at_store.insert(pail, gross);
        }
    }

    fn act(&self, by: &str) -> Act {
        Act {
            by: label(by),
            at: self.now(),
        }
    }

    /// What is owed and stands on no list, by the model.
    fn due(&self) -> BTreeMap<(usize, usize), i64> {
        let mut due = BTreeMap::new();
        for (who, journal) in self.model.journals.iter().enumerate() {
            let booked = journal.booked();
            for (at, bought) in journal.receipts() {
                let receipt = (who, at);
                let listed = self.lists.iter().any(|list| {
                    list.state != ListState::Reversed && list.on_it.contains_key(&receipt)
                });
                let seq = u64::try_from(at).unwrap() + 1;
                let believed = journal.disbelieved_from.is_none_or(|from| seq < from);
                let questioned = bought.by_old_prices || !believed;
                let desk = self.model.desk_paid.get(&receipt).copied().unwrap_or(0);
                let owed = bought.payable - journal.field_paid(at, booked) - desk;
                if !listed && !questioned && owed > 0 && !journal.is_cancelled(at, booked) {
                    due.insert(receipt, owed);
                }
            }
        }
        due
    }

    fn propose(&mut self) {
        let due = self.due();
        let proposal = Proposal {
            means: Means::Cash,
            members: Vec::new(),
            receipts: Vec::new(),
            despite: None,
        };
        let act = self.act("Juma");
        let proposed = payments::propose(&mut self.store, &proposal, &act);
        if due.is_empty() {
            assert!(matches!(proposed, Err(PayError::NothingDue)));
            return;
        }
        let view = proposed.unwrap();
        let on_it: BTreeMap<(usize, usize), i64> = view
            .payments
            .iter()
            .map(|payment| {
                let who = HANDSETS
                    .iter()
                    .position(|each| *each == payment.handset.as_str());
                let at = usize::try_from(payment.seq).unwrap() - 1;
                ((who.unwrap(), at), payment.minor)
            })
            .collect();
        assert_eq!(on_it, due, "what is owed, each receipt once");
        self.lists.push(List {
            id: view.list.id,
            on_it,
            state: ListState::Proposed,
        });
    }

    /// Approves or settles the oldest list that waits.
    fn go_on_with_a_list(&mut self) {
        let waits = |list: &List| matches!(list.state, ListState::Proposed | ListState::Approved);
        let Some(at) = self.lists.iter().position(waits) else {
            return;
        };
        let (id, day) = (self.lists[at].id, open_day(&self.store, date(self.day)));
        if self.lists[at].state == ListState::Proposed {
            let by_another = self.act("Grace");
            let by_the_same = self.act(" juma");
            assert!(payments::approve(&mut self.store, id, &by_the_same).is_err());
            let as_owed = self.lists[at].on_it.iter().all(|(receipt, minor)| {
                let journal = &self.model.journals[receipt.0];
                let booked = journal.booked();
                let Fact::Bought(bought) = &journal.facts[receipt.1] else {
                    unreachable!("only receipts are listed");
                };
                let seq = u64::try_from(receipt.1).unwrap() + 1;
                let believed = journal.disbelieved_from.is_none_or(|from| seq < from);
                believed
                    && !journal.is_cancelled(receipt.1, booked)
                    && bought.payable - journal.field_paid(receipt.1, booked) == *minor
            });
            let approved = payments::approve(&mut self.store, id, &by_another);
            assert_eq!(approved.is_ok(), as_owed, "{approved:?}");
            if as_owed {
                self.lists[at].state = ListState::Approved;
            } else {
                self.reverse(at);
            }
            return;
        }
        let (act, reference) = (self.act("Juma"), code("R-1"));
        payments::confirm(
            &mut self.store,
            id,
            None,
            Some(&reference),
            day.unwrap(),
            &act,
        )
        .unwrap();
        let twice = payments::confirm(
            &mut self.store,
            id,
            None,
            Some(&reference),
            date(self.day),
            &act,
        );
        assert!(matches!(twice, Err(PayError::NothingToConfirm(_))));
        self.lists[at].state = ListState::Settled;
        for (receipt, minor) in &self.lists[at].on_it {
            *self.model.desk_paid.entry(*receipt).or_default() += minor;
        }
    }

    fn reverse_a_list(&mut self) {
        if self.lists.is_empty() {
            return;
        }
        let at = self.rng.usize(..self.lists.len());
        if self.lists[at].state != ListState::Reversed {
            self.reverse(at);
        }
    }

    fn reverse(&mut self, at: usize) {
        let day = open_day(&self.store, date(self.day)).unwrap();
        let reversed = Reversed {
            day,
            act: self.act("Grace"),
            because: label("the money came back"),
        };
        payments::reverse(&mut self.store, self.lists[at].id, None, &reversed).unwrap();
        if self.lists[at].state == ListState::Settled {
            for (receipt, minor) in &self.lists[at].on_it {
                *self.model.desk_paid.entry(*receipt).or_default() -= minor;
            }
        }
        self.lists[at].state = ListState::Reversed;
        let standing = self.store.payments_in(self.lists[at].id).unwrap();
        assert!(standing.iter().all(|payment| payment.reversed.is_some()));
    }

    /// Closes yesterday and what was before it.
    pub fn close_a_day(&mut self) {
        let yesterday = self.day - 1;
        if self.closed_to.is_some_and(|closed| closed >= yesterday) {
            return;
        }
        let act = self.act("Asha");
        close(&mut self.store, date(yesterday), &act, date(self.day)).unwrap();
        self.closed_to = Some(yesterday);
    }
}
