//! The served page: types, headers and compression as browsers need them.

#![allow(clippy::unwrap_used)] // helpers of tests

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, Response, StatusCode};
use combgate_desk::serve::page;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use tower::ServiceExt;

const WASM: &str = "program-630554a6a270a60b.wasm";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, content) in [
        ("index.html", "<!doctype html><title>page</title>"),
        ("service-worker.js", "// worker"),
        ("manifest.webmanifest", "{}"),
        (WASM, "plain"),
        ("program-630554a6a270a60b.wasm.br", "compressed"),
    ] {
        std::fs::write(folder.path().join(name), content).unwrap();
    }
    folder
}

async fn get(router: &Router, path: &str, brotli: bool) -> Response<Body> {
    let mut request = Request::get(path);
    if brotli {
        request = request.header("accept-encoding", "gzip, br");
    }
    router
        .clone()
        .oneshot(request.body(Body::empty()).unwrap())
        .await
        .unwrap()
}

fn header<'a>(response: &'a Response<Body>, name: &str) -> &'a str {
    response
        .headers()
        .get(name)
        .map_or("", |value| value.to_str().unwrap())
}

#[tokio::test]
async fn every_answer_carries_the_policy() {
    let folder = folder();
    let router = page(folder.path());
    for path in ["/", "/index.html", "/nothing-here", &format!("/{WASM}")] {
        let response = get(&router, path, false).await;
        let policy = header(&response, "content-security-policy");
        assert!(policy.contains("default-src 'none'"), "{path}: {policy}");
        assert!(
            policy.contains("script-src 'self' 'wasm-unsafe-eval'"),
            "{path}"
        );
        assert!(!policy.contains("unsafe-inline"), "{path}");
        assert_eq!(
            header(&response, "x-content-type-options"),
            "nosniff",
            "{path}"
        );
        assert_eq!(
            header(&response, "referrer-policy"),
            "no-referrer",
            "{path}"
        );
        assert_eq!(
            header(&response, "cross-origin-opener-policy"),
            "same-origin",
            "{path}"
        );
    }
}

#[tokio::test]
async fn types_are_those_that_browsers_insist_on() {
    let folder = folder();
    let router = page(folder.path());
    for (path, kind) in [
        ("/", "text/html"),
        ("/service-worker.js", "text/javascript"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/program-630554a6a270a60b.wasm", "application/wasm"),
    ] {
        let response = get(&router, path, true).await;
        assert_eq!(response.status(), StatusCode::OK, "{path}");
        assert_eq!(
            header(&response, "content-type").split(';').next(),
            Some(kind),
            "{path}"
        );
    }
}

#[tokio::test]
async fn only_what_is_named_by_its_content_is_kept_for_ever() {
    let folder = folder();
    let router = page(folder.path());
    for path in [
        "/",
        "/index.html",
        "/service-worker.js",
        "/manifest.webmanifest",
    ] {
        let response = get(&router, path, false).await;
        assert_eq!(header(&response, "cache-control"), "no-cache", "{path}");
    }
    let response = get(&router, &format!("/{WASM}"), false).await;
    assert!(header(&response, "cache-control").contains("immutable"));
    let missing = get(&router, "/program-0123456789abcdef.wasm", false).await;
    assert_eq!(missing.status(), StatusCode::NOT_FOUND);
    assert_eq!(header(&missing, "cache-control"), "no-cache");
}

#[tokio::test]
async fn the_compressed_copy_goes_to_those_who_can_read_it() {
    let folder = folder();
    let router = page(folder.path());
    for (brotli, encoding, content) in [(true, "br", "compressed"), (false, "", "plain")] {
        let response = get(&router, &format!("/{WASM}"), brotli).await;
        assert_eq!(header(&response, "content-encoding"), encoding);
        assert_eq!(header(&response, "content-type"), "application/wasm");
        let body = to_bytes(response.into_body(), 100).await.unwrap();
        assert_eq!(body, content);
    }
}

#[tokio::test]
async fn nothing_outside_the_folder_is_served() {
    let outer = tempfile::tempdir().unwrap();
    std::fs::write(outer.path().join("secret"), "secret").unwrap();
    let inner = outer.path().join("page");
    std::fs::create_dir(&inner).unwrap();
    let router = page(&inner);
    for path in ["/../secret", "/%2e%2e/secret", "/..%2fsecret", "//secret"] {
        let response = get(&router, path, false).await;
        assert_ne!(response.status(), StatusCode::OK, "{path}");
    }
}

#[test]
fn the_program_says_where_it_serves_and_ends_when_told() {
    let folder = folder();
    let mut program = Command::new(env!("CARGO_BIN_EXE_combgate"))
        .args(["serve", "--phone", "127.0.0.1:0", "--page"])
        .arg(folder.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(program.stdout.take().unwrap()).lines();
    let first = lines.next().unwrap().unwrap();
    let second = lines.next().unwrap().unwrap();
    assert!(first.contains("http://127.0.0.1:"), "{first}");
    assert!(
        second.starts_with("Only this machine reaches it."),
        "{second}"
    );
    let told = Command::new("kill")
        .arg(program.id().to_string())
        .status()
        .unwrap();
    assert!(told.success());
    assert!(program.wait().unwrap().success());
}

#[test]
fn a_folder_without_a_page_is_explained() {
    let empty = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_combgate"))
        .args(["serve", "--page"])
        .arg(empty.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("index.html is missing\nhint: build the page"),
        "{said}"
    );
}

#[test]
fn a_listener_for_handsets_is_protected_and_known_by_its_address() {
    let folder = tempfile::tempdir().unwrap();
    let desk = folder.path().join("desk");
    let run = |words: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_combgate"))
            .arg("--desk")
            .arg(&desk)
            .args(words)
            .output()
            .unwrap()
    };
    assert!(run(&["init", desk.to_str().unwrap()]).status.success());
    for (words, said) in [
        (
            &["serve", "--sync", "0.0.0.0:0"][..],
            "cannot send to 0.0.0.0:0 unprotected",
        ),
        (
            &["serve", "--sync", "127.0.0.1:0"],
            "hint: say it with `combgate address https://HOST`",
        ),
        (
            &["serve", "--sync", "127.0.0.1:0", "--certificate", "c.pem"],
            "--key <FILE>",
        ),
        (
            &["address", "http://desk.example"],
            "write https:// before the host",
        ),
    ] {
        let output = run(words);
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{words:?}: {told}");
        assert!(told.contains(said), "{words:?}: {told}");
    }
    assert!(run(&["address", "https://desk.example"]).status.success());
    let files = ["c.pem", "k.pem"].map(|name| folder.path().join(name));
    for file in &files {
        std::fs::write(file, "no certificate").unwrap();
    }
    let [certificate, key] = files.each_ref().map(|file| file.to_str().unwrap());
    let output = run(&[
        "serve",
        "--clerk",
        "127.0.0.1:0",
        "--sync",
        "127.0.0.1:0",
        "--certificate",
        certificate,
        "--key",
        key,
    ]);
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("c.pem with the key"), "{told}");
    assert!(told.contains("\nhint: name the certificate"), "{told}");
}
