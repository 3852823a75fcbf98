//! Addresses and fields that cannot be read: answered by a page that names them and leads back.

use super::common::books::Books;
use super::routes::Scene;
use axum::http::StatusCode;
use std::collections::BTreeMap;

/// What cannot be read in an address comes as a page of the desk in the clerk's language, which says
/// what it is about and leads back; never as a line of the framework.
#[tokio::test]
async fn an_address_that_cannot_be_read_is_answered_by_a_page() {
    let mut scene = Scene::new();
    scene.browser.sign_in("neema").await;
    for (language, back, nowhere, twice) in [
        (
            "en",
            "Back, to do it again",
            "No such page",
            "more than once",
        ),
        (
            "sw",
            "Rudi, ufanye tena",
            "Hakuna ukurasa huo",
            "zaidi ya mara moja",
        ),
    ] {
        scene.browser.language = language;
        let frame = format!(r#"<html lang="{language}">"#);
        for (path, field, typed, to) in [
            ("/register?added=abc&changed=1", "added", "abc", "/register"),
            ("/register?search=a&search=b", "", "b", "/register"),
            ("/findings?after=1&after=2", "after", "2", "/findings"),
            ("/days?day=tomorrow", "", "tomorrow", "/days"),
            ("/closing?day=2026-02-30", "", "2026-02-30", "/closing"),
            ("/reconcile?day=9.10.2026", "", "9.10.2026", "/reconcile"),
            ("/statistics?from=never", "", "never", "/statistics"),
            ("/members/M001?to=%3Cb%3E", "", "&lt;b&gt;", "/members/M001"),
            ("/export/file?what=daybook&to=x", "", "x", "/export"),
            ("/export/file?what=daybook&form=xls", "", "xls", "/export"),
            ("/export/file?what=all", "", "all", "/export"),
        ] {
            let page = scene.browser.get(path).await;
            assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
            assert!(page.text.contains(&frame), "{path}: {}", page.text);
            assert!(
                page.says(&format!("{field}: '{typed}'")) || field.is_empty(),
                "{}",
                page.text
            );
            assert!(page.says(&format!(": '{typed}'")), "{path}: {}", page.text);
            let link = format!(r#"<a href="{to}">{back}</a>"#);
            assert!(page.says(&link), "{path}: {}", page.text);
            assert!(
                page.says("class=\"places\""),
                "{path}: the ways on are missing"
            );
            let says_twice = path.matches("after=").count() == 2 || path.contains("search=a&");
            assert_eq!(page.says(twice), says_twice, "{path}: {}", page.text);
        }
        for path in [
            "/payments/abc",
            "/payments/99999999999999999999",
            "/payments/77",
            "/receiving/abc",
            "/entries/K1/abc",
            "/entries/K1/0",
            "/entries/K9/1",
            "/briefs/-1/file",
            "/handsets/%FF",
            "/members/%00",
            "/days/tomorrow",
            "/terms/abc",
            "/terms/new/cake",
            "/findings/%FF%FE",
            "/register/register.exe",
            "/nowhere",
            // Only sent to, never asked.
            "/reconcile/cash",
        ] {
            let page = scene.browser.get(path).await;
            assert_eq!(page.status, StatusCode::NOT_FOUND, "{path}: {}", page.text);
            assert!(page.text.contains(&frame), "{path}: {}", page.text);
            assert!(page.says(nowhere), "{path}: {}", page.text);
            assert!(
                page.says("class=\"places\""),
                "{path}: the ways on are missing"
            );
        }
    }
}

/// What cannot be read in a field of a form names the field as the page does, and changes nothing.
#[tokio::test]
async fn a_field_that_cannot_be_read_is_named() {
    let scene = Scene::new();
    let sheets = [
        (
            "neema",
            "/closing",
            "/closing",
            "day",
            "soon",
            "Close up to this day",
        ),
        (
            "neema",
            "/closing",
            "/closing",
            "day",
            "",
            "Close up to this day",
        ),
        (
            "neema",
            "/reconcile",
            "/reconcile/cash",
            "day",
            "soon",
            "Day",
        ),
        (
            "neema",
            "/briefs",
            "/briefs",
            "until",
            "soon",
            "Brief good until",
        ),
        ("neema", "/payments", "/payments", "means", "shells", "By"),
        (
            "neema",
            "/backup",
            "/backup",
            "folder",
            "",
            "Folder on this machine",
        ),
        (
            "zawadi",
            "/handsets/K1",
            "/handsets/K1",
            "from",
            "noon",
            "From this moment on",
        ),
        (
            "neema",
            "/payments/1",
            "/payments/1/confirm",
            "receipt",
            "one",
            "Number",
        ),
    ];
    let before = Books::of(&scene.desk.store());
    let mut people = BTreeMap::new();
    for who in ["neema", "zawadi"] {
        let mut browser = scene.browser.another();
        browser.sign_in(who).await;
        people.insert(who, browser);
    }
    for (who, page, to, field, typed, label) in sheets {
        let browser = people.get_mut(who).unwrap();
        let page = browser.fill(page, to, &[(field, typed)]).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{to}: {}",
            page.text
        );
        let named = if typed.is_empty() {
            format!("{label}: nothing is written there")
        } else {
            format!("{label}: '{typed}' does not fit here")
        };
        assert!(page.says(&named), "{to}, {named}: {}", page.text);
        assert!(page.says("Back, to do it again"), "{to}: {}", page.text);
    }
    // A step and a cause that no form offers, and a register that is no text.
    let neema = people.get_mut("neema").unwrap();
    let at = format!("/findings/{}", scene.finding);
    let page = neema
        .fill(&at, &at, &[("step", "forgive"), ("words", "why")])
        .await;
    assert!(page.says("'forgive' does not fit here"), "{}", page.text);
    let token = neema.get("/register").await.token();
    let page = neema.upload("/register", &[("token", &token)], &[]).await;
    assert!(page.says("nothing is written there"), "{}", page.text);
    assert!(page.says("Choose a file"), "{}", page.text);
    assert_eq!(Books::of(&scene.desk.store()), before);
}
