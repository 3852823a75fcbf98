//! Tables that are longer than a page: every row is on one part of them, and links alone lead there.

use super::add_accounts;
use super::browser::{Browser, Page};
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, code, delivery};
use axum::http::StatusCode;
use std::collections::BTreeSet;
use std::fmt::Write;

/// Members who are paid in cash, and by telephone; each brings one pail, and is owed part of it.
const CASH: usize = 410;
const MOBILE: usize = 210;
const ALL: usize = CASH + MOBILE;
/// Rows on a part.
const ON_A_PART: usize = 200;

/// A table of a page.
struct Table {
    /// The page, with what is asked for there.
    path: String,
    /// The element that its ways lead to.
    place: &'static str,
    /// What ends its rows.
    end: &'static str,
    /// How the link in each row begins.
    link: &'static str,
    /// The name in the address of how many rows are passed over.
    after: &'static str,
    /// How many rows it has.
    count: usize,
}

/// What a part says of itself, and where it leads.
#[derive(Debug, PartialEq)]
struct Ways {
    says: String,
    first: Option<String>,
    before: Option<String>,
    next: Option<String>,
    last: Option<String>,
}

impl Table {
    fn rows(&self, page: &Page) -> Vec<String> {
        let (_, from) = page
            .text
            .split_once(&format!(r#"id="{}""#, self.place))
            .unwrap_or_else(|| panic!("no {} in {}", self.place, page.text));
        let rows = from.split(self.end).next().unwrap();
        let begin = format!(r#"href="{}"#, self.link);
        let links = rows.split(&begin).skip(1);
        links
            .map(|rest| rest.split('"').next().unwrap().to_owned())
            .collect()
    }

    /// None where all rows are on the page.
    fn ways(&self, page: &Page) -> Option<Ways> {
        let to = format!("#{}\"", self.place);
        let navs = page.text.split("<nav ").skip(1);
        let mut navs = navs.map(|rest| rest.split("</nav>").next().unwrap());
        let nav = navs.find(|nav| nav.contains(&to))?;
        let way = |word: &str| {
            let links = nav.split("<a href=\"").skip(1);
            links
                .filter(|link| link.contains(&format!(">{word}</a>")))
                .map(|link| {
                    let href = link.split('"').next().unwrap().replace("&amp;", "&");
                    // The rest is for the browser, which goes to the table.
                    href.split('#').next().unwrap().to_owned()
                })
                .next()
        };
        let says = nav.split("aria-label=\"").nth(1).unwrap();
        Some(Ways {
            says: says.split('"').next().unwrap().to_owned(),
            first: way("The first"),
            before: way("Before these"),
            next: way("After these"),
            last: way("The last"),
        })
    }

    fn says(&self, part: usize) -> String {
        let last = self.count.min((part + 1) * ON_A_PART);
        format!("{} to {last} of {}", part * ON_A_PART + 1, self.count)
    }

    /// Whether its head says how many rows there are in all.
    fn is_counted(&self) -> bool {
        matches!(self.place, "count" | "members-count")
    }

    /// Asks for another part by a number of rows, beside what the page is asked for anyhow.
    fn path_after(&self, after: &str) -> String {
        let mark = if self.path.contains('?') { '&' } else { '?' };
        format!("{}{mark}{}={after}", self.path, self.after)
    }

    /// Goes through all parts and back, and to parts that there are not.
    async fn walk(&self, browser: &mut Browser) {
        let parts = self.count.div_ceil(ON_A_PART);
        assert!(parts > 1, "{} is too short to be parted", self.path);
        let mut path = self.path.clone();
        let (mut pages, mut rows) = (Vec::new(), Vec::new());
        for part in 0..parts {
            let page = browser.get(&path).await;
            assert_eq!(page.status, StatusCode::OK, "{path}: {}", page.text);
            let ways = self.ways(&page).unwrap_or_else(|| panic!("{path}"));
            assert_eq!(ways.says, self.says(part), "{path}");
            assert_eq!(ways.before.is_some(), part > 0, "{path}");
            assert_eq!(ways.next.is_some(), part + 1 < parts, "{path}");
            // Not where the part beside is the first or the last.
            assert_eq!(ways.first.is_some(), part > 1, "{path}");
            assert_eq!(ways.last.is_some(), part + 2 < parts, "{path}");
            let (_, from) = page
                .text
                .split_once(&format!(r#"id="{}""#, self.place))
                .unwrap();
            let head = from.split("<tbody").next().unwrap();
            let head = head.split(r#"<ul class="lines""#).next().unwrap();
            assert!(
                head.contains(&self.says(part)) || self.is_counted(),
                "{path}: {head}"
            );
            let here = self.rows(&page);
            let expected = self.count.min((part + 1) * ON_A_PART) - part * ON_A_PART;
            assert_eq!(here.len(), expected, "{path}");
            rows.extend(here.clone());
            if let Some(next) = &ways.next {
                path.clone_from(next);
            }
            pages.push((here, ways));
        }
        // Every row once.
        let each: BTreeSet<&String> = rows.iter().collect();
        assert_eq!(each.len(), self.count, "{}", self.path);
        // And back.
        for (here, ways) in pages.iter().rev().skip(1) {
            let (_, later) = &pages[pages.iter().position(|(rows, _)| rows == here).unwrap() + 1];
            let page = browser.get(later.before.as_ref().unwrap()).await;
            assert_eq!(self.rows(&page), *here);
            assert_eq!(self.ways(&page).as_ref(), Some(ways));
        }
        let (first, last) = (&pages[0].0, &pages[parts - 1].0);
        for (_, ways) in &pages {
            for (way, end) in [(&ways.first, first), (&ways.last, last)] {
                if let Some(way) = way {
                    assert_eq!(self.rows(&browser.get(way).await), *end, "{way}");
                }
            }
        }
        // Old and typed addresses lead to a part that there is.
        for behind in [self.count, self.count + 1, 1_000_000_000] {
            let page = browser.get(&self.path_after(&behind.to_string())).await;
            assert_eq!(self.rows(&page), *last, "{} after {behind}", self.path);
            let says = self.ways(&page).unwrap().says;
            assert_eq!(says, self.says(parts - 1));
        }
        for garbage in ["", "abc", "-200", "2e2", "%3Cb%3E", "340282366920938463463"] {
            let page = browser.get(&self.path_after(garbage)).await;
            assert_eq!(page.status, StatusCode::OK, "{}", page.text);
            assert_eq!(self.rows(&page), *first, "{} after {garbage}", self.path);
        }
        // What is inside a part leads to it.
        let page = browser.get(&self.path_after("399")).await;
        assert_eq!(self.rows(&page), pages[1].0);
    }
}

/// A desk with more of everything than a page shows, and how many other members it has.
fn a_long_day() -> (TestDesk, Browser, usize) {
    let desk = TestDesk::with_open_prices();
    let others = desk.read("fixtures/cooperative/members.csv");
    let others = others.lines().count() - 1;
    let mut register = String::from(
        "number,name,village,phone,language,premiums,advance_payee,advance_outstanding_minor\n",
    );
    for member in 1..=ALL {
        let phone = if member > CASH {
            format!("+254 700 {member:06}")
        } else {
            String::new()
        };
        // Writing to a string cannot fail.
        let _ = writeln!(register, "B{member:04},Asha & <Juma>,Kilindo,{phone},sw,,,");
    }
    desk.write("fixtures/cooperative/members.csv", &register);
    desk.done("init desk --from fixtures/cooperative");
    add_accounts(&desk, &[("neema", "bookkeeper"), ("zawadi", "approver")]);
    for (handset, members) in [("K1", 1..=ALL - 2), ("K2", ALL - 1..=ALL)] {
        let mut at_work = TestHandset::enrol(&desk, handset);
        at_work.open();
        for member in members {
            // Every pail bears the seal of the fixture, which is a question from the second on.
            let mut brought = delivery("bought");
            brought.pails[0].number = code(&format!("P-{member}"));
            at_work.deliver(&brought, &format!("B{member:04}"), Some(100_000));
        }
        desk.write("bundle.json", &at_work.bundle(1..=u64::MAX));
        let said = desk.printout("import bundle.json");
        assert!(said.starts_with("exit "), "{said}");
    }
    let browser = Browser::at(desk.path("desk"), None);
    (desk, browser, others)
}

/// Rows are counted by what was written above, not by what the desk says.
#[tokio::test]
async fn every_row_of_a_long_table_is_on_one_part_of_it() {
    let (desk, mut browser, others) = a_long_day();
    browser.sign_in("neema").await;
    let day = "2026-10-20";
    let table = |path: &str, place, end, link, after, count| Table {
        path: path.to_owned(),
        place,
        end,
        link,
        after,
        count,
    };
    let days = format!("/days/{day}");
    // A seal is found twice on every pail of a handset but its first.
    let (seals, of_k1) = (ALL - 2, ALL - 3);
    let findings = "/findings?weight=question";
    let search = "search=%26+%3Cj";
    for long in [
        table(&days, "papers", "</table>", "/entries/", "after", ALL),
        table("/receiving", "way", "</table>", "/entries/", "after", ALL),
        table(findings, "count", "</ol>", "/findings/", "after", seals),
        table(
            &format!("{findings}&handset=K1"),
            "count",
            "</ol>",
            "/findings/",
            "after",
            of_k1,
        ),
        table("/payments", "cash", "</table>", "/entries/", "cash", CASH),
        table(
            "/payments",
            "mobile",
            "</table>",
            "/entries/",
            "mobile",
            MOBILE,
        ),
        table(
            "/members",
            "members-count",
            "</table>",
            "/members/",
            "after",
            ALL + others,
        ),
        table(
            &format!("/register?{search}"),
            "members-count",
            "</table>",
            "/members/",
            "after",
            ALL,
        ),
    ] {
        long.walk(&mut browser).await;
    }
    let day_findings = desk.json(&format!("daybook --day {day}"), 0)["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| format!("{}/{}", finding["handset"], finding["seq"]))
        .collect::<BTreeSet<_>>();
    let look = table(
        &days,
        "look",
        "</ul>",
        "/entries/",
        "findings",
        day_findings.len(),
    );
    look.walk(&mut browser).await;
    // One long table stays where it is while the other goes on.
    let both = browser.get("/payments?cash=400&mobile=200").await;
    let cash = table("/payments", "cash", "</table>", "/entries/", "cash", CASH);
    let before = cash.ways(&both).unwrap().before.unwrap();
    assert_eq!(before, "/payments?cash=200&mobile=200");
    // A list that was proposed is read to its last payment before it is approved.
    let made = browser
        .fill("/payments", "/payments", &[("means", "cash")])
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let list = table(
        made.header("location"),
        "payments",
        "</table>",
        "/members/",
        "after",
        CASH,
    );
    let mut zawadi = browser.another();
    zawadi.sign_in("zawadi").await;
    list.walk(&mut zawadi).await;
    a_search_is_kept(&mut browser, ALL + others).await;
}

/// What was searched for is found on every part, and a text of strangers is never markup there.
async fn a_search_is_kept(browser: &mut Browser, members: usize) {
    let page = browser.get("/register?search=%26+%3Cj&after=200").await;
    assert!(page.says(r#"href="/register?search=%26+%3Cj&amp;after=400#members-count""#));
    assert!(page.says(r#"value="&amp; &lt;j""#), "{}", page.text);
    assert!(page.says(&format!("Members found: {ALL} of {members}")));
    // What finds few has no parts, and a part that was asked for before is not missed.
    let page = browser.get("/register?search=B0007&after=200").await;
    assert!(page.says(&format!("Members found: 1 of {members}")));
    assert!(page.says("B0007") && !page.says("After these"));
    let page = browser.get("/findings?weight=serious&after=200").await;
    assert!(page.says("Nothing"), "{}", page.text);
    browser.language = "sw";
    browser.get("/language/sw?to=/").await;
    let page = browser.get("/register?after=200").await;
    assert!(page.says(&format!("201 hadi 400 kati ya {members}")));
}
