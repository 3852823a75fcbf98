//! Bundles that must be refused, or that hold what the clerk must look at.

use super::day::{Gate, good_comb, good_run, whole};
use super::file::{BundleFile, replace_in_payload};
use super::honey::{Paid, issue};
use super::{at, public, sign, test_key};
use combgate_core::record::{
    EntryBody, ManifestV1, ParsedEntry, Typ, Unsigned, UnsignedManifest, make_bundle,
};
use combgate_core::units::ExactMinor;

/// `seq` of the receipt that [`altered_byte`] and [`gap`] touch.
pub const TOUCHED_SEQ: u64 = 5;

/// The good day, as handed over in the evening.
pub fn good() -> String {
    whole().handset.bundle(.., at("17:05"))
}

/// One byte of a receipt's weight is another: its signature no longer fits.
pub fn altered_byte() -> String {
    BundleFile::of(&good()).with(|file| {
        let entry = &mut file.entries[place_of(TOUCHED_SEQ)];
        *entry = replace_in_payload(entry, r#""gross_g":15210"#, r#""gross_g":16210"#);
    })
}

/// The same day by a handset that says it is K7 and has another key.
pub fn wrong_key() -> String {
    let mut gate = Gate::enrolled_with("K7", "a stranger");
    gate.open();
    gate.buy("07:42", issue(1, "M001", good_comb(101)), Paid::Cash);
    gate.close("08:00");
    gate.handset.bundle(.., at("17:05"))
}

/// Cut off on the way.
pub fn truncated() -> String {
    let good = good();
    good[..good.len() * 3 / 5].to_owned()
}

/// Another version of the format.
pub fn version(format: &str) -> String {
    BundleFile::of(&good()).with(|file| format.clone_into(&mut file.format))
}

/// One entry left out.
pub fn gap() -> String {
    BundleFile::of(&good()).with(|file| {
        file.entries.remove(place_of(TOUCHED_SEQ));
    })
}

/// The journal turned back after the morning's opening and written otherwise, signed by the same
/// key: whole by itself, in contradiction to the good day.
pub fn fork() -> String {
    let mut gate = Gate::opened();
    gate.buy("07:42", issue(21, "M011", good_run(115)), Paid::Cash);
    gate.close("16:24");
    gate.handset.bundle(.., at("17:05"))
}

/// A manifest made by somebody without the key.
///
/// # Panics
/// When it cannot be written.
pub fn forged_manifest() -> String {
    let gate = whole();
    let entries = &gate.handset.entries;
    let code = Some(gate.handset.code.clone());
    let key = gate.handset.public();
    let unsigned = UnsignedManifest::over(entries, &key, code, None, at("17:05"))
        .unwrap()
        .unwrap();
    let manifest = sign(&test_key("a stranger"), unsigned.unsigned());
    make_bundle(manifest, entries).unwrap()
}

/// A manifest signed by the handset that says ten kilograms more than its entries.
pub fn lying_totals() -> String {
    with_manifest(&whole(), |manifest| manifest.days[0].net_g += 10_000)
}

/// A bundle with a manifest that the handset signed and that does not say what is so.
///
/// # Panics
/// When it cannot be written.
pub fn with_manifest(gate: &Gate, change: impl FnOnce(&mut ManifestV1)) -> String {
    let entries = &gate.handset.entries;
    let honest = gate.handset.manifest(entries, at("17:05"));
    let mut manifest: ManifestV1 = serde_json::from_str(&super::file::payload(&honest)).unwrap();
    change(&mut manifest);
    let text = serde_json::to_string(&manifest).unwrap();
    let kid = public(&gate.handset.key).id();
    let unsigned = Unsigned::new(Typ::Manifest, kid, &text).unwrap();
    make_bundle(sign(&gate.handset.key, &unsigned), entries).unwrap()
}

/// Every signature fits and the chain is whole, but the program was made to pay a friend more, and
/// to buy after the day was closed.
///
/// # Panics
/// When it cannot be written.
pub fn dishonest() -> String {
    let mut gate = Gate::opened();
    gate.buy("07:42", issue(1, "M001", good_comb(101)), Paid::Cash);
    let honest = gate.due(issue(2, "M006", good_run(102)), Paid::Cash);
    let number = gate
        .handset
        .standing
        .next_number(&gate.handset.code, honest.day)
        .unwrap();
    let mut body = honest.paper(number, &gate.brief).unwrap();
    overpay(&mut body, 100_000);
    gate.write("08:10", &body);
    gate.close("16:24");
    gate.buy("17:00", issue(3, "M003", good_run(103)), Paid::Cash);
    gate.handset.bundle(.., at("17:05"))
}

/// Raises the first line, the total and what was paid alike, so that everything still sums.
///
/// # Panics
/// When it is no receipt.
pub fn overpay(body: &mut EntryBody, by_minor: i64) {
    let EntryBody::Receipt(receipt) = body else {
        panic!("only a receipt pays");
    };
    let line = &mut receipt.assessment.lines[0];
    let amount: ExactMinor = line.amount_minor.parse().unwrap();
    let raised = amount.plus(ExactMinor::from_minor(by_minor)).unwrap();
    line.amount_minor = raised.to_string();
    let payable = receipt.assessment.payable_minor.as_mut().unwrap();
    *payable += by_minor;
    receipt.settlement.paid_minor += by_minor;
}

fn place_of(seq: u64) -> usize {
    usize::try_from(seq).unwrap() - 1
}

/// Takes a bundle's entries apart.
///
/// # Panics
/// When one cannot be read.
pub fn entries_of(bundle: &str) -> Vec<ParsedEntry> {
    let file = BundleFile::of(bundle);
    file.entries
        .iter()
        .map(|compact| ParsedEntry::parse(compact).unwrap())
        .collect()
}
