//! Listening: with a certificate of the desk's own, or behind a proxy that has one.
//!
//! HTTP/1.1 alone is spoken: every wait of it has a limit here, and a handset asks for one thing at
//! a time.

use super::{Listener, router};
use crate::outcome::Advice;
use axum_server::accept::Accept;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Address, Control, Handle, Server};
use futures::future::Either;
use std::io;
use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How often a certificate is read again: it is renewed while the desk runs.
const READ_AGAIN: Duration = Duration::from_hours(6);
/// How long requests under way may take once the desk is told to end.
const TO_THE_END: Duration = Duration::from_secs(30);

/// A certificate that cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("the certificate {certificate} with the key {key} cannot be used: {reason}")]
pub struct CertificateError {
    certificate: PathBuf,
    key: PathBuf,
    reason: String,
}

impl Advice for CertificateError {
    fn hint(&self) -> String {
        "name the certificate with all that it rests on, and its key, both as PEM files that this \
         account may read"
            .to_owned()
    }
}

/// A certificate and its key.
#[derive(Debug, Clone)]
pub struct Certificate {
    files: (PathBuf, PathBuf),
    tls: RustlsConfig,
}

impl Certificate {
    /// Reads both files, in PEM.
    pub async fn read(certificate: &Path, key: &Path) -> Result<Self, CertificateError> {
        let files = (certificate.to_owned(), key.to_owned());
        Ok(Self {
            tls: read(&files).await?,
            files,
        })
    }

    /// Takes a renewed certificate; one that cannot be read leaves the one in use.
    async fn keep_fresh(self) {
        loop {
            tokio::time::sleep(READ_AGAIN).await;
            if let Ok(read) = read(&self.files).await {
                self.tls.reload_from_config(read.get_inner());
            }
        }
    }
}

async fn read(files: &(PathBuf, PathBuf)) -> Result<RustlsConfig, CertificateError> {
    let (certificate, key) = files;
    let read = RustlsConfig::from_pem_file(certificate, key).await;
    let mut tls = read
        .map_err(|error| CertificateError {
            certificate: certificate.clone(),
            key: key.clone(),
            reason: error.to_string(),
        })?
        .get_inner()
        .as_ref()
        .clone();
    tls.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(RustlsConfig::from_config(tls.into()))
}

/// Answers until the end, and finishes what is under way.
pub async fn serve(
    listener: TcpListener,
    desk: Listener,
    certificate: Option<Certificate>,
    end: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    let handle = Handle::new();
    let ending = handle.clone();
    let ended = tokio::spawn(async move {
        end.await;
        ending.graceful_shutdown(Some(TO_THE_END));
    });
    let limits = desk.0.limits;
    let app = router(desk).into_make_service_with_connect_info::<SocketAddr>();
    let mut server = axum_server::from_tcp(listener)?
        .handle(handle.clone())
        .http1_only();
    server
        .http_builder()
        .http1()
        .header_read_timeout(limits.head);
    let server = server.first_request_timeout(limits.head);
    let room = (handle.control(), limits.connections);
    let done = match certificate {
        None => capped(server, room).serve(app).await,
        Some(certificate) => {
            let tls = RustlsAcceptor::new(certificate.tls.clone()).handshake_timeout(limits.head);
            let fresh = tokio::spawn(certificate.keep_fresh());
            let done = capped(server.acceptor(tls), room).serve(app).await;
            fresh.abort();
            done
        }
    };
    ended.abort();
    done
}

fn capped<A: Address, Acceptor>(
    server: Server<A, Acceptor>,
    (control, most): (Control, usize),
) -> Server<A, Capped<Acceptor>> {
    server.map(|inner| Capped {
        inner,
        control,
        most,
    })
}

/// Turns connections away when there are too many.
#[derive(Debug, Clone)]
struct Capped<A> {
    inner: A,
    control: Control,
    most: usize,
}

impl<A: Accept<I, S>, I, S> Accept<I, S> for Capped<A> {
    type Stream = A::Stream;
    type Service = A::Service;
    type Future = Either<std::future::Ready<io::Result<(A::Stream, A::Service)>>, A::Future>;

    fn accept(&self, stream: I, service: S) -> Self::Future {
        // The connection itself is counted already.
        if self.control.connection_count() > self.most {
            let full = io::Error::other("too many connections");
            return Either::Left(std::future::ready(Err(full)));
        }
        Either::Right(self.inner.accept(stream, service))
    }
}
