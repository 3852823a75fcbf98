//! QR codes (ISO/IEC 18004), readable with any phone.

use crate::prelude::*;
use qrcodegen::{QrCode, QrCodeEcc};
use std::fmt::Write;

/// Light modules around a code, without which readers do not find it (ISO/IEC 18004, 9.1).
const QUIET: i32 = 4;

/// A code as dark and light squares.
#[derive(Clone)]
pub struct Squares(QrCode);

impl Squares {
    /// The smallest code that holds a text; `None` for one too long for any. Level L at least: it
    /// is new and clean when it is read, and larger squares are worth more than spare ones.
    pub fn of(text: &str) -> Option<Self> {
        QrCode::encode_text(text, QrCodeEcc::Low).ok().map(Self)
    }

    /// Squares on a side, with the light border.
    pub fn side(&self) -> i32 {
        self.0.size() + 2 * QUIET
    }

    /// Every run of dark squares: from the left, from the top, how long.
    pub fn dark(&self) -> Vec<(i32, i32, i32)> {
        let mut runs: Vec<(i32, i32, i32)> = Vec::new();
        for y in 0..self.0.size() {
            for x in 0..self.0.size() {
                if !self.0.get_module(x, y) {
                    continue;
                }
                let here = (x + QUIET, y + QUIET);
                match runs.last_mut() {
                    Some(run) if run.1 == here.1 && run.0 + run.2 == here.0 => run.2 += 1,
                    _ => runs.push((here.0, here.1, 1)),
                }
            }
        }
        runs
    }

    /// As a picture with these words instead of it.
    pub fn picture(&self, words: String) -> Node {
        let side = self.side();
        let mut path = String::new();
        for (x, y, length) in self.dark() {
            // Writing to a string cannot fail.
            let _ = write!(path, "M{x} {y}h{length}v1h-{length}z");
        }
        view! {
            <svg
                class="qr"
                viewBox=format!("0 0 {side} {side}")
                role="img"
                aria-label=words
                shape-rendering="crispEdges"
            >
                <rect width=side height=side></rect>
                <path d=path></path>
            </svg>
        }
        .into_node()
    }
}
