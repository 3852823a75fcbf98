//! The clerk's pages: rendered here, whole without a script, on this machine's own address alone.
//!
//! One page is one module: what it asks of the ledger, and how it shows it. [`shell`] frames them
//! all, [`visit`] says who asks, [`guard`] turns away what comes from elsewhere. A new page is a
//! module, a [`Place`], a line in [`PLACES`] and a line in [`router`].

mod address;
mod alike;
mod answer;
mod asked;
mod assets;
mod attempts;
mod backup;
mod briefs;
mod closing;
mod day_rows;
mod days;
mod entry;
mod export;
mod finding;
mod findings;
mod forget;
mod form;
mod guard;
mod handsets;
mod import;
mod look_up;
mod member_card;
mod members;
mod names;
mod overview;
mod parts;
mod payment_list;
mod payments;
mod plots;
mod receiving;
mod reconcile;
mod register;
mod reversal;
mod sentences;
mod set_up;
mod shell;
mod sign_in;
mod statistics;
mod terms;
mod terms_cells;
mod terms_form;
mod terms_rows;
mod visit;

pub use set_up::one_time_address;

use crate::import::BYTES_AT_MOST;
use crate::words::Word;
use attempts::Attempts;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use combgate_core::record::TERMS_BYTES_AT_MOST;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

/// Most bytes of a form without files.
const FORM_BYTES_AT_MOST: usize = 64 * 1024;
/// Most bytes of a form with a policy or a price list.
const TERMS_FORM_BYTES_AT_MOST: usize = FORM_BYTES_AT_MOST + TERMS_BYTES_AT_MOST;
/// Bundles of the largest size that fit one upload.
const LARGEST_BUNDLES_AT_ONCE: usize = 8;

/// The desk that the pages are of.
#[derive(Debug, Clone)]
pub struct Pages(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    folder: PathBuf,
    /// What a browser must call this machine by.
    hosts: Vec<String>,
    /// A browser keeps cookies by machine and not by port, so the port is in the name.
    cookie: String,
    /// Secret of the one-time address, until the first account is made.
    set_up: Mutex<Option<String>>,
    attempts: Attempts,
}

impl Pages {
    /// Pages of a desk's folder on an address of this machine; with a secret, an account can be
    /// made at its one-time address.
    pub fn new(folder: PathBuf, address: SocketAddr, set_up: Option<String>) -> Self {
        let port = address.port();
        let hosts = ["127.0.0.1", "localhost", "[::1]"];
        let mut hosts: Vec<String> = hosts.map(|host| format!("{host}:{port}")).into();
        // A second loopback address, such as 127.0.0.2.
        hosts.push(address.to_string());
        Self(Arc::new(Shared {
            folder,
            hosts,
            cookie: format!("combgate-desk-{port}"),
            set_up: Mutex::new(set_up),
            attempts: Attempts::new(),
        }))
    }
}

/// A page that the navigation leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    Overview,
    Import,
    Findings,
    Receiving,
    Days,
    Reconcile,
    Payments,
    Closing,
    Members,
    Handsets,
    Register,
    Terms,
    Briefs,
    Statistics,
    Export,
    Backup,
}

/// The navigation, in the order of a day's work.
const PLACES: &[(Place, &str, Word)] = &[
    (Place::Overview, "/", Word::NavOverview),
    (Place::Import, "/import", Word::NavImport),
    (Place::Findings, "/findings", Word::NavFindings),
    (Place::Receiving, "/receiving", Word::NavReceiving),
    (Place::Days, "/days", Word::NavDays),
    (Place::Reconcile, "/reconcile", Word::NavReconcile),
    (Place::Payments, "/payments", Word::NavPayments),
    (Place::Closing, "/closing", Word::NavClosing),
    (Place::Members, "/members", Word::NavMembers),
    (Place::Handsets, "/handsets", Word::NavHandsets),
    (Place::Register, "/register", Word::NavRegister),
    (Place::Terms, "/terms", Word::NavTerms),
    (Place::Briefs, "/briefs", Word::NavBriefs),
    (Place::Statistics, "/statistics", Word::NavStatistics),
    (Place::Export, "/export", Word::NavExport),
    (Place::Backup, "/backup", Word::NavBackup),
];

