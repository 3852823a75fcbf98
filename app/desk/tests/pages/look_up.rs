//! A paper by the number that a member has in hand, and a day by its date.

use super::money::owing;
use axum::http::StatusCode;

#[tokio::test]
async fn a_paper_is_found_by_its_number() {
    let (desk, mut browser) = owing();
    browser.sign_in("neema").await;
    let day = browser.get("/days").await;
    let day = browser.get(day.header("location")).await;
    assert!(day.says("Number of a receipt or slip"), "{}", day.text);
    for typed in ["K1-26-00002", "k1%2026%2000002"] {
        let found = browser.get(&format!("/papers?number={typed}")).await;
        assert_eq!(found.status, StatusCode::SEE_OTHER, "{}", found.text);
        let entry = browser.get(found.header("location")).await;
        assert!(entry.says("K1-26-00002"), "{}", entry.text);
    }
    // A member's account leads to its papers.
    let account = browser.get("/members/M001").await;
    assert_eq!(account.links("/papers")[0], "/papers?number=K1-26-00001");

    let wrong = browser.get("/papers?number=K1-26-00099").await;
    assert_eq!(wrong.status, StatusCode::OK);
    assert!(
        wrong.says("No booked receipt or slip has the number K1-26-00099"),
        "{}",
        wrong.text
    );
    assert!(wrong.says(r#"value="K1-26-00099""#), "what was typed stays");
    for typed in ["", "%3Cb%3E1%3C/b%3E", "%00", "K1-26-00000"] {
        let page = browser.get(&format!("/papers?number={typed}")).await;
        assert_eq!(page.status, StatusCode::OK, "{typed}");
        assert!(page.says("looks like K7-26-00001"), "{}", page.text);
        assert!(!page.says("<b>1"), "{}", page.text);
    }

    let on = browser.get("/days?day=2026-10-19").await;
    assert_eq!(on.header("location"), "/days/2026-10-19");
    let never = browser.get("/days?day=tomorrow").await;
    assert_eq!(never.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        never.says("Day book"),
        "a page with its ways on: {}",
        never.text
    );

    let told = desk.json("entry K1-26-00002", 0);
    assert_eq!(told["handset"], "K1");
    assert_eq!(told["signed"]["body"]["number"], "K1-26-00002");
    let by_place = desk.json(&format!("entry K1 {}", told["seq"]), 0);
    assert_eq!(by_place, told);
    for (asked, why) in [
        (
            "K1-26-00099",
            "no booked receipt or slip has the number K1-26-00099",
        ),
        ("K1", "no entry of a handset is named"),
    ] {
        let said = desk.printout(&format!("entry {asked}"));
        assert!(said.starts_with("exit 2"), "{said}");
        assert!(said.contains(why) && said.contains("hint: "), "{said}");
    }
}
