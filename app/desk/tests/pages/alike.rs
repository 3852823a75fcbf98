//! Findings of one kind are settled together, in the browser and by the command.

use super::browser::Browser;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery};
use axum::http::StatusCode;

/// A desk where two handsets bought of a member that nobody knows, four and two times.
fn unknown_members() -> (TestDesk, Browser) {
    let desk = TestDesk::with_open_prices();
    desk.command("account add neema --role bookkeeper")
        .write_stdin("four plain wooden hives")
        .assert()
        .success();
    for (code, times) in [("K1", 4), ("K2", 2)] {
        let mut handset = TestHandset::enrol(&desk, code);
        handset.open();
        for _ in 0..times {
            handset.deliver(&delivery("bought"), "M404", Some(0));
        }
        handset.close();
        desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
        desk.printout("import bundle.json");
    }
    let browser = Browser::at(desk.path("desk"), None);
    (desk, browser)
}

/// Identities of open findings about unknown members: of a handset, in the order of their entries.
fn open(desk: &TestDesk, handset: &str) -> Vec<String> {
    let found = desk.json(&format!("findings --handset {handset}"), 1);
    let mut open: Vec<(u64, String)> = found
        .as_array()
        .unwrap()
        .iter()
        .filter(|each| each["code"] == "member-unknown")
        .map(|each| {
            let id = each["id"].as_str().unwrap();
            (each["seq"].as_u64().unwrap(), id.to_owned())
        })
        .collect();
    open.sort_unstable();
    open.into_iter().map(|(_, id)| id).collect()
}

#[tokio::test]
async fn what_is_ticked_is_settled_with_the_finding_and_nothing_else() {
    let (desk, mut browser) = unknown_members();
    browser.sign_in("neema").await;
    let ids = open(&desk, "K1");
    assert_eq!(ids.len(), 4);
    let at = format!("/findings/{}", ids[0]);
    let page = browser.get(&at).await;
    for other in &ids[1..] {
        assert!(page.says(&format!(r#"value="{other}""#)), "{}", page.text);
    }
    assert!(page.says("All of these: 3"), "{}", page.text);
    for other in open(&desk, "K2") {
        assert!(!page.says(&other), "{other} is of another handset");
    }
    // Nothing is ticked until the clerk ticks it.
    assert!(page.form(&at).iter().all(|(name, _)| name != "alike"));

    let words = ("words", "She joined today.");
    let ticked = [("step", "accept"), words, ("alike", ids[1].as_str())];
    let answer = browser.fill(&at, &at, &ticked).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(open(&desk, "K1"), ids[2..]);

    let at = format!("/findings/{}", ids[2]);
    let page = browser.get(&at).await;
    // One other alone needs no tick for all.
    assert!(!page.says("All of these"), "{}", page.text);
    assert!(!page.says(&ids[1]), "{}", page.text);
    // As the tick for all of them sends it.
    let all = ids[2..].join(" ");
    let answer = browser
        .fill(&at, &at, &[("step", "accept"), words, ("alike", &all)])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    for id in &ids {
        let page = browser.get(&format!("/findings/{id}")).await;
        assert!(page.says("She joined today."), "{}", page.text);
        assert!(page.says("Accepted by neema"), "{}", page.text);
    }
    assert_eq!(open(&desk, "K2").len(), 2);
}

#[tokio::test]
async fn what_cannot_be_settled_settles_nothing() {
    let (desk, mut browser) = unknown_members();
    browser.sign_in("neema").await;
    let ids = open(&desk, "K1");
    let at = format!("/findings/{}", ids[0]);
    for strange in ["0123456789abcdef", "<b>", "../../etc/passwd"] {
        let ticked = format!("{} {strange}", ids[1]);
        let fields = [
            ("step", "accept"),
            ("words", "She joined today."),
            ("alike", &ticked),
        ];
        let answer = browser.fill(&at, &at, &fields).await;
        assert!(!answer.status.is_success(), "{}", answer.text);
        assert_ne!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        assert!(!answer.says("<b>"), "{}", answer.text);
        assert_eq!(open(&desk, "K1"), ids);
    }
}

#[test]
fn a_command_settles_many_or_none() {
    let (desk, _) = unknown_members();
    let ids = open(&desk, "K1");
    let settle = |ids: &str| format!("settle {ids} --step accept --words joined --by neema");
    let wrong = desk.printout(&settle(&format!("{} 0123456789abcdef", ids.join(" "))));
    assert!(wrong.starts_with("exit 2"), "{wrong}");
    assert!(
        wrong.contains("there is no finding 0123456789abcdef"),
        "{wrong}"
    );
    assert_eq!(open(&desk, "K1"), ids);
    let twice = format!("{} {}", ids.join(" "), ids[0]);
    let done = desk.json(&settle(&twice), 0);
    let done = done.as_array().unwrap();
    assert_eq!(done.len(), ids.len());
    for (each, id) in done.iter().zip(&ids) {
        assert_eq!(each["id"], id.as_str());
        assert_eq!(each["steps"].as_array().unwrap().len(), 1);
        assert_eq!(each["settled"], true);
    }
    let left = desk.json("findings --handset K1", 0);
    assert!(left.as_array().unwrap().is_empty(), "{left}");
}
