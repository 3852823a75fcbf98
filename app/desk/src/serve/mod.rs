//! `combgate serve`: the clerk's pages on this machine's own address, the phone's page over HTTP on
//! another, and the listener for handsets on a third.
//!
//! They never share an address: what the phone's page may load and keep, the clerk's pages must not,
//! and what everybody reaches is apart from what only this machine reaches.

mod phone;

pub use phone::page;

use crate::accounts::active_ones;
use crate::cli;
use crate::desk;
use crate::outcome::{Advice, Failure, Outcome};
use crate::pages::{Pages, one_time_address, router};
use crate::sync::{self, Certificate, CertificateError, Limits, Listener};
use axum::Router;
use combgate_core::record::DeskAddress;
use std::io::Write;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::pin::Pin;
use tokio::net::TcpListener;

/// Where the clerk's pages are when nothing is said.
const CLERK: SocketAddr = SocketAddr::new(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST), 8710);

/// Pages that cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// No page there.
    #[error("there is no page in {0}: index.html is missing")]
    NoPage(PathBuf),
    /// The clerk's pages are for this machine alone.
    #[error("the clerk's pages cannot be served on {0}, which other machines reach")]
    NotOwn(SocketAddr),
    /// Everybody on the way could read what is sent.
    #[error("handsets cannot send to {0} unprotected: other machines reach it")]
    Unprotected(SocketAddr),
    /// Nobody said how handsets reach the desk.
    #[error("it is not said at which address handsets reach this desk")]
    NoAddress,
    /// The certificate.
    #[error(transparent)]
    Certificate(#[from] CertificateError),
    /// The address is taken or not this machine's.
    #[error("cannot listen on {address}: {error}")]
    Listen {
        /// Which address.
        address: SocketAddr,
        /// Why.
        error: std::io::Error,
    },
    /// The operating system stopped it.
    #[error("serving stopped: {0}")]
    Stopped(#[from] std::io::Error),
}

impl Advice for ServeError {
    fn hint(&self) -> String {
        match self {
            Self::NoPage(_) => "build the page with `make run`, or name the folder that holds its \
                                index.html with --page"
                .to_owned(),
            Self::NotOwn(_) => "choose an address such as --clerk 127.0.0.1:8710".to_owned(),
            Self::Unprotected(_) => {
                "name the certificate with --certificate and --key; or let a proxy that has one stand \
                 in front, and choose an address such as --sync 127.0.0.1:8720, or say \
                 --behind-proxy where the proxy is another machine"
                    .to_owned()
            }
            Self::NoAddress => {
                "say it with `combgate address https://HOST`, as the phones are to reach it".to_owned()
            }
            Self::Certificate(error) => error.hint(),
            Self::Listen { .. } => {
                "end the program that uses this address, or choose another such as \
                 --clerk 127.0.0.1:8711, --phone 127.0.0.1:8701 or --sync 127.0.0.1:8721"
                    .to_owned()
            }
            Self::Stopped(_) => "start it again".to_owned(),
        }
    }
}

/// Serves until the program is told to end.
pub fn run(folder: &Path, asked: &cli::Serve) -> Result<Outcome, Failure> {
    let clerk = match (asked.clerk, &asked.page) {
        (Some(address), _) => Some(address),
        (None, Some(_)) => None,
        (None, None) => Some(CLERK),
    };
    let mut ready = Vec::new();
    if let Some(address) = clerk {
        if !address.ip().is_loopback() {
            return Err(ServeError::NotOwn(address).into());
        }
        let desk = desk::open(folder)?;
        let first_start = active_ones(&desk.store)?.is_empty();
        let set_up = first_start.then(one_time_address).flatten();
        ready.push(Served::Clerk {
            folder: folder.to_owned(),
            address,
            set_up,
        });
    }
    if let Some(page) = &asked.page {
        if !page.join("index.html").is_file() {
            return Err(ServeError::NoPage(page.clone()).into());
        }
        ready.push(Served::Phone {
            folder: page.clone(),
            address: asked.phone,
        });
    }
    if let Some(address) = asked.sync {
        ready.push(sync_at(folder, address, asked)?);
    }
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(ServeError::from)?
        .block_on(serve(ready))?;
    Ok(Outcome::done(String::new()))
}

/// The listener for handsets, as far as it can be made ready before anything is served.
fn sync_at(folder: &Path, address: SocketAddr, asked: &cli::Serve) -> Result<Served, Failure> {
    let certificate = asked.certificate.clone().zip(asked.key.clone());
    if certificate.is_none() && !asked.behind_proxy && !address.ip().is_loopback() {
        return Err(ServeError::Unprotected(address).into());
    }
    let desk = desk::open(folder)?;
    let known_as = desk.desk.address.ok_or(ServeError::NoAddress)?;
    let limits = Limits {
        // Without a certificate of its own, whoever comes is a proxy.
        by_address: certificate.is_some(),
        ..Limits::default()
    };
    Ok(Served::Sync {
        listener: Listener::new(folder.to_owned(), limits),
        address,
        certificate,
        known_as,
    })
}

/// Something that is served.
enum Served {
    Clerk {
        folder: PathBuf,
        address: SocketAddr,
        set_up: Option<String>,
    },
    Phone {
        folder: PathBuf,
        address: SocketAddr,
    },
    Sync {
        listener: Listener,
        address: SocketAddr,
        certificate: Option<(PathBuf, PathBuf)>,
        known_as: DeskAddress,
    },
}

/// Work until the end.
type Serving = Pin<Box<dyn Future<Output = std::io::Result<()>> + Send>>;

impl Served {
    const fn address(&self) -> SocketAddr {
        match self {
            Self::Clerk { address, .. }
            | Self::Phone { address, .. }
            | Self::Sync { address, .. } => *address,
        }
    }

    /// What answers on an address until the end, and what is said of it.
    async fn at(
        self,
        socket: TcpListener,
        end: impl Future<Output = ()> + Send + 'static,
    ) -> Result<(Serving, String), ServeError> {
        let address = socket.local_addr()?;
        Ok(match self {
            Self::Clerk { folder, set_up, .. } => {
                let said = clerk_announcement(address, set_up.as_deref());
                let pages = Pages::new(folder, address, set_up);
                (pages_until(socket, router(pages), end), said)
            }
            Self::Phone { folder, .. } => {
                let said = announcement(&folder, address);
                (pages_until(socket, page(&folder), end), said)
            }
            Self::Sync {
                listener,
                certificate,
                known_as,
                ..
            } => {
                let said = sync_announcement(address, &known_as, certificate.is_some());
                let certificate = match certificate {
                    Some((certificate, key)) => Some(Certificate::read(&certificate, &key).await?),
                    None => None,
                };
                let socket = socket.into_std()?;
                (
                    Box::pin(sync::serve(socket, listener, certificate, end)),
                    said,
                )
            }
        })
    }
}

fn pages_until(
    socket: TcpListener,
    pages: Router,
    end: impl Future<Output = ()> + Send + 'static,
) -> Serving {
    Box::pin(async move { axum::serve(socket, pages).with_graceful_shutdown(end).await })
}

async fn serve(all: Vec<Served>) -> Result<(), ServeError> {
    // Every address is taken before anything is said or answered.
    let mut listening = Vec::new();
    for served in all {
        let address = served.address();
        let listener = TcpListener::bind(address)
            .await
            .map_err(|error| ServeError::Listen { address, error })?;
        listening.push((served, listener));
    }
    let (tell, _) = tokio::sync::watch::channel(());
    let end = told_to_end()?;
    let mut out = std::io::stdout();
    let mut serving = tokio::task::JoinSet::new();
    for (served, listener) in listening {
        let mut told = tell.subscribe();
        let told = async move {
            // An error means that nobody is left to tell: the end as well.
            let _ = told.changed().await;
        };
        let (work, said) = served.at(listener, told).await?;
        writeln!(out, "{said}")?;
        serving.spawn(work);
    }
    writeln!(out, "End it with Ctrl-C.")?;
    out.flush()?;
    end.await;
    drop(tell);
    while let Some(done) = serving.join_next().await {
        done.map_err(std::io::Error::other)??;
    }
    Ok(())
}

fn clerk_announcement(address: SocketAddr, set_up: Option<&str>) -> String {
    let first = set_up.map_or_else(String::new, |secret| {
        format!(
            "\nNobody has an account yet. Make the first one at this address, which is good once:\n  \
             http://{address}/set-up/{secret}\n\
             or with `combgate account add NAME --role bookkeeper`."
        )
    });
    format!("The clerk's pages are at http://{address}/\nOnly this machine reaches them.{first}")
}

fn announcement(folder: &Path, address: SocketAddr) -> String {
    let reach = if address.ip().is_loopback() {
        "Only this machine reaches it."
    } else {
        "The whole network reaches it. Phones keep the page only when it comes over HTTPS: put a \
         proxy with a certificate in front."
    };
    format!("Serving {} at http://{address}/\n{reach}", folder.display())
}

fn sync_announcement(address: SocketAddr, known_as: &DeskAddress, protected: bool) -> String {
    let how = if protected {
        "with its own certificate"
    } else {
        "without one: a proxy with a certificate must stand in front and pass the Host field on"
    };
    format!("Handsets hand over at {known_as}\nListening for them at {address}, {how}.")
}

/// Watches for the end from the moment it is called, not from the moment it is awaited.
fn told_to_end() -> std::io::Result<impl Future<Output = ()>> {
    #[cfg(unix)]
    let mut terminated = {
        use tokio::signal::unix::{SignalKind, signal};
        signal(SignalKind::terminate())?
    };
    let interrupted = tokio::signal::ctrl_c();
    Ok(async move {
        #[cfg(unix)]
        tokio::select! {
            _ = interrupted => {}
            _ = terminated.recv() => {}
        }
        #[cfg(not(unix))]
        // Without a handler there is nothing to wait for but the end of the process.
        let _ = interrupted.await;
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_says_who_reaches_it() {
        let said = |address: &str| announcement(Path::new("page"), address.parse().unwrap());
        assert!(said("127.0.0.1:8700").contains("Only this machine"));
        assert!(said("[::1]:8700").contains("Only this machine"));
        assert!(said("0.0.0.0:8700").contains("HTTPS"));
    }

    #[test]
    fn the_one_time_address_is_said_when_there_is_one() {
        let said = clerk_announcement(CLERK, Some("secret"));
        assert!(
            said.contains("http://127.0.0.1:8710/set-up/secret"),
            "{said}"
        );
        assert!(!clerk_announcement(CLERK, None).contains("set-up"));
    }
}
