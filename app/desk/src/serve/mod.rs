//! `combgate serve`: the clerk's pages on this machine's own address, and the phone's page over
//! HTTP on another.
//!
//! The two never share an address: what the phone's page may load and keep, the clerk's pages must
//! not.

mod phone;

pub use phone::page;

use crate::accounts::active_ones;
use crate::cli;
use crate::desk;
use crate::outcome::{Advice, Failure, Outcome};
use crate::pages::{Pages, one_time_address, router};
use axum::Router;
use std::io::Write;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
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
            Self::Listen { .. } => {
                "end the program that uses this address, or choose another such as \
                 --clerk 127.0.0.1:8711 or --listen 127.0.0.1:8701"
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
            address: asked.listen,
        });
    }
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(ServeError::from)?
        .block_on(serve(ready))?;
    Ok(Outcome::done(String::new()))
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
}

impl Served {
    const fn address(&self) -> SocketAddr {
        match self {
            Self::Clerk { address, .. } | Self::Phone { address, .. } => *address,
        }
    }

    /// What answers on an address, and what is said of it.
    fn at(&self, address: SocketAddr) -> (Router, String) {
        match self {
            Self::Clerk { folder, set_up, .. } => {
                let pages = Pages::new(folder.clone(), address, set_up.clone());
                (
                    router(pages),
                    clerk_announcement(address, set_up.as_deref()),
                )
            }
            Self::Phone { folder, .. } => (page(folder), announcement(folder, address)),
        }
    }
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
        let (router, said) = served.at(listener.local_addr()?);
        writeln!(out, "{said}")?;
        let mut told = tell.subscribe();
        serving.spawn(async move {
            axum::serve(listener, router)
                .with_graceful_shutdown(async move {
                    // An error means that nobody is left to tell: the end as well.
                    let _ = told.changed().await;
                })
                .await
        });
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
