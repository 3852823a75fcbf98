//! A member is forgotten, and books, signatures and later imports stand; exports say what they hold.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as BASE64URL;
use combgate_core::record::{Entry, ParsedEntry, SoftwareCheck};
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};

const NAME: &str = "Tumaini Barua";

/// A desk with a member registered in the field, and a brief that names the whole register.
fn with_a_member() -> (TestDesk, TestHandset, String) {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    let number = handset.register(NAME);
    handset.deliver(&delivery("bought"), &number, None);
    handset.deliver(&delivery("bought"), "M003", None);
    import(&desk, &handset);
    desk.done("brief --handset K1 --out next.jws --float 5");
    (desk, handset, number)
}

fn import(desk: &TestDesk, handset: &TestHandset) {
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    desk.done("import bundle.json");
}

/// Whether a text stands anywhere in the ledger's files, as it is or as base64url at any of its
/// three alignments.
fn stands_in_the_files(desk: &TestDesk, text: &str) -> bool {
    let mut forms = vec![text.as_bytes().to_vec()];
    for shift in 0..3 {
        let shifted = [&b"xxx"[..shift], text.as_bytes()].concat();
        let coded = BASE64URL.encode(shifted);
        // The ends depend on what stands beside.
        forms.push(coded.as_bytes()[4..coded.len() - 4].to_vec());
    }
    let mut bytes = Vec::new();
    for end in ["", "-wal"] {
        bytes.extend(
            std::fs::read(desk.path(&format!("desk/ledger.sqlite{end}"))).unwrap_or_default(),
        );
    }
    forms
        .iter()
        .any(|form| bytes.windows(form.len()).any(|window| window == form))
}

#[test]
fn a_member_is_forgotten_and_the_books_stand() {
    let (desk, handset, number) = with_a_member();
    assert!(stands_in_the_files(&desk, NAME));
    let before = desk.json("daybook --day 2026-10-20", 0);
    let statement = desk.json(&format!("member statement {number}"), 0);
    let forget = format!("member forget {number} --key-out key.txt --reason asked --by Asha");
    let done = desk.json(&forget, 0);
    assert_eq!(done["sealed_entries"], 1);
    assert_eq!(done["sealed_briefs"], 1);
    assert!(!stands_in_the_files(&desk, NAME));
    assert!(stands_in_the_files(&desk, "Chausiku Nandere"));
    // Books as they were, but for the name.
    assert_eq!(desk.json("daybook --day 2026-10-20", 0), before);
    let after = desk.json(&format!("member statement {number}"), 0);
    assert_eq!(after["lines"], statement["lines"]);
    assert_eq!(after["name"], "(forgotten)");
    desk.json("reconcile --day 2026-10-20", 0);
    // The key opens the signed entry as it was, and its signature still fits.
    let opened = desk.done(&format!("member unseal {number} --key key.txt"));
    let entry = opened
        .lines()
        .find(|line| ParsedEntry::parse(line).is_ok())
        .unwrap();
    assert_eq!(entry, handset.entries[2].compact());
    let key = handset.entries[0].body();
    let combgate_core::record::EntryBody::Enrolled(enrolled) = key else {
        unreachable!("the first entry is the card")
    };
    let key = combgate_core::record::PublicKey::try_from(&enrolled.jwk).unwrap();
    assert!(Entry::signed_by(&key, entry, &SoftwareCheck).is_ok());
    // Another key opens nothing.
    desk.write("other.txt", &format!("{}\n", BASE64URL.encode([7; 32])));
    let wrong = desk.printout(&format!("member unseal {number} --key other.txt"));
    assert!(wrong.contains("opens nothing"), "{wrong}");
    let again = desk.printout(&forget);
    assert!(
        again.starts_with("exit 2\n") && again.contains("is there already"),
        "{again}"
    );
}

/// The same bundle again, its continuation, and the office's old register bring no name back.
#[test]
fn what_was_forgotten_stays_forgotten() {
    let (desk, mut handset, number) = with_a_member();
    desk.done(&format!(
        "member forget {number} --key-out key.txt --reason asked --by Asha"
    ));
    import(&desk, &handset);
    handset.deliver(&delivery("bought"), &number, None);
    import(&desk, &handset);
    let journal = desk.json("daybook --day 2026-10-20", 0);
    assert_eq!(journal["total"]["receipts"], 3);
    assert!(!stands_in_the_files(&desk, NAME));
    let register = desk.read("fixtures/cooperative/members.csv");
    let register = register.trim_end().to_owned() + &format!("\n{number},{NAME},Sarafi,,,,,\n");
    desk.write("fixtures/cooperative/members.csv", &register);
    desk.done("init desk --from fixtures/cooperative");
    desk.done("export members --out members.csv");
    assert!(
        desk.read("members.csv")
            .contains(&format!("{number},(forgotten),,,"))
    );
    // A backup goes on as well.
    desk.done("backup desk.backup");
    desk.done("restore desk.backup restored");
}

#[test]
fn who_is_owed_something_is_not_forgotten() {
    let (desk, mut handset, number) = with_a_member();
    handset.deliver(&delivery("bought"), &number, Some(0));
    import(&desk, &handset);
    let said = desk.printout(&format!(
        "member forget {number} --key-out key.txt --reason asked --by Asha"
    ));
    assert!(
        said.starts_with("exit 2\n") && said.contains("still owed"),
        "{said}"
    );
    assert!(!desk.path("key.txt").exists());
    let nobody = desk.printout("member forget M404 --key-out key.txt --reason asked --by Asha");
    assert!(nobody.contains("not on the register"), "{nobody}");
}

/// Each export stands beside a word on what it holds, and reads back.
#[test]
fn exports_say_what_they_hold() {
    let (desk, handset, _) = with_a_member();
    let said = desk.done("export papers --out papers.csv");
    assert_eq!(
        said,
        format!("exit 0\n-- out\n{}", desk.read("papers.csv.about.txt"))
    );
    assert!(
        said.contains("2 receipts and slips, money in KES"),
        "{said}"
    );
    let papers = desk.read("papers.csv");
    let mut reader = csv::Reader::from_reader(papers.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!((rows.len(), &rows[0][0]), (2, "K1-26-00001"));
    desk.done("export papers --form json --out papers.json --from 2026-10-21");
    assert_eq!(desk.read("papers.json"), "[]\n");
    // Signed entries are the bytes that came.
    desk.done("export entries --out entries.txt");
    let entries: Vec<String> = desk
        .read("entries.txt")
        .lines()
        .map(str::to_owned)
        .collect();
    let signed: Vec<&str> = handset.entries.iter().map(ParsedEntry::compact).collect();
    assert_eq!(entries, signed);
    assert!(desk.read("entries.txt.about.txt").contains("personal data"));
    desk.done("export members --out members.csv");
    assert!(desk.read("members.csv.about.txt").contains("personal data"));
    let register = desk.read("members.csv");
    desk.write("fixtures/cooperative/members.csv", &register);
    desk.done("init desk --from fixtures/cooperative");
    desk.done("export members --out again.csv");
    assert_eq!(desk.read("again.csv"), register);
    desk.done("export payments --out payments.csv");
    assert!(
        desk.read("payments.csv")
            .starts_with("payment,list,receipt,")
    );
}
