//! Every address that the pages answer, read out of the router's own source: none is left out of what
//! must hold for all of them.

use super::browser::{Browser, Page};
use super::common::books::Books;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery};
use super::money::owing;
use axum::http::StatusCode;
use std::collections::BTreeMap;

const ROUTER: &str = include_str!("../../src/pages/mod.rs");

/// Addresses that answer somebody who is not signed in.
const OPEN: [&str; 5] = [
    "/sign-in",
    "/set-up/{secret}",
    "/language/{language}",
    "assets::STYLE",
    "assets::SCRIPT",
];

/// Addresses by pattern, and whether each is asked, sent to, or both.
fn routes() -> BTreeMap<&'static str, (bool, bool)> {
    let (_, source) = ROUTER.split_once("pub fn router").unwrap();
    let routes = source.split(".route(").skip(1);
    let routes = routes.map(|route| {
        let (pattern, handlers) = route.split_once(',').unwrap();
        let handlers = handlers.split(".fallback(").next().unwrap();
        (
            pattern.trim().trim_matches('"'),
            (handlers.contains("get("), handlers.contains("post(")),
        )
    });
    let routes: BTreeMap<_, _> = routes.collect();
    assert!(routes.len() > 40, "{routes:?}");
    routes
}

fn asked() -> impl Iterator<Item = &'static str> {
    let all = routes().into_iter();
    all.filter_map(|(pattern, (get, _))| (get && !OPEN.contains(&pattern)).then_some(pattern))
}

fn sent() -> impl Iterator<Item = &'static str> {
    let all = routes().into_iter();
    all.filter_map(|(pattern, (_, post))| (post && !OPEN.contains(&pattern)).then_some(pattern))
}

/// A desk with something at every address, and a way to fill a pattern in.
pub(crate) struct Scene {
    pub(crate) desk: TestDesk,
    pub(crate) browser: Browser,
    pub(crate) finding: String,
    terms: String,
}

impl Scene {
    pub(crate) fn new() -> Self {
        let (desk, browser) = owing();
        let mut stranger = TestHandset::enrol(&desk, "K2");
        stranger.open();
        stranger.deliver(&delivery("bought"), "M404", Some(0));
        desk.write("bundle.json", &stranger.bundle(1..=u64::MAX));
        desk.json("import bundle.json", 1);
        desk.done("pay propose --means mobile-money --by Asha");
        let pail = "receive P-900 --gross 18.4 --no-seal --interval 10 --by Juma";
        desk.json(pail, 1);
        desk.done("pay approve 1 --by Juma");
        desk.done("brief --handset K1 --float 100 --out brief.jws");
        let finding = desk.json("findings", 1)[0]["id"]
            .as_str()
            .unwrap()
            .to_owned();
        let terms = desk.json("terms list", 0);
        let terms = terms
            .as_array()
            .unwrap()
            .iter()
            .find_map(|each| each["digest"].as_str())
            .unwrap()
            .to_owned();
        Self {
            desk,
            browser,
            finding,
            terms,
        }
    }

    fn path(&self, pattern: &str) -> String {
        // What a file is asked for by stands after the question mark.
        let pattern = match pattern {
            "/export/file" => "/export/file?what=daybook",
            "/papers" => "/papers?number=K1-26-00001",
            "/findings/{id}" | "/findings/{id}/reverse" | "/findings/{id}/undo" => {
                return pattern.replace("{id}", &self.finding);
            }
            other => other,
        };
        let path = pattern
            .replace("{handset}", "K1")
            .replace("{seq}", "3")
            .replace("{day}", "2026-10-20")
            .replace("{id}", "1")
            .replace("{list}", "1")
            .replace("{member}", "M001")
            .replace("{form}", "register.csv")
            .replace("{kind}", "prices")
            .replace("{digest}", &self.terms)
            .replace("{serial}", "1");
        assert!(!path.contains('{'), "say what {pattern} is asked for");
        path
    }

