//! A listener that runs, and a sender that writes every byte itself.

use super::common::desk::TestDesk;
use super::common::handset::TestHandset;
use chrono::{DateTime, FixedOffset, Local};
use combgate_core::record::{Digest, ProblemKind, ProblemV1, Request, SignedFields};
use combgate_desk::sync::{Limits, Listener, serve};
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::thread::JoinHandle;
use std::time::Duration;
use tokio::sync::oneshot;

/// A listener of a desk, on a port of its own, until it is dropped.
pub(crate) struct Running {
    pub(crate) at: SocketAddr,
    end: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    /// Handsets know the desk by this very address.
    pub(crate) fn of(desk: &TestDesk, limits: Limits) -> Self {
        let socket = TcpListener::bind("127.0.0.1:0").unwrap();
        let at = socket.local_addr().unwrap();
        desk.done(&format!("address http://{at}"));
        let listener = Listener::new(desk.path("desk"), limits);
        let (end, told) = oneshot::channel::<()>();
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_multi_thread()
                .worker_threads(2)
                .enable_all()
                .build()
                .unwrap();
            let until = async move {
                let _ = told.await;
            };
            runtime
                .block_on(serve(socket, listener, None, until))
                .unwrap();
        });
        Self {
            at,
            end: Some(end),
            thread: Some(thread),
        }
    }

    /// A connection; who waits for ever has waited ten seconds.
    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.at).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(10)))
            .unwrap();
        stream
    }

    /// Sends a request whole.
    pub(crate) fn send(&self, sent: &Sent) -> Answer {
        let mut stream = self.connect();
        stream.write_all(sent.head(self.at).as_bytes()).unwrap();
        // One that is turned away for its head may be closed before all of this is written.
        let _ = stream.write_all(&sent.content);
        Answer::read(stream)
    }

    /// A bundle of a handset, signed now.
    pub(crate) fn bundle(&self, handset: &TestHandset, file: &str) -> Sent {
        self.bundle_at(handset, file, now())
    }

    pub(crate) fn bundle_at(
        &self,
        handset: &TestHandset,
        file: &str,
        at: DateTime<FixedOffset>,
    ) -> Sent {
        let request = Request::bundle(&self.at.to_string(), Digest::of(file)).unwrap();
        Sent::of("PUT", request, file, |request| handset.signed(request, at))
    }

    /// A wish for a document, signed now.
    pub(crate) fn get(&self, handset: &TestHandset, path: &str) -> Sent {
        let request = Request::get(&self.at.to_string(), path).unwrap();
        Sent::of("GET", request, "", |request| handset.signed(request, now()))
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.end.take().unwrap().send(());
        self.thread.take().unwrap().join().unwrap();
    }
}

pub(crate) fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}

/// A request as it is written.
#[derive(Clone)]
pub(crate) struct Sent {
    pub(crate) method: &'static str,
    pub(crate) path: String,
    /// `None`: the one that it is sent to.
    pub(crate) host: Option<String>,
    pub(crate) fields: Vec<(String, String)>,
    pub(crate) content: Vec<u8>,
}

impl Sent {
    pub(crate) fn of(
        method: &'static str,
        request: Request,
        content: &str,
        sign: impl FnOnce(Request) -> SignedFields,
    ) -> Self {
        let path = request.path().to_owned();
        let signed = sign(request);
        let mut fields = vec![
            ("Signature-Input".to_owned(), signed.signature_input),
            ("Signature".to_owned(), signed.signature),
        ];
        if let Some(digest) = signed.content_digest {
            fields.push(("Content-Digest".to_owned(), digest));
            fields.push(("Content-Length".to_owned(), content.len().to_string()));
        }
        Self {
            method,
            path,
            host: None,
            fields,
            content: content.as_bytes().to_vec(),
        }
    }

    /// Nothing but a path.
    pub(crate) fn plain(method: &'static str, path: &str) -> Self {
        Self {
            method,
            path: path.to_owned(),
            host: None,
            fields: Vec::new(),
            content: Vec::new(),
        }
    }

    pub(crate) fn with(mut self, name: &str, value: &str) -> Self {
        self.fields.push((name.to_owned(), value.to_owned()));
        self
    }

    /// With another value in a field that is there.
    pub(crate) fn changed(mut self, name: &str, change: impl FnOnce(&str) -> String) -> Self {
        let field = self.fields.iter_mut().find(|(known, _)| known == name);
        let (_, value) = field.unwrap();
        let now = change(value);
        assert_ne!(*value, now, "{name} is as it was");
        *value = now;
        self
    }

    pub(crate) fn without(mut self, name: &str) -> Self {
        self.fields.retain(|(known, _)| known != name);
        self
    }

    pub(crate) fn head(&self, at: SocketAddr) -> String {
        let host = self.host.clone().unwrap_or_else(|| at.to_string());
        let mut head = format!(
            "{} {} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n",
            self.method, self.path
        );
        for (name, value) in &self.fields {
            head.extend([name, ": ", value, "\r\n"]);
        }
        head + "\r\n"
    }
}

/// An answer as it was read.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    head: String,
    pub(crate) text: String,
}

impl Answer {
    pub(crate) fn read(mut stream: TcpStream) -> Self {
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let whole = String::from_utf8(bytes).unwrap();
        let (head, text) = whole.split_once("\r\n\r\n").unwrap_or((&whole, ""));
        let status = head
            .split(' ')
            .nth(1)
            .and_then(|status| status.parse().ok());
        Self {
            status: status.unwrap_or(0),
            head: head.to_ascii_lowercase(),
            text: text.to_owned(),
        }
    }

    pub(crate) fn field(&self, name: &str) -> Option<&str> {
        let begins = format!("{name}: ");
        self.head
            .lines()
            .find_map(|line| line.strip_prefix(begins.as_str()))
    }

    /// The problem that it tells of.
    pub(crate) fn problem(&self) -> ProblemV1 {
        assert_eq!(
            self.field("content-type"),
            Some(ProblemV1::MEDIA_TYPE),
            "{self:?}"
        );
        let problem = ProblemV1::read(&self.text).unwrap();
        assert_eq!(problem.status, self.status, "{self:?}");
        assert!(!problem.hint.is_empty() && !problem.detail.is_empty());
        problem
    }

    pub(crate) fn kind(&self) -> ProblemKind {
        self.problem().kind
    }
}
