//! What the books must be, in plain integers: grams, minor units, counts. It knows nothing of
//! core's types, of bundles or of a database; it is told what people did.

use std::collections::{BTreeMap, BTreeSet};

/// Cooperative's prices of the fixtures, minor units a kilogram: two lists, two kinds of honey.
const PER_KG: [[i64; 2]; 2] = [[42_000, 95_000], [43_500, 96_500]];
/// Added for members of the organic group.
const ORGANIC: (i64, [&str; 3]) = (2_500, ["M001", "M004", "M009"]);
/// The county takes so many hundredths.
const CESS_PER_HUNDRED: i64 = 1;
/// Of a value, at most so many hundredths go towards an advance.
const ADVANCE_PER_HUNDRED: i64 = 30;
/// Smallest coin, minor units.
const COIN: i64 = 500;
/// Parts of a minor unit, so that no line is rounded.
const PARTS: i64 = 1_000 * 100;
/// Who has an advance, and how much of it is outstanding at the start.
pub const IN_DEBT: (&str, i64) = ("M002", 1_500_000);

/// Which honey.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Honey {
    CutComb,
    Stingless,
}

/// What something comes to: payable, and taken back of an advance.
pub fn price(grams: i64, honey: Honey, list: usize, member: &str, outstanding: i64) -> (i64, i64) {
    let organic = if ORGANIC.1.contains(&member) {
        ORGANIC.0
    } else {
        0
    };
    let per_kg = PER_KG[list][usize::from(honey == Honey::Stingless)] + organic;
    // A kilogram is a thousand grams, so a gram times a price is in thousandths.
    let value = grams * per_kg * (PARTS / 1_000);
    let left = value - value * CESS_PER_HUNDRED / 100;
    let most = (value * ADVANCE_PER_HUNDRED / 100).min(left) / PARTS;
    let taken = most.min(outstanding);
    let exact = left - taken * PARTS;
    // The nearest coin; half a coin is the member's.
    let coin = COIN * PARTS;
    (((2 * exact + coin) / (2 * coin)) * COIN, taken)
}

/// What an entry of a journal did.
#[derive(Debug, Clone)]
pub enum Fact {
    /// Nothing to the books: a card, an opening, a registration, a clock, a closing.
    Other,
    Bought(Bought),
    /// A hold or a refusal, whose pails the member took home.
    Slip(String),
    /// Undoes a receipt of this journal; so much money came back.
    Cancelled {
        of: usize,
        returned: i64,
    },
    /// Pays on a receipt of this journal.
    Paid {
        of: usize,
        minor: i64,
    },
}

/// A receipt.
#[derive(Debug, Clone)]
pub struct Bought {
    pub number: String,
    pub member: String,
    pub net: i64,
    pub payable: i64,
    pub paid: i64,
    /// Taken back of an advance.
    pub taken: i64,
    pub pail: String,
    pub gross: i64,
    /// Another price list held on that day already: the clerk looks at it before it is paid.
    pub by_old_prices: bool,
}

/// A handset's journal, and what of it came to the desk.
#[derive(Debug, Clone, Default)]
pub struct Journal {
    pub facts: Vec<Fact>,
    /// Entries that came whole, from 1.
    pub came: BTreeSet<u64>,
    /// What came altered, as it came.
    pub altered: BTreeSet<Vec<u8>>,
    /// From this entry on the handset is not believed.
    pub disbelieved_from: Option<u64>,
}

impl Journal {
    /// So many are booked: a journal is booked as far as it came without a gap.
    pub fn booked(&self) -> usize {
        (1..=u64::MAX)
            .take_while(|seq| self.came.contains(seq))
            .count()
    }

    fn booked_facts(&self) -> &[Fact] {
        &self.facts[..self.booked()]
    }

    /// Receipts booked, by the number of their entry less one.
    pub fn receipts(&self) -> impl Iterator<Item = (usize, &Bought)> {
        self.facts_bought(self.booked())
    }

    /// Receipts among the first entries.
    pub fn facts_bought(&self, first: usize) -> impl Iterator<Item = (usize, &Bought)> {
        let facts = self.facts[..first].iter().enumerate();
        facts.filter_map(|(at, fact)| match fact {
            Fact::Bought(bought) => Some((at, bought)),
            _ => None,
        })
    }

    /// Whether a receipt is cancelled by one of the first entries.
    pub fn is_cancelled(&self, receipt: usize, first: usize) -> bool {
        let facts = self.facts[..first].iter();
        facts
            .filter(|fact| matches!(fact, Fact::Cancelled { of, .. } if *of == receipt))
            .count()
            > 0
    }

