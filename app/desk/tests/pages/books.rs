//! The books put in order through the pages: reconciled, closed, taken out, backed up, and a member
//! forgotten.

use super::browser::{Browser, Page};
use super::common::desk::TestDesk;
use super::desk;
use super::money::owing;
use axum::http::StatusCode;

/// Another browser, before which somebody else sits.
async fn sit(before: &Browser, name: &str) -> Browser {
    let mut browser = before.another();
    browser.sign_in(name).await;
    browser
}

fn refused(page: &Page) {
    assert_eq!(page.status, StatusCode::FORBIDDEN, "{}", page.text);
}

#[tokio::test]
async fn an_officers_box_is_reconciled_and_cash_given_counts() {
    let (desk, browser) = owing();
    let mut neema = sit(&browser, "neema").await;
    let page = neema.get("/reconcile").await;
    assert!(page.says("has not closed the day"), "{}", page.text);
    let day = desk.store_day();
    let cash = [
        ("handset", "K1"),
        ("amount", "5000"),
        ("day", day.as_str()),
        ("note", "For the second round"),
    ];
    let given = neema.fill("/reconcile", "/reconcile/cash", &cash).await;
    let path = format!("/reconcile?day={day}");
    assert_eq!(given.header("location"), path, "{}", given.text);
    let page = neema.get(&path).await;
    assert!(page.says("For the second round"), "{}", page.text);
    assert!(page.says("KES 5,000.00"), "{}", page.text);
    let told = desk.json(&format!("reconcile --day {day}"), 0);
    assert_eq!(told[0]["cash"]["given_minor"], 500_000);
    // A receiver looks, and gives nothing.
    let mut baraka = sit(&browser, "baraka").await;
    assert!(
        !baraka
            .get("/reconcile")
            .await
            .says("Cash given to an officer")
    );
    refused(&baraka.fill("/reconcile", "/reconcile/cash", &cash).await);
    // What is no sum is told, and nothing is kept.
    let mut bad = cash;
    bad[1].1 = "five";
    let page = neema.fill("/reconcile", "/reconcile/cash", &bad).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let told = desk.json(
        &format!("cash --handset K1 --amount -2000 --day {day} --by neema"),
        0,
    );
    assert_eq!(told["minor"], -200_000);
}

