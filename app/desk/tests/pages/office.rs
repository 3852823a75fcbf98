//! What the office says: briefs, register, policies and price lists.

use super::desk;
use axum::http::StatusCode;
use combgate_core::record::{Brief, Expected, SoftwareCheck};
use combgate_desk::store::{Journals, Office};

fn new_prices() -> String {
    let path = super::common::fixtures().join("new-prices/prices.json");
    std::fs::read_to_string(path).unwrap()
}

#[tokio::test]
async fn a_brief_for_all_is_made_and_taken_by_the_handset() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    let fields = [("handset", ""), ("float", "60000"), ("until", "")];
    let page = browser.fill("/briefs", "/briefs", &fields).await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    let file = browser.get("/briefs/1/file").await;
    assert!(
        file.header("content-disposition")
            .contains("brief-K7-1.jws")
    );
    let store = desk.store();
    let code = super::common::handset::code("K7");
    let expected = Expected {
        handset: store.handset(&code).unwrap().unwrap().key.id(),
        desk: Some(store.desk().unwrap().unwrap().public_key.id()),
        held_serial: None,
        today: chrono::Local::now().date_naive(),
    };
    let brief = Brief::take(&file.text, expected, &SoftwareCheck).unwrap();
    assert_eq!(brief.payload().float_minor, 6_000_000);
    // A handset out of use gets none.
    desk.done(
        "revoke --handset K7 --from 2026-10-09T12:00:00+03:00 --cause lost --words gone --by neema",
    );
    let one = [("handset", "K7"), ("float", ""), ("until", "")];
    let page = browser.fill("/briefs", "/briefs", &one).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.says("handset K7 is out of use"), "{}", page.text);
}

#[tokio::test]
async fn a_price_list_is_tried_by_the_bookkeeper_and_taken_in_by_the_approver() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    desk.done("import fixtures/bundles/good/day.json");
    let prices = new_prices();
    let files = [("document", "prices.json", prices.as_str())];
    let token = browser.get("/terms").await.token();
    let fields = [("token", token.as_str()), ("do", "try")];
    let page = browser.upload("/terms", &fields, &files).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    let run = desk.json("terms try --prices fixtures/new-prices/prices.json", 0);
    let changes = run["changes"].as_array().unwrap();
    assert!(changes.len() > 5, "{run}");
    assert!(
        run["would_be_minor"].as_i64() > run["was_minor"].as_i64(),
        "{run}"
    );
    let first = changes[0]["number"].as_str().unwrap();
    assert!(page.says(first), "{}", page.text);
    assert!(!browser.get("/terms").await.says("PL-2026-4"));

    let fields = [("token", token.as_str()), ("do", "take")];
    let page = browser.upload("/terms", &fields, &files).await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    assert!(page.says("Who can: Approver."), "{}", page.text);
    let mut approver = browser.another();
    approver.sign_in("zawadi").await;
    let token = approver.get("/terms").await.token();
    let fields = [("token", token.as_str()), ("do", "take")];
    let page = approver.upload("/terms", &fields, &files).await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    assert!(browser.get("/terms").await.says("PL-2026-4"));
}

/// By hand: 17.50 kg at KES 420 and 25 of premium are 7,787.50, less a levy of 1 % 7,709.63, in coins
/// of 5 7,710.00; at KES 435 they are 8,050.00, less the levy 7,969.50, in coins 7,970.00.
#[tokio::test]
async fn what_it_would_have_done_is_told_paper_by_paper() {
    let (desk, _) = desk();
    desk.done("import fixtures/bundles/good/day.json");
    let run = desk.json("terms try --prices fixtures/new-prices/prices.json", 0);
    let changes = run["changes"].as_array().unwrap();
    let first = changes
        .iter()
        .find(|change| change["number"] == "K7-26-00001")
        .unwrap();
    assert_eq!(first["was"]["payable_minor"], 771_000);
    assert_eq!(first["would_be"]["payable_minor"], 797_000);
    assert_eq!(first["would_be"]["decision"], "buy");
}

#[tokio::test]
async fn the_register_comes_as_a_table_and_goes_back_in() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    let table = browser.get("/register/register.csv").await;
    assert_eq!(table.header("content-type"), "text/csv; charset=utf-8");
    // A name that a spreadsheet would run comes out harmless, and comes back as it was.
    let hostile = table.text + "M099,=1+1,Kilindo,,sw,,,\r\n";
    let token = browser.get("/register").await.token();
    let page = browser
        .upload(
            "/register",
            &[("token", &token)],
            &[("register", "members.csv", &hostile)],
        )
        .await;
    assert_eq!(page.header("location"), "/register?added=1&changed=0");
    let again = browser.get("/register/register.csv").await;
    assert!(again.text.contains("M099,'=1+1,"), "{}", again.text);
    let found = browser.get("/register?search=m099").await;
    assert!(found.says("=1+1"), "{}", found.text);
    assert!(!found.says("Asha Mrembwe"), "{}", found.text);
    let mut receiver = browser.another();
    receiver.sign_in("baraka").await;
    let page = receiver.get("/register/register.csv").await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    let json = browser.get("/register/register.json").await;
    let members: serde_json::Value = serde_json::from_str(&json.text).unwrap();
    assert_eq!(members.as_array().unwrap().len(), 13);
    drop(desk);
}

