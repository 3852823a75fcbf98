//! A browser as far as these tests need one: it keeps cookies and sends forms with its origin.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, Response, StatusCode};
use combgate_desk::pages::{Pages, router};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;
use tower::ServiceExt;

/// Where the pages under test are.
pub const HOST: &str = "127.0.0.1:8710";
/// What begins and ends the parts of a form with files.
const BOUNDARY: &str = "combgate-test-boundary";

/// What came back.
#[derive(Debug)]
pub struct Page {
    pub status: StatusCode,
    pub headers: axum::http::HeaderMap,
    pub text: String,
}

impl Page {
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }

    /// The token of the page's first form that is not for signing out.
    pub fn token(&self) -> String {
        let (_, after) = self
            .text
            .split_once(r#"name="token" value=""#)
            .unwrap_or_else(|| panic!("no form in {}", self.text));
        after.split('"').next().unwrap().to_owned()
    }

    /// Whether a text stands on it, apart from the marks between pieces of text.
    pub fn says(&self, text: &str) -> bool {
        self.text.replace("<!>", "").contains(text)
    }

    /// What a browser would send of the form with this action if nothing were changed.
    pub fn form(&self, action: &str) -> Vec<(String, String)> {
        let begin = format!(r#"action="{action}""#);
        let (_, form) = self
            .text
            .split_once(&begin)
            .unwrap_or_else(|| panic!("{}", self.text));
        let form = form.split("</form>").next().unwrap();
        let mut fields = Vec::new();
        let mut select = None;
        for tag in form.split('<').skip(1) {
            let tag = tag.split('>').next().unwrap();
            let attribute = |name: &str| {
                let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
                let value = rest.split('"').next()?;
                Some(
                    value
                        .replace("&quot;", "\"")
                        .replace("&lt;", "<")
                        .replace("&amp;", "&"),
                )
            };
            let kind = attribute("type").unwrap_or_default();
            let is_on = |mark: &str| tag.split_whitespace().any(|word| word.starts_with(mark));
            if tag.starts_with("select") {
                select = attribute("name");
            } else if tag.starts_with("option") {
                let name = select.clone().unwrap();
                let known = fields.iter().position(|(known, _)| *known == name);
                match (known, is_on("selected")) {
                    (None, _) => fields.push((name, attribute("value").unwrap())),
                    (Some(at), true) => fields[at].1 = attribute("value").unwrap(),
                    _ => {}
                }
            } else if tag.starts_with("input")
                && (!matches!(kind.as_str(), "checkbox" | "radio") || is_on("checked"))
            {
                let value = attribute("value").unwrap_or_default();
                fields.push((attribute("name").unwrap(), value));
            }
        }
        fields
    }

    /// Values of an attribute that begin so.
    pub fn links(&self, begin: &str) -> Vec<String> {
        let before = format!(r#"href="{begin}"#);
        let all = self.text.split(&before).skip(1);
        all.map(|rest| format!("{begin}{}", rest.split('"').next().unwrap()))
            .collect()
    }
}

/// A browser.
pub struct Browser {
    router: Router,
    pub cookies: BTreeMap<String, String>,
    pub language: &'static str,
}

impl Browser {
    /// A browser before the pages of a desk's folder.
    pub fn at(folder: PathBuf, set_up: Option<&str>) -> Self {
        let pages = Pages::new(folder, HOST.parse().unwrap(), set_up.map(str::to_owned));
        Self {
            router: router(pages),
            cookies: BTreeMap::new(),
            language: "en",
        }
    }

    /// Another browser before the same pages.
    pub fn another(&self) -> Self {
        Self {
            router: self.router.clone(),
            cookies: BTreeMap::new(),
            language: self.language,
        }
    }

    /// Sends any request; only what is given is in it, and the cookies.
    pub async fn send(&mut self, mut request: Request<Body>) -> Page {
        let cookies: Vec<String> = self
            .cookies
            .iter()
            .map(|(name, value)| format!("{name}={value}"))
            .collect();
        if !cookies.is_empty() {
            let value = cookies.join("; ").parse().unwrap();
            request.headers_mut().insert("cookie", value);
        }
        let response = self.router.clone().oneshot(request).await.unwrap();
        self.keep_cookies(&response);
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 64 << 20).await.unwrap();
        Page {
            status: parts.status,
            headers: parts.headers,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    fn keep_cookies(&mut self, response: &Response<Body>) {
        for cookie in response.headers().get_all("set-cookie") {
            let pair = cookie.to_str().unwrap().split(';').next().unwrap();
            let (name, value) = pair.split_once('=').unwrap();
            if value.is_empty() {
                self.cookies.remove(name);
            } else {
                self.cookies.insert(name.to_owned(), value.to_owned());
            }
        }
    }

    fn request(&self, method: Method, path: &str) -> axum::http::request::Builder {
        Request::builder()
            .method(method)
            .uri(path)
            .header("host", HOST)
            .header("accept-language", self.language)
    }

    pub async fn get(&mut self, path: &str) -> Page {
        let request = self.request(Method::GET, path).body(Body::empty()).unwrap();
        self.send(request).await
    }

    /// Sends a form as the page at the same address would.
    pub async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Page {
        let body = fields
            .iter()
            .map(|(name, value)| format!("{name}={}", escaped(value)))
            .collect::<Vec<_>>()
            .join("&");
        let request = self
            .request(Method::POST, path)
            .header("origin", format!("http://{HOST}"))
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .unwrap();
        self.send(request).await
    }

    /// Sends a form with files: fields first, then each file by the field's name.
    pub async fn upload(
        &mut self,
        path: &str,
        fields: &[(&str, &str)],
        files: &[(&str, &str, &str)],
    ) -> Page {
        let mut body = String::new();
        // Writing to a string cannot fail.
        for (name, value) in fields {
            let _ = write!(
                body,
                "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            );
        }
        for (name, file, content) in files {
            let _ = write!(
                body,
                "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"; \
                 filename=\"{file}\"\r\nContent-Type: application/json\r\n\r\n{content}\r\n"
            );
        }
        let _ = write!(body, "--{BOUNDARY}--\r\n");
        let request = self
            .request(Method::POST, path)
            .header("origin", format!("http://{HOST}"))
            .header(
                "content-type",
                format!("multipart/form-data; boundary={BOUNDARY}"),
            )
            .body(Body::from(body))
            .unwrap();
        self.send(request).await
    }

    /// Signs in, which must go well.
    pub async fn sign_in(&mut self, name: &str) {
        let page = self
            .post("/sign-in", &[("name", name), ("password", super::PASSWORD)])
            .await;
        assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    }

    /// A form of a page, filled in and sent to an address.
    pub async fn fill(&mut self, page: &str, to: &str, fields: &[(&str, &str)]) -> Page {
        let token = self.get(page).await.token();
        let mut all = vec![("token", token.as_str())];
        all.extend_from_slice(fields);
        self.post(to, &all).await
    }
}

fn escaped(value: &str) -> String {
    value
        .bytes()
        .map(|byte| {
            if byte.is_ascii_alphanumeric() {
                char::from(byte).to_string()
            } else {
                format!("%{byte:02X}")
            }
        })
        .collect()
}
