//! The register changed on its page and by commands, with its history.

use super::browser::Browser;
use super::desk;
use axum::http::StatusCode;

/// Everything that the form of a member holds, one field of it changed.
async fn changed(browser: &mut Browser, path: &str, change: (&str, &str)) -> Vec<(String, String)> {
    let mut fields = browser.get(path).await.form(path);
    let field = fields
        .iter_mut()
        .find(|(name, _)| name == change.0)
        .unwrap();
    change.1.clone_into(&mut field.1);
    fields
}

fn borrowed(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect()
}

#[tokio::test]
async fn a_member_is_changed_and_everybody_sees_by_whom() {
    let (desk, mut neema) = desk();
    neema.sign_in("neema").await;
    let path = "/members/M002/card";
    let fields = changed(&mut neema, path, ("village", "Mtoni <Juu>")).await;
    let kept = neema.post(path, &borrowed(&fields)).await;
    assert_eq!(kept.header("location"), path, "{}", kept.text);
    let page = neema.get(path).await;
    assert!(
        page.says("Village: Kilindo → Mtoni &lt;Juu&gt;"),
        "{}",
        page.text
    );
    let history = desk.json("member history M002", 0);
    assert_eq!(history[0]["by"], "neema");
    assert_eq!(history[0]["was"]["village"], "Kilindo");
    assert_eq!(history[0]["became"]["village"], "Mtoni <Juu>");
    // The advance, in its own decimals, is the same; the table that put the member there is older.
    assert_eq!(
        history[0]["became"]["advance"]["outstanding_minor"],
        1_500_000
    );
    assert_eq!(history[1]["by"], "command line");
    assert_eq!(history.as_array().unwrap().len(), 2);
    // The same once more is no change.
    neema.post(path, &borrowed(&fields)).await;
    assert_eq!(
        desk.json("member history M002", 0)
            .as_array()
            .unwrap()
            .len(),
        2
    );
    let bad = changed(&mut neema, path, ("advance", "1,500")).await;
    let page = neema.post(path, &borrowed(&bad)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    // Who keeps no register sees it without the telephone, and changes nothing.
    let fields = changed(&mut neema, path, ("phone", "+254 700 000 009")).await;
    neema.post(path, &borrowed(&fields)).await;
    let mut baraka = neema.another();
    baraka.sign_in("baraka").await;
    let page = baraka.get(path).await;
    assert!(page.says("Mtoni &lt;Juu&gt;"), "{}", page.text);
    assert!(!page.says("+254 700 000 009"), "{}", page.text);
    let token = baraka.get("/").await.token();
    let mut forged = fields;
    forged[0].1 = token;
    let refused = baraka.post(path, &borrowed(&forged)).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_new_member_takes_nobodys_number() {
    let (desk, mut neema) = desk();
    neema.sign_in("neema").await;
    let asha = [
        ("number", "M900"),
        ("name", "Zuhura Fikiri"),
        ("village", ""),
    ];
    let made = neema.fill("/register/new", "/register/new", &asha).await;
    assert_eq!(
        made.header("location"),
        "/members/M900/card",
        "{}",
        made.text
    );
    let again = neema.fill("/register/new", "/register/new", &asha).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        again.says("M900 is on the register already"),
        "{}",
        again.text
    );
    let nobody = neema
        .fill("/register/new", "/members/M901/card", &[("name", "Nobody")])
        .await;
    assert_eq!(nobody.status, StatusCode::NOT_FOUND);
    // By command: what is left out stays, an empty text takes it away.
    let told = desk.json(
        "member set M900 --village Kilindo --phone 0700 --by neema",
        0,
    );
    assert_eq!(told["change"], "changed");
    assert_eq!(told["member"]["name"], "Zuhura Fikiri");
    let told = desk.json("member set M900 --phone= --by neema", 0);
    assert_eq!(told["member"].get("phone"), None);
    assert_eq!(told["member"]["village"], "Kilindo");
    assert!(
        desk.printout("member set M901 --village X --by neema")
            .starts_with("exit 2")
    );
    // Out and in again as JSON: nothing changes.
    desk.done("export members --form json --out members.json");
    let told = desk.json("member take members.json --by neema", 0);
    assert_eq!(told, serde_json::json!({"added": 0, "changed": 0}));
}

/// Nothing of a forgotten member is left in the history, nor comes there again from an old table.
#[tokio::test]
async fn the_history_forgets_too() {
    let (desk, _) = desk();
    desk.done("member set M001 --village Sarafi --by neema");
    desk.done("member forget M001 --key-out key --reason asked --by neema");
    let told = desk.done("member history M001");
    assert!(!told.contains("Asha") && !told.contains("Sarafi"), "{told}");
    desk.done("init desk --from fixtures/cooperative");
    let told = desk.done("member history M001");
    assert!(!told.contains("Asha"), "{told}");
    let bytes = std::fs::read(desk.path("desk/ledger.sqlite")).unwrap();
    let name = b"Asha Mrembwe";
    assert!(!bytes.windows(name.len()).any(|window| window == name));
    assert!(
        desk.printout("member set M001 --name Asha --by neema")
            .starts_with("exit 2")
    );
}