#[tokio::test]
async fn plots_have_their_figures_behind_them() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    desk.done("import fixtures/bundles/good/day.json");
    let page = browser.get("/statistics").await;
    assert!(page.says("<svg"), "{}", page.text);
    assert!(page.says("Neema Osale, SC-2"), "{}", page.text);
    assert!(page.says("Fewer than fifty pails"), "{}", page.text);
    // A date that was wiped out is as if it had not been chosen.
    let wiped = browser.get("/statistics?from=&to=").await;
    assert!(wiped.says("<svg"), "{}", wiped.text);
    assert_eq!(wiped.form("/statistics"), page.form("/statistics"));
    let found = desk.json("statistics", 0);
    let grams = found["grams"]["2026-10-09"].as_object().unwrap();
    let day = desk.json("daybook --day 2026-10-09", 0);
    for grade in day["grades"].as_array().unwrap() {
        // The day book subtracts what was cancelled that day, the plot leaves it out: the same.
        assert_eq!(grams[grade["grade"].as_str().unwrap()], grade["net_g"]);
    }
}

#[tokio::test]
async fn an_address_is_kept_by_who_keeps_the_briefs_and_told_what_is_wrong_with_it() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    let typed = |address: &'static str| [("address", address)];
    let page = browser
        .fill("/briefs", "/address", &typed("http://desk.example"))
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.says("write https:// before the host"), "{}", page.text);
    let page = browser
        .fill("/briefs", "/address", &typed("https://Desk.Example:8720/"))
        .await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    let page = browser.get("/briefs").await;
    assert!(
        page.text.contains("https://desk.example:8720"),
        "{}",
        page.text
    );
    let said = desk.done("address");
    assert!(said.contains("at https://desk.example:8720\n"), "{said}");
    browser.fill("/briefs", "/address", &typed("")).await;
    assert!(desk.done("address").contains("do not reach this desk"));
}

#[tokio::test]
async fn the_import_page_says_what_came_lately_and_how() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    assert!(!browser.get("/import").await.says("What came last"));
    desk.done("import fixtures/bundles/good/day.json");
    let page = browser.get("/import").await;
    assert!(page.says("What came last"), "{}", page.text);
    assert!(page.says("As a file"), "{}", page.text);
}

/// Each plot is followed by the table behind it, and the tables hold the figures that the command
/// gives, which are those of the day book.
#[tokio::test]
async fn every_plot_has_its_own_table_with_the_commands_figures() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    desk.done("import fixtures/bundles/good/day.json");
    let found = desk.json("statistics", 0);
    for language in ["en", "sw"] {
        browser.language = language;
        let page = browser.get("/statistics").await;
        let text = page.text.replace("<!>", "");
        let plots: Vec<&str> = text.split("role=\"img\"").skip(1).collect();
        // Kilograms by day, price of a kilogram, moisture of each kind of bee, one of last digits.
        assert!(plots.len() >= 4, "{} plots", plots.len());
        let tables: Vec<Vec<Vec<String>>> = plots.iter().map(|after| table(after)).collect();
        for plot in &plots {
            let name = plot.split("aria-label=\"").nth(1).unwrap();
            assert!(!name.starts_with('"'), "a plot without a name");
        }
        // Kilograms: every grade of the day, three decimals.
        let grams = found["grams"]["2026-10-09"].as_object().unwrap();
        let mut grams: Vec<i64> = grams.values().map(|each| each.as_i64().unwrap()).collect();
        let row = tables[0]
            .iter()
            .find(|cells| cells[0] == "2026-10-09")
            .unwrap();
        let mut shown: Vec<i64> = row[1..].iter().map(|cell| thousandths(cell)).collect();
        grams.sort_unstable();
        shown.sort_unstable();
        assert_eq!(shown, grams);
        // Moisture: as many papers as the command counts.
        let counts = found["honeybee"]["counts"].as_object().unwrap();
        let papers: u64 = counts.values().map(|count| count.as_u64().unwrap()).sum();
        let in_table: u64 = tables[2]
            .iter()
            .map(|cells| cells[1].parse::<u64>().unwrap())
            .sum();
        assert_eq!(in_table, papers, "{:?}", tables[2]);
        // Last digits: ten rows, and as many weighings as were made.
        let last = tables.last().unwrap();
        let digits: Vec<&str> = last.iter().map(|cells| cells[0].as_str()).collect();
        assert_eq!(digits, ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9"]);
        let weighed: u64 = last
            .iter()
            .map(|cells| cells[1].parse::<u64>().unwrap())
            .sum();
        let day = desk.json("daybook --day 2026-10-09", 0);
        assert!(
            weighed >= day["total"]["pails"].as_u64().unwrap(),
            "{last:?}"
        );
    }
}

/// Kilograms in grams.
fn thousandths(cell: &str) -> i64 {
    let (whole, part) = cell.split_once('.').unwrap_or((cell, ""));
    format!("{}{part:0<3}", whole.replace(',', ""))
        .parse()
        .unwrap()
}

/// The cells of the first table after a plot, row by row.
fn table(after: &str) -> Vec<Vec<String>> {
    let (_, body) = after.split_once("<tbody>").unwrap();
    let rows = body.split("</tbody>").next().unwrap().split("<tr>").skip(1);
    let cell = |text: &str| {
        let (_, inside) = text.split_once('>').unwrap();
        inside.split('<').next().unwrap().to_owned()
    };
    rows.map(|row| {
        let cells = row.split("<t").skip(1);
        cells.map(cell).collect()
    })
    .collect()
}