    /// Paid by officers on a receipt, by the first entries.
    pub fn field_paid(&self, receipt: usize, first: usize) -> i64 {
        let facts = self.facts[..first].iter().enumerate();
        facts
            .map(|(at, fact)| match fact {
                Fact::Bought(bought) if at == receipt => bought.paid,
                Fact::Paid { of, minor } if *of == receipt => *minor,
                _ => 0,
            })
            .sum()
    }
}

/// Sums of all days.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Sums {
    pub receipts: i64,
    pub slips: i64,
    pub cancellations: i64,
    pub net: i64,
    pub payable: i64,
    pub paid: i64,
    pub desk: i64,
}

/// How a receipt stands at the desk.
#[derive(Debug, PartialEq, Eq)]
pub struct Stands {
    pub net: i64,
    pub payable: i64,
    pub paid: i64,
    pub cancelled: bool,
}

/// The whole.
#[derive(Debug, Default)]
pub struct Model {
    pub journals: Vec<Journal>,
    /// Paid by the desk less reversed, by handset and receipt.
    pub desk_paid: BTreeMap<(usize, usize), i64>,
    /// Full weight at the store of the pails received, by number.
    pub at_store: BTreeMap<String, i64>,
}

impl Model {
    pub fn sums(&self) -> Sums {
        let mut sums = Sums {
            desk: self.desk_paid.values().sum(),
            ..Sums::default()
        };
        for journal in &self.journals {
            for fact in journal.booked_facts() {
                match fact {
                    Fact::Other => {}
                    Fact::Bought(bought) => {
                        sums.receipts += 1;
                        sums.net += bought.net;
                        sums.payable += bought.payable;
                        sums.paid += bought.paid;
                    }
                    Fact::Slip(_) => sums.slips += 1,
                    Fact::Cancelled { of, returned } => {
                        let Fact::Bought(undone) = &journal.facts[*of] else {
                            unreachable!("only receipts are cancelled");
                        };
                        sums.cancellations += 1;
                        sums.net -= undone.net;
                        sums.payable -= undone.payable;
                        sums.paid -= returned;
                    }
                    Fact::Paid { minor, .. } => sums.paid += minor,
                }
            }
        }
        sums
    }

    /// Every receipt by its number, once.
    pub fn papers(&self) -> BTreeMap<String, Stands> {
        let mut papers = BTreeMap::new();
        for (handset, journal) in self.journals.iter().enumerate() {
            for (at, bought) in journal.receipts() {
                let desk = self.desk_paid.get(&(handset, at)).copied().unwrap_or(0);
                let stands = Stands {
                    net: bought.net,
                    payable: bought.payable,
                    paid: journal.field_paid(at, journal.booked()) + desk,
                    cancelled: journal.is_cancelled(at, journal.booked()),
                };
                let before = papers.insert(bought.number.clone(), stands);
                assert!(before.is_none(), "number {} twice", bought.number);
            }
        }
        papers
    }

    /// Numbers of the slips booked.
    pub fn slips(&self) -> BTreeSet<String> {
        let facts = self.journals.iter().flat_map(Journal::booked_facts);
        facts
            .filter_map(|fact| match fact {
                Fact::Slip(number) => Some(number.clone()),
                _ => None,
            })
            .collect()
    }

    /// Outstanding of the advance after all receipts that stand.
    pub fn outstanding(&self) -> i64 {
        let taken: i64 = self
            .journals
            .iter()
            .flat_map(|journal| {
                let standing = journal.receipts();
                standing.filter(|(at, _)| !journal.is_cancelled(*at, journal.booked()))
            })
            .map(|(_, bought)| bought.taken)
            .sum();
        (IN_DEBT.1 - taken).max(0)
    }

    /// Pails of the receipts booked, by number: full weight at the gate, and whether cancelled.
    pub fn pails(&self) -> BTreeMap<String, (i64, bool)> {
        let mut pails = BTreeMap::new();
        for journal in &self.journals {
            for (at, bought) in journal.receipts() {
                let cancelled = journal.is_cancelled(at, journal.booked());
                pails.insert(bought.pail.clone(), (bought.gross, cancelled));
            }
        }
        pails
    }
}

/// Worked by hand: 17.50 kg at 420.00 is 7,350.00; the county takes 73.50, so 7,276.50 and with the
/// coin of 5.00 7,275.00. With an advance, 30 % of 7,350.00 go: 2,205.00, which leaves 5,071.50 and
/// 5,070.00.
#[test]
fn prices_worked_by_hand() {
    assert_eq!(price(17_500, Honey::CutComb, 0, "M003", 0), (727_500, 0));
    assert_eq!(
        price(17_500, Honey::CutComb, 0, "M002", 1_500_000),
        (507_000, 220_500)
    );
}
