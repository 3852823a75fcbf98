//! Sending on its own: asked for once, it is tried until the desk has everything.
//!
//! It is tried when an officer asks, when the phone finds a network, when the page starts, and after
//! pauses that grow. That it was asked for outlives the page. A locked page sends nothing: it begins
//! only once the PIN was given.

use crate::handset::{Handset, Unsent};
use crate::platform::{clock, network, preferences};
use combgate_view::{RwSignal, StoredValue, untrack};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// Seconds until the next try; the last one stays. Common practice: each twice the one before.
const PAUSES_S: [u32; 7] = [10, 20, 40, 80, 160, 320, 600];

/// How it stands.
#[derive(Debug, Clone)]
pub enum State {
    /// Nobody asked.
    Idle,
    /// Under way.
    Now,
    /// The desk has everything, and what it says is taken in.
    Done,
    /// Not yet: it is tried again on its own, or somebody must do something first.
    Not(Arc<Unsent>),
}

/// What sends; cheap to copy.
#[derive(Debug, Clone, Copy)]
pub struct Sending {
    handset: Handset,
    state: RwSignal<State>,
    newer: RwSignal<Option<String>>,
    /// Tries in a row that came to nothing.
    tries: StoredValue<usize>,
    /// Counts tries, so that a pause knows whether somebody was quicker.
    turn: StoredValue<u32>,
}

impl Sending {
    /// Goes on with what was asked for before, and listens for the network.
    pub fn begin(handset: Handset) -> Self {
        let sending = Self {
            handset,
            state: RwSignal::new(State::Idle),
            newer: RwSignal::new(None),
            tries: StoredValue::new(0),
            turn: StoredValue::new(0),
        };
        network::on_return(move || {
            if preferences::is_sending() {
                sending.go();
            }
        });
        sending
    }

    /// Tries what was asked for before the page was closed.
    pub fn resume(self) {
        if preferences::is_sending() {
            self.go();
        }
    }

    /// Somebody asks for it.
    pub fn ask(self) {
        if untrack(|| self.handset.desk_address()).is_none() {
            return;
        }
        preferences::remember_sending(true);
        self.tries.set_value(0);
        self.go();
    }

    /// How it stands. Reactive.
    pub fn state(self) -> State {
        self.state.get()
    }

    /// Whether there is a newer brief. Reactive.
    pub fn has_newer(self) -> bool {
        self.newer.with(Option::is_some)
    }

    /// The newer brief, to be taken in.
    pub fn take_newer(self) -> Option<String> {
        self.newer.try_update(Option::take).flatten()
    }

    fn go(self) {
        if untrack(|| self.handset.desk_address()).is_none()
            || matches!(self.state.get_untracked(), State::Now)
        {
            return;
        }
        self.state.set(State::Now);
        self.turn.update_value(|turn| *turn = turn.wrapping_add(1));
        spawn_local(async move {
            match self.handset.exchange().await {
                Ok(newer) => {
                    preferences::remember_sending(false);
                    self.tries.set_value(0);
                    self.newer.set(newer);
                    self.state.set(State::Done);
                }
                Err(unsent) => {
                    let again = unsent.may_pass();
                    self.state.set(State::Not(Arc::new(unsent)));
                    if again {
                        self.go_later().await;
                    }
                }
            }
        });
    }

    async fn go_later(self) {
        let tries = self.tries.get_value();
        self.tries.set_value(tries + 1);
        let turn = self.turn.get_value();
        let pause = PAUSES_S[tries.min(PAUSES_S.len() - 1)];
        clock::pause(pause * 1_000).await;
        if self.turn.get_value() == turn {
            self.go();
        }
    }
}

/// What sends. Every view inside the frame has one.
pub fn sending() -> Sending {
    expect_context()
}
