//! One small drawing for each question of the checklist, in lines alone: it takes the colour of the
//! words beside it, and those say everything that it shows.

use combgate_core::intake::Fault;
use combgate_view::{IntoNode, Node, view};

/// The drawing.
pub fn picture(fault: Fault) -> Node {
    view! {
        <svg class="picture" viewBox="0 0 48 48" aria-hidden="true">
            <path d=lines(fault)></path>
        </svg>
    }
    .into_node()
}

/// Its lines, on a square of 48 by 48.
const fn lines(fault: Fault) -> &'static str {
    match fault {
        // A canister with a warning stroke.
        Fault::ChemicalContainer => "M12 18h24v24H12zM16 18V8h10l6 10M24 24v9M24 37v1",
        // A ribbed drum.
        Fault::BareMetalContainer => {
            "M10 10c0-4 28-4 28 0v28c0 4-28 4-28 0zM10 10c0 4 28 4 28 0M10 20c0 4 28 4 28 0M10 29c0 4 28 4 28 0"
        }
        // A pail with stains.
        Fault::DirtyContainer => {
            "M8 12h32l-4 30H12zM17 20h3M28 23h4M20 29h5M29 33h2M16 35h3M25 38h3"
        }
        // A pail with drops.
        Fault::WetContainer => {
            "M8 12h32l-4 30H12zM19 18c-5 7-4 10 0 10s5-3 0-10zM29 26c-5 7-4 10 0 10s5-3 0-10z"
        }
        // A pail whose lid stands up.
        Fault::LooseLid => "M8 22h32l-4 20H12zM6 17L40 5M22 11l-1-4 5-2 2 4",
        // A pail with an empty label.
        Fault::UnmarkedContainer => {
            "M8 8h32l-4 34H12zM15 17h18v16H15zM21 22c0-4 6-4 6 0 0 2-3 2-3 5M24 30v.5"
        }
        // A cloud and rain.
        Fault::HarvestedInRain => {
            "M13 25a7 7 0 0 1 1-14 10 10 0 0 1 19-1 8 8 0 0 1 2 15zM15 31l-3 7M24 31l-3 7M33 31l-3 7"
        }
        // A cell with a grub in it.
        Fault::BroodOrPollen => {
            "M24 4l17 10v20L24 44 7 34V14zM15 27c0-13 18-13 18 0 0 5-6 5-6 0 0-4-6-4-6 0 0 5-6 5-6 0z"
        }
        // An insect.
        Fault::DirtInHoney => {
            "M24 12a4 4 0 1 0 .1 0M24 20c-5 0-7 6-7 11s3 11 7 11 7-6 7-11-2-11-7-11M17 26L7 21M17 32H6M19 38l-9 5M31 26l10-5M31 32h11M29 38l9 5M22 12l-4-7M26 12l4-7"
        }
        // A jar that foams over.
        Fault::Fermenting => {
            "M12 16h24v27H12zM9 16c-2-6 5-8 7-5 1-6 9-6 10-1 3-4 9-1 8 2 5-1 7 3 5 4M20 24a2 2 0 1 0 .1 0M28 29a3 3 0 1 0 .1 0M20 34a2 2 0 1 0 .1 0"
        }
        // A nose before vapours from a canister's neck.
        Fault::ChemicalSmell => {
            "M18 5c0 12-11 19-11 26 0 6 9 6 12 2M28 42h14V30H28zM32 30v-4h6v4M31 20c-3-4 3-5 0-9M39 20c-3-4 3-5 0-9"
        }
        // A tongue and a nut of metal.
        Fault::MetalTaste => {
            "M4 12c9-7 23-7 32 0-5 7-9 5-9 11v9a7 7 0 0 1-14 0v-9c0-6-4-4-9-11zM20 22v9M38 26l6 4v7l-6 4-6-4v-7zM38 32a2 2 0 1 0 .1 0"
        }
        // A smoker and its smoke.
        Fault::SmokeTaint => {
            "M7 43V26h18v17zM7 26L23 14l4 6-2 6M33 40c8-5-6-9 2-14s-6-9 2-14-4-6 0-8"
        }
        // A flame on a tongue.
        Fault::BitterOrBurning => {
            "M24 44c-8 0-13-5-13-12C11 22 23 18 20 4c11 6 17 17 17 27 0 8-5 13-13 13zM24 44c-5-3-4-9 1-14 4 5 4 11-1 14z"
        }
        // A cup poured into a pail, and a plus.
        Fault::SuspectedAddition => {
            "M4 26h24l-3 17H7zM22 4l18 7-7 13-16-6zM19 18c-3 2-4 4-4 8M40 30v12M34 36h12"
        }
    }
}