    async fn page(&mut self, path: &str) -> Page {
        let page = self.browser.get(path).await;
        if page.status != StatusCode::SEE_OTHER {
            return page;
        }
        let to = page.header("location").to_owned();
        self.browser.get(&to).await
    }
}

#[tokio::test]
async fn nobody_sees_a_page_or_sends_a_form_without_signing_in() {
    let mut scene = Scene::new();
    for pattern in asked() {
        let path = scene.path(pattern);
        let page = scene.browser.get(&path).await;
        assert_eq!(page.status, StatusCode::SEE_OTHER, "{path}");
        let to = page.header("location");
        assert!(to.starts_with("/sign-in?to=/"), "{path}: {to}");
    }
    let before = Books::of(&scene.desk.store());
    for pattern in sent() {
        let path = scene.path(pattern);
        let page = scene.browser.post(&path, &[("day", "2026-10-20")]).await;
        assert_eq!(page.status, StatusCode::SEE_OTHER, "{path}: {}", page.text);
        assert_eq!(page.header("location"), "/sign-in?to=/", "{path}");
    }
    assert_eq!(Books::of(&scene.desk.store()), before);
}

#[tokio::test]
async fn every_page_answers_in_both_languages_with_nothing_inline() {
    let mut scene = Scene::new();
    scene.browser.sign_in("neema").await;
    let mut read = 0;
    for language in ["en", "sw"] {
        scene.browser.language = language;
        for pattern in asked() {
            let path = scene.path(pattern);
            let page = scene.page(&path).await;
            // Nobody was forgotten, so no key waits.
            let expected = match pattern {
                "/members/{member}/key" => StatusCode::NOT_FOUND,
                _ => StatusCode::OK,
            };
            assert_eq!(page.status, expected, "{path}: {}", page.text);
            assert_eq!(page.header("x-content-type-options"), "nosniff", "{path}");
            assert_eq!(page.header("cache-control"), "no-store", "{path}");
            let policy = page.header("content-security-policy");
            assert!(policy.contains("default-src 'none'"), "{path}: {policy}");
            assert!(!policy.contains("unsafe"), "{path}: {policy}");
            assert!(
                policy.contains("frame-ancestors 'none'"),
                "{path}: {policy}"
            );
            if !page.header("content-type").starts_with("text/html") {
                assert!(
                    page.header("content-disposition").starts_with("attachment"),
                    "{path}"
                );
                continue;
            }
            read += 1;
            let lang = format!(r#"<html lang="{language}">"#);
            assert!(page.text.contains(&lang), "{path}: {}", page.text);
            for inline in [" style=", "<style", " onclick=", "javascript:", "<script>"] {
                assert!(!page.text.contains(inline), "{path} holds {inline}");
            }
        }
    }
    assert!(read > 50, "{read} pages were read");
}

/// A form of another session, of none, and one that was sent as if it held files.
#[tokio::test]
async fn every_form_holds_the_token_of_its_own_session() {
    let mut scene = Scene::new();
    scene.browser.sign_in("neema").await;
    let mut other = scene.browser.another();
    other.sign_in("neema").await;
    let strange = other.get("/import").await.token();
    let before = Books::of(&scene.desk.store());
    let files = [("register", "members.csv", "number,name\nM900,Juma\n")];
    for pattern in sent() {
        let path = scene.path(pattern);
        for token in ["", strange.as_str(), "not base64 at all"] {
            let fields = [("token", token), ("day", "2026-10-20"), ("means", "cash")];
            for page in [
                scene.browser.post(&path, &fields).await,
                scene.browser.upload(&path, &fields, &files).await,
            ] {
                assert_eq!(page.status, StatusCode::FORBIDDEN, "{path}: {}", page.text);
                assert!(page.says("not of this session"), "{path}: {}", page.text);
            }
        }
    }
    assert_eq!(Books::of(&scene.desk.store()), before);
    assert_eq!(
        scene.browser.get("/").await.status,
        StatusCode::OK,
        "still signed in"
    );
}