#[tokio::test]
async fn a_day_is_closed_by_the_bookkeeper_and_compared() {
    let (desk, browser) = owing();
    let day = desk.store_day();
    let mut neema = sit(&browser, "neema").await;
    let ahead = format!("/closing?day={day}");
    let page = neema.get(&ahead).await;
    assert!(page.says("Still open"), "{}", page.text);
    assert!(page.says("Pails that did not come"), "{}", page.text);
    let mut zawadi = sit(&browser, "zawadi").await;
    refused(&zawadi.fill(&ahead, "/closing", &[("day", &day)]).await);
    assert_eq!(desk.json("closed", 0), serde_json::json!([]));
    let done = neema.fill(&ahead, "/closing", &[("day", &day)]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let page = neema.get(done.header("location")).await;
    assert!(page.says(&format!("Closed up to {day}.")), "{}", page.text);
    assert!(page.says("same"), "{}", page.text);
    assert_eq!(desk.json("closed", 0)[0]["closed_by"], "neema");
    let again = neema.fill("/closing", "/closing", &[("day", &day)]).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    // Books that were changed behind the desk's back are told.
    let ledger = rusqlite::Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    ledger
        .execute("UPDATE closed_day SET net_g = net_g + 1", [])
        .unwrap();
    drop(ledger);
    let page = neema.get("/closing").await;
    assert!(page.says("say otherwise now"), "{}", page.text);
    desk.json("closed", 1);
}

/// The file is what the command writes; a cell that would be a formula is none (OWASP, "CSV
/// Injection").
#[tokio::test]
async fn books_are_taken_out_as_the_command_does() {
    let (desk, browser) = owing();
    let register = "number,name\nM900,=1+1\n";
    std::fs::create_dir(desk.path("more")).unwrap();
    desk.write("more/members.csv", register);
    desk.done("init desk --from more");
    let mut zawadi = sit(&browser, "zawadi").await;
    let page = zawadi.get("/export").await;
    assert!(page.says("Personal data"), "{}", page.text);
    for (what, form, end) in [
        ("daybook", "csv", "csv"),
        ("papers", "csv", "csv"),
        ("payments", "json", "json"),
        ("members", "csv", "csv"),
        ("members", "json", "json"),
        ("entries", "csv", "txt"),
    ] {
        let file = zawadi
            .get(&format!("/export/file?what={what}&form={form}&from=&to="))
            .await;
        let name = format!("attachment; filename=\"{what}.{end}\"");
        assert_eq!(file.header("content-disposition"), name, "{}", file.text);
        let told = desk.json(&format!("export {what} --form {form} --out out"), 0);
        assert_eq!(told["about"], "out.about.txt");
        assert_eq!(file.text, desk.read("out"), "{what}");
    }
    let members = zawadi.get("/export/file?what=members").await;
    assert!(members.text.contains("M900,'=1+1"), "{}", members.text);
    let none = zawadi.get("/export/file?what=papers&from=2031-01-01").await;
    assert_eq!(none.text.lines().count(), 1, "{}", none.text);
    let soon = zawadi.get("/export/file?what=papers&from=soon").await;
    assert_eq!(soon.status, StatusCode::UNPROCESSABLE_ENTITY);
    let nothing = zawadi.get("/export/file?what=passwords").await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused(
        &sit(&browser, "baraka")
            .await
            .get("/export/file?what=members")
            .await,
    );
}

#[tokio::test]
async fn a_backup_made_on_the_page_comes_back() {
    let (desk, browser) = desk();
    let mut neema = sit(&browser, "neema").await;
    let folder = desk.path("stick");
    std::fs::create_dir(&folder).unwrap();
    let folder = folder.to_str().unwrap();
    let made = neema
        .fill("/backup", "/backup", &[("folder", folder)])
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let page = neema.get(made.header("location")).await;
    assert!(page.says("read back and whole"), "{}", page.text);
    let file = std::fs::read_dir(folder).unwrap().next().unwrap().unwrap();
    assert!(
        page.says(&format!("combgate restore &quot;{}", file.path().display()))
            || page.says(&format!("combgate restore \"{}", file.path().display())),
        "{}",
        page.text
    );
    desk.done(&format!("restore {} desk-2", file.path().display()));
    desk.done("--desk desk-2 handsets --keys handsets.jws");
    for bad in ["backups", "/nowhere/at/all"] {
        let page = neema.fill("/backup", "/backup", &[("folder", bad)]).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            page.text
        );
    }
    let mut baraka = sit(&browser, "baraka").await;
    refused(
        &baraka
            .fill("/backup", "/backup", &[("folder", folder)])
            .await,
    );
    assert!(!baraka.get("/backup").await.text.contains("name=\"folder\""));
}

#[tokio::test]
async fn a_member_is_forgotten_on_purpose_alone_and_the_key_is_taken_away() {
    let (desk, browser) = desk();
    let mut neema = sit(&browser, "neema").await;
    let at = "/members/M001/forget";
    let page = neema.get(at).await;
    assert!(page.says("There is no way back"), "{}", page.text);
    let sure = [
        ("reason", "She asked for it"),
        ("asked", "yes"),
        ("again", "M001"),
    ];
    for (field, value) in [("again", "M003"), ("asked", ""), ("reason", "")] {
        let slip: Vec<(&str, &str)> = sure
            .iter()
            .map(|(name, said)| (*name, if *name == field { value } else { *said }))
            .collect();
        let page = neema.fill(at, at, &slip).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
    }
    refused(&sit(&browser, "baraka").await.fill("/", at, &sure).await);
    let register = || desk.json("export members --form json --out out.json", 0);
    register();
    assert!(!desk.read("out.json").contains("(forgotten)"));
    let done = neema.fill(at, at, &sure).await;
    assert_eq!(done.header("location"), at, "{}", done.text);
    register();
    assert!(desk.read("out.json").contains("(forgotten)"));
    let key = neema.get("/members/M001/key").await;
    assert_eq!(key.text.trim().len(), 43, "32 bytes in base64url, RFC 4648");
    refused(&sit(&browser, "baraka").await.get("/members/M001/key").await);
    let page = neema.get(at).await;
    assert!(page.says("still on this machine"), "{}", page.text);
    let page = neema.fill(at, "/members/M001/key", &[]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let gone = neema
        .fill(at, "/members/M001/key", &[("have", "yes")])
        .await;
    assert_eq!(gone.header("location"), at, "{}", gone.text);
    assert!(neema.get(at).await.says("The key is not on this machine."));
    let page = neema.get("/members/M001/key").await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    assert_eq!(
        std::fs::read_dir(desk.path("desk/keys-to-take-away"))
            .unwrap()
            .count(),
        0
    );
}

impl TestDesk {
    /// The one day on which something is booked.
    fn store_day(&self) -> String {
        use combgate_desk::store::Journals;
        self.store().latest_days(1).unwrap()[0].to_string()
    }
}
