//! What a page does is a command too, and every command answers in JSON.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use clap::CommandFactory;
use combgate_desk::cli::Cli;
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use serde_json::{Value, json};

/// What no page does: they make a desk, serve it, or give out documents that are sealed.
const ON_NO_PAGE: [&str; 4] = ["init", "member unseal", "restore", "serve"];

fn leaves(command: &clap::Command, name: &str, found: &mut Vec<(String, bool)>) {
    if command.get_subcommands().next().is_none() {
        let json = command.get_arguments().any(|each| each.get_id() == "json");
        found.push((name.to_owned(), json));
    }
    for each in command.get_subcommands() {
        let name = format!("{name} {}", each.get_name());
        leaves(each, name.trim(), found);
    }
}

#[test]
fn every_command_whose_work_a_page_does_takes_json() {
    let mut found = Vec::new();
    leaves(&Cli::command(), "", &mut found);
    assert!(found.len() > 35, "{found:?}");
    let silent = found.iter().filter(|(_, json)| !json);
    let silent: Vec<&str> = silent.map(|(name, _)| name.as_str()).collect();
    assert_eq!(silent, ON_NO_PAGE);
}

/// Commands whose answers no other test reads, one after the other as a clerk would.
#[test]
fn what_is_done_is_told_in_json() {
    let desk = TestDesk::with_open_prices();
    let add = |name: &str, role: &str| {
        let words = format!("account add {name} --role {role} --json");
        let mut command = desk.command(&words);
        let output = command
            .write_stdin("four plain wooden hives")
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
        serde_json::from_slice::<Value>(&output.stdout).unwrap()
    };
    let added = add("neema", "bookkeeper");
    assert_eq!(
        (&added["name"], &added["role"]),
        (&json!("neema"), &json!("bookkeeper"))
    );
    add("zawadi", "approver");
    let accounts = desk.json("account list", 0);
    assert_eq!(accounts.as_array().unwrap().len(), 2);
    assert_eq!(accounts[1]["role"], "approver");

    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M404", Some(0));
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    let imported = desk.json("import bundle.json", 1);
    assert_eq!(imported[0]["booked"], handset.entries.len() - 1);

    let found = desk.json("findings", 1);
    let unknown = found.as_array().unwrap().iter();
    let mut unknown = unknown.filter(|each| each["weight"] == "serious");
    let id = unknown.next().unwrap()["id"].as_str().unwrap();
    let settled = desk.json(
        &format!("settle {id} --step reverse --words nobody --by neema"),
        0,
    );
    let told = settled.to_string();
    assert!(told.contains(id) && told.contains("reverse"), "{told}");
    let reversed = desk.json(
        &format!("reverse {id} --what debt --reason nobody --by zawadi"),
        0,
    );
    let minor = handset.receipts().next().unwrap().assessment.payable_minor;
    assert!(
        reversed.to_string().contains(&minor.unwrap().to_string()),
        "{reversed}"
    );

    let acknowledged = desk.json("acknowledge --handset K1 --out k1.jws", 0);
    assert_eq!(acknowledged["handset"], "K1");
    assert!(desk.read("k1.jws").contains('.'));
    let given = desk.json(
        "cash --handset K1 --day 2026-10-20 --amount 3000 --by neema",
        0,
    );
    assert_eq!(given["minor"], 300_000);
    let exported = desk.json("export papers --out papers.csv", 0);
    assert_eq!(exported["about"], "papers.csv.about.txt");
    let backup = desk.json("backup kept.backup", 0);
    assert!(backup.to_string().contains("kept.backup"), "{backup}");
    let set = desk.json("member set M900 --name Nuru --by neema", 0);
    assert!(set.to_string().contains("M900"), "{set}");
    desk.write("more.csv", "number,name\nM901,Pendo\n");
    let taken = desk.json("member take more.csv --by neema", 0);
    assert_eq!((&taken["added"], &taken["changed"]), (&json!(1), &json!(0)));
    let terms = desk.json("terms take fixtures/new-prices/prices.json --by zawadi", 0);
    assert!(terms.to_string().contains("PL-2026-4"), "{terms}");
    let removed = desk.json("account remove zawadi", 0);
    assert_eq!(removed["name"], "zawadi");
}