/// All pages of a desk.
pub fn router(pages: Pages) -> Router {
    let uploads = DefaultBodyLimit::max(LARGEST_BUNDLES_AT_ONCE * BYTES_AT_MOST);
    Router::new()
        .route("/", get(overview::show))
        .route(
            "/import",
            get(import::show).post(import::take).layer(uploads),
        )
        .route("/acknowledgements/{handset}", get(import::acknowledgement))
        .route("/findings", get(findings::show))
        .route("/findings/{id}", get(finding::show).post(finding::settle))
        .route("/findings/{id}/reverse", post(reversal::do_it))
        .route("/findings/{id}/undo", post(reversal::undo_it))
        .route("/days", get(days::latest))
        .route("/days/{day}", get(days::show))
        .route("/papers", get(look_up::paper))
        .route("/entries/{handset}/{seq}", get(entry::show))
        .route("/receiving", get(receiving::show).post(receiving::take))
        .route("/receiving/{id}", get(receiving::one))
        .route("/reconcile", get(reconcile::show))
        .route("/reconcile/cash", post(reconcile::hand_over))
        .route("/closing", get(closing::show).post(closing::fix))
        .route("/export", get(export::show))
        .route("/export/file", get(export::file))
        .route("/backup", get(backup::show).post(backup::make))
        .route("/payments", get(payments::show).post(payments::begin))
        .route("/payments/{list}", get(payment_list::one))
        .route("/payments/{list}/file", get(payment_list::file))
        .route("/payments/{list}/approve", post(payment_list::give_leave))
        .route("/payments/{list}/confirm", post(payment_list::went_out))
        .route("/payments/{list}/reverse", post(payment_list::take_back))
        .route("/members", get(members::show))
        .route("/members/{member}", get(members::one))
        .route(
            "/members/{member}/forget",
            get(forget::show).post(forget::forget),
        )
        .route(
            "/members/{member}/card",
            get(member_card::show).post(member_card::keep),
        )
        .route("/members/{member}/key", get(forget::key).post(forget::take))
        .route("/handsets", get(handsets::show).post(handsets::enrol))
        .route(
            "/handsets/{handset}",
            get(handsets::one).post(handsets::take_out),
        )
        .route(
            "/register",
            get(register::show)
                .post(register::take)
                .layer(DefaultBodyLimit::max(crate::register::BYTES_AT_MOST)),
        )
        .route(
            "/register/new",
            get(member_card::blank).post(member_card::add),
        )
        .route("/register/{form}", get(register::file))
        .route(
            "/terms",
            get(terms::show)
                .post(terms::propose)
                .layer(DefaultBodyLimit::max(TERMS_FORM_BYTES_AT_MOST)),
        )
        .route(
            "/terms/new/{kind}",
            get(terms_form::show)
                .post(terms_form::propose)
                .layer(DefaultBodyLimit::max(TERMS_FORM_BYTES_AT_MOST)),
        )
        .route(
            "/terms/decide",
            post(terms::decide).layer(DefaultBodyLimit::max(3 * TERMS_FORM_BYTES_AT_MOST)),
        )
        .route("/terms/{digest}", get(terms::one))
        .route("/terms/{digest}/file", get(terms::file))
        .route("/statistics", get(statistics::show))
        .route("/briefs", get(briefs::show).post(briefs::make))
        .route("/briefs/{serial}/file", get(briefs::file))
        .route("/address", post(address::keep))
        .route("/sign-in", get(sign_in::show).post(sign_in::sign_in))
        .route("/sign-out", post(sign_in::sign_out))
        .route("/set-up/{secret}", get(set_up::show).post(set_up::make))
        .route("/language/{language}", get(shell::choose_language))
        .route(assets::STYLE, get(assets::style))
        .route(assets::SCRIPT, get(assets::script))
        .fallback(shell::nowhere)
        .method_not_allowed_fallback(shell::nowhere)
        .layer(DefaultBodyLimit::max(FORM_BYTES_AT_MOST))
        .layer(from_fn_with_state(pages.clone(), guard::guard))
        .with_state(pages)
}
