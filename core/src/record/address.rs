//! Where a desk is reached over the network: `https://` and a host, with a port where it is not the
//! usual one. Nothing stands behind them, so that an address has one reading and one spelling.

use serde::{Deserialize, Serialize};

const BYTES_AT_MOST: usize = 255;
const HTTPS: &str = "https://";
const HTTP: &str = "http://";
/// The host that no packet leaves the machine for.
const OWN_HOST: &str = "127.0.0.1";

/// An address that handsets cannot send to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    /// Not HTTPS.
    #[error(
        "the address does not begin with https://: write it like https://desk.example or https://desk.example:8443"
    )]
    NotHttps,
    /// HTTP to another machine.
    #[error(
        "the address is not protected: write https:// before the host; http:// is for this machine's own 127.0.0.1 alone"
    )]
    Unprotected,
    /// No name of a host.
    #[error(
        "the address names no host: write a name or a number behind https://, such as desk.example"
    )]
    BadHost,
    /// No port.
    #[error("the port of the address is not a number from 1 to 65535: correct it or leave it out")]
    BadPort,
    /// More than host and port.
    #[error("something stands behind host and port: leave it out")]
    More,
    /// Longer than 255 characters.
    #[error("the address is longer than 255 characters: choose a shorter name for the host")]
    TooLong,
}

/// Where a desk is reached.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct DeskAddress(String);

impl DeskAddress {
    /// Reads an address as people type it: capitals, the usual port and a slash at the end are
    /// taken away, as a browser does (WHATWG URL, 4.4).
    pub fn new(typed: &str) -> Result<Self, AddressError> {
        if typed.len() > BYTES_AT_MOST {
            return Err(AddressError::TooLong);
        }
        let text = typed.trim().to_ascii_lowercase();
        let (scheme, usual_port, rest) = if let Some(rest) = text.strip_prefix(HTTPS) {
            (HTTPS, 443, rest)
        } else if let Some(rest) = text.strip_prefix(HTTP) {
            (HTTP, 80, rest)
        } else {
            return Err(AddressError::NotHttps);
        };
        let authority = rest.strip_suffix('/').unwrap_or(rest);
        if authority.contains(['/', '?', '#', '@', '\\']) {
            return Err(AddressError::More);
        }
        let (host, port) = split(authority)?;
        if !is_host(host) {
            return Err(AddressError::BadHost);
        }
        if scheme == HTTP && host != OWN_HOST {
            return Err(AddressError::Unprotected);
        }
        Ok(Self(match port {
            Some(port) if port != usual_port => format!("{scheme}{host}:{port}"),
            _ => format!("{scheme}{host}"),
        }))
    }

    /// As a whole, with no slash at its end.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Host, with its port unless that is the scheme's own: what a browser sends as `Host`.
    pub fn authority(&self) -> &str {
        self.0
            .split_once("://")
            .map_or(self.0.as_str(), |(_, authority)| authority)
    }
}

/// Host and port.
fn split(authority: &str) -> Result<(&str, Option<u16>), AddressError> {
    let Some((host, port)) = authority.split_once(':') else {
        return Ok((authority, None));
    };
    match port.parse() {
        Ok(number @ 1..) if !port.starts_with(['0', '+']) => Ok((host, Some(number))),
        _ => Err(AddressError::BadPort),
    }
}

/// A name, or an IPv4 address as a browser spells it; IPv6 in brackets is left out.
fn is_host(host: &str) -> bool {
    let labels = || host.split('.');
    let letters = |label: &str| {
        label
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
    };
    let named = |label: &str| {
        !label.is_empty() && !label.starts_with('-') && !label.ends_with('-') && letters(label)
    };
    let number = |label: &str| {
        label
            .parse::<u8>()
            .is_ok_and(|number| number.to_string() == label)
    };
    // What ends in a number is an IPv4 address to a browser, or nothing (WHATWG URL, 3.5).
    let ends_in_a_number = labels()
        .next_back()
        .is_some_and(|last| last.starts_with(|first: char| first.is_ascii_digit()));
    if ends_in_a_number {
        labels().count() == 4 && labels().all(number)
    } else {
        labels().all(named)
    }
}

impl std::fmt::Display for DeskAddress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<String> for DeskAddress {
    type Error = AddressError;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::new(&text)
    }
}

impl From<DeskAddress> for String {
    fn from(address: DeskAddress) -> Self {
        address.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_has_one_spelling() {
        for (typed, kept, authority) in [
            (
                "https://desk.example",
                "https://desk.example",
                "desk.example",
            ),
            (
                " https://Desk.Example/ ",
                "https://desk.example",
                "desk.example",
            ),
            (
                "https://desk.example:443",
                "https://desk.example",
                "desk.example",
            ),
            (
                "https://desk.example:8443/",
                "https://desk.example:8443",
                "desk.example:8443",
            ),
            (
                "https://192.168.1.20:8720",
                "https://192.168.1.20:8720",
                "192.168.1.20:8720",
            ),
            (
                "http://127.0.0.1:8720",
                "http://127.0.0.1:8720",
                "127.0.0.1:8720",
            ),
            ("http://127.0.0.1:80", "http://127.0.0.1", "127.0.0.1"),
        ] {
            let address = DeskAddress::new(typed).unwrap();
            assert_eq!(
                (address.as_str(), address.authority()),
                (kept, authority),
                "{typed}"
            );
            assert_eq!(DeskAddress::new(kept), Ok(address), "{typed}");
        }
    }

    #[test]
    fn everything_else_is_refused_and_says_what_to_write() {
        use AddressError::{BadHost, BadPort, More, NotHttps, TooLong, Unprotected};
        for (typed, error) in [
            ("", NotHttps),
            ("desk.example", NotHttps),
            ("ftp://desk.example", NotHttps),
            ("http://desk.example", Unprotected),
            ("http://127.0.0.1.example", Unprotected),
            ("http://192.168.1.20", Unprotected),
            ("http://localhost", Unprotected),
            ("https://", BadHost),
            ("https:///", BadHost),
            ("https://desk..example", BadHost),
            ("https://-desk", BadHost),
            ("https://desk example", BadHost),
            ("https://d\u{e9}sk", BadHost),
            ("https://192.168.1", BadHost),
            ("https://192.168.001.20", BadHost),
            ("https://192.168.1.256", BadHost),
            ("https://desk.0x7f", BadHost),
            ("https://[fd00::7]", BadPort),
            ("https://desk.example:", BadPort),
            ("https://desk.example:0", BadPort),
            ("https://desk.example:08443", BadPort),
            ("https://desk.example:+8443", BadPort),
            ("https://desk.example:65536", BadPort),
            ("https://desk.example/brief", More),
            ("https://desk.example?x", More),
            ("https://officer@desk.example", More),
            (&format!("https://{}", "a".repeat(255)), TooLong),
        ] {
            assert_eq!(DeskAddress::new(typed), Err(error), "{typed}");
        }
    }
}
