//! A photo of comb with a grid of points over it: one after the other is shown enlarged and judged
//! on the pad. The photo stays on this screen and is kept nowhere, unless the member agrees to its
//! being given out.

use super::Bench;
use crate::platform::photo::Picture;
use crate::platform::{files, identity, picture};
use crate::screens::inputs::{notice, tick};
use crate::screens::passed::passed_or_saved;
use crate::speech::{fill, say, spoken};
use combgate_core::intake::{PointGrid, WHOLE_SIDE};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, RwSignal, view};
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;

/// Points on one photo: more than make a count, few enough to be patient with.
const POINTS: u32 = 60;
/// How much of the photo the enlarged part shows, as a part of its longer side.
const ENLARGED_PART: u32 = 6;

/// The photo that is being counted on, if there is one; cheap to copy.
#[derive(Clone, Copy)]
pub struct Photo {
    shown: RwSignal<Option<Shown>>,
    unreadable: RwSignal<bool>,
    bench: Bench,
    /// Whether the member agrees to its being given out.
    agreed: RwSignal<bool>,
    /// What became of giving it out.
    given: RwSignal<Option<Word>>,
}

#[derive(Clone)]
struct Shown {
    picture: Picture,
    /// In the picture's own points.
    points: Vec<(u32, u32)>,
    /// Points judged, in the order in which they were.
    judged: Vec<usize>,
    /// The point to be judged next.
    current: Option<usize>,
}

impl Shown {
    fn of(picture: Picture, start: [u16; 2]) -> Self {
        let (width, height) = picture.size;
        let scaled = |part: u32, side: u32| {
            let scaled = u64::from(part) * u64::from(side) / u64::from(WHOLE_SIDE);
            u32::try_from(scaled).unwrap_or(side)
        };
        let grid = PointGrid::over(width, height, POINTS, start);
        let points = grid.points().into_iter();
        Self {
            picture,
            points: points
                .map(|[x, y]| (scaled(x, width), scaled(y, height)))
                .collect(),
            judged: Vec::new(),
            current: Some(0),
        }
    }

    /// The first point from the top left that is not judged.
    fn next(&self) -> Option<usize> {
        (0..self.points.len()).find(|place| !self.judged.contains(place))
    }

    /// The point nearest to a place that is not judged.
    fn nearest(&self, x: u32, y: u32) -> Option<usize> {
        let distance = |place: &usize| {
            let (left, top) = self.points[*place];
            u64::from(left.abs_diff(x)).pow(2) + u64::from(top.abs_diff(y)).pow(2)
        };
        (0..self.points.len())
            .filter(|place| !self.judged.contains(place))
            .min_by_key(distance)
    }
}

impl Photo {
    /// No photo yet.
    pub fn none(bench: Bench) -> Self {
        let agreed = bench.draft.with_untracked(|draft| {
            let member = draft.member.as_ref();
            member.is_some_and(|member| bench.handset.register().agreed_to_photos(&member.number))
        });
        Self {
            shown: RwSignal::new(None),
            unreadable: RwSignal::new(false),
            bench,
            agreed: RwSignal::new(agreed),
            given: RwSignal::new(None),
        }
    }

    /// Takes the current point as judged and goes to the next. False where all are judged; true
    /// without a photo, where anything may be counted.
    pub fn judge(self) -> bool {
        self.shown
            .try_update(|shown| {
                let Some(shown) = shown else {
                    return true;
                };
                let Some(current) = shown.current else {
                    return false;
                };
                shown.judged.push(current);
                shown.current = shown.next();
                true
            })
            .unwrap_or(true)
    }

    /// Takes the last judged point back.
    pub fn take_back(self) {
        self.shown.update(|shown| {
            if let Some(shown) = shown
                && let Some(last) = shown.judged.pop()
            {
                shown.current = Some(last);
            }
        });
    }

    /// Lets the photo go.
    pub fn remove(self) {
        self.given.set(None);
        self.shown.set(None);
    }

    /// The point to be judged, enlarged, and the whole photo with its grid.
    pub fn view(self) -> impl IntoNode {
        move || {
            let shown = self.shown.get()?;
            let count = shown.points.len().to_string();
            let place = (shown.judged.len() + 1).to_string();
            let said = if shown.current.is_some() {
                fill(Phrase::PurchasePhotoPoint {
                    place: &place,
                    count: &count,
                })
            } else {
                spoken(Word::PurchasePhotoDone).to_owned()
            };
            Some(view! {
                <p class="notice" role="status">{said}</p>
                {enlarged(&shown)}
            })
        }
    }

    /// Takes a photo, or shows the whole of the one that was taken.
    pub fn chooser(self) -> impl IntoNode {
        let chosen = move |event: web_sys::Event| {
            let file = files::chosen(&event);
            spawn_local(async move {
                let Some(file) = file else {
                    return;
                };
                let picture = Picture::of(&file).await;
                let start = identity::random_start();
                let shown = picture
                    .zip(start)
                    .map(|(picture, start)| Shown::of(picture, start));
                self.unreadable.set(shown.is_none());
                self.shown.set(shown);
            });
        };
        move || {
            if let Some(shown) = self.shown.get() {
                return view! {
                    {self.whole(&shown)}
                    {self.ways_out()}
                }
                .into_node();
            }
            view! {
                {self.unreadable.get().then(|| notice(Word::PurchasePhotoUnreadable))}
                <input
                    id="comb-photo"
                    class="unseen"
                    type="file"
                    accept="image/*"
                    capture="environment"
                    on:change=chosen
                />
                <label class="button" for="comb-photo">{say(Word::PurchasePhoto)}</label>
                <p class="hint">{say(Word::PurchasePhotoHint)}</p>
            }
            .into_node()
        }
    }

    /// The photo is given out, once the member agreed, or let go.
    fn ways_out(self) -> Node {
        let give = move |_| {
            let shown = self.shown.get_untracked();
            let name = self.bench.draft.with_untracked(|draft| {
                let member = draft.member.as_ref()?;
                let comb = draft.combs().len().max(1);
                let (number, delivery) = (&member.number, draft.delivery);
                Some(format!("{number}-{delivery}-comb-{comb}.jpg"))
            });
            spawn_local(async move {
                let word = match shown.zip(name) {
                    Some((shown, name)) => give_out(&shown.picture, &name).await,
                    None => Word::PurchaseMemberFirst,
                };
                self.given.set(Some(word));
            });
        };
        view! {
            {tick("photo-agreed", Word::PurchasePhotoAgreed, self.agreed)}
            <div class="actions">
                {move || self.agreed.get().then(|| view! {
                    <button type="button" on:click=give>{say(Word::PurchasePhotoGive)}</button>
                })}
                <button type="button" on:click=move |_| self.remove()>
                    {say(Word::PurchasePhotoRemove)}
                </button>
            </div>
            <div role="status">
                {move || self.given.get().map(|word| view! { <p class="notice">{say(word)}</p> })}
            </div>
        }
        .into_node()
    }

    /// The whole photo; a tap goes to the point nearest to it.
    fn whole(self, shown: &Shown) -> Node {
        let (width, height) = shown.picture.size;
        let longer = width.max(height);
        let rings: Vec<_> = shown
            .points
            .iter()
            .enumerate()
            .map(|(place, (x, y))| {
                let class = if shown.current == Some(place) {
                    "current"
                } else if shown.judged.contains(&place) {
                    "judged"
                } else {
                    "open"
                };
                view! {
                    <circle
                        class=class
                        cx=x.to_string()
                        cy=y.to_string()
                        r=(longer / 60).to_string()
                    ></circle>
                }
            })
            .collect();
        let tapped = move |event: web_sys::MouseEvent| {
            let Some((x, y)) = place_of(&event, width, height) else {
                return;
            };
            self.shown.update(|shown| {
                if let Some(shown) = shown {
                    shown.current = shown.nearest(x, y);
                }
            });
        };
        view! {
            <svg
                class="photo"
                role="img"
                aria-label=say(Word::PurchasePhotoWhole)
                viewBox=format!("0 0 {width} {height}")
                on:click=tapped
            >
                <image href=shown.picture.address() width=width.to_string() height=height.to_string()></image>
                {rings}
            </svg>
        }
        .into_node()
    }
}

/// Passes a photo on, or saves it where no program takes it.
async fn give_out(photo: &Picture, name: &str) -> Word {
    let Ok(drawn) = picture::jpeg(photo.image()).await else {
        return Word::ErrorFileNotGiven;
    };
    let passed = files::share(name, picture::JPEG, &drawn).await;
    passed_or_saved(&passed, || files::download(name, picture::JPEG, &drawn))
}

/// The current point in the middle of a small part of the photo.
fn enlarged(shown: &Shown) -> Option<Node> {
    let (width, height) = shown.picture.size;
    let (x, y) = *shown.points.get(shown.current?)?;
    let side = (width.max(height) / ENLARGED_PART).max(1);
    let half = i64::from(side / 2);
    let view_box = format!(
        "{} {} {side} {}",
        i64::from(x) - half,
        i64::from(y) - half / 2,
        side / 2,
    );
    Some(
        view! {
            <svg
                class="photo enlarged"
                role="img"
                aria-label=say(Word::PurchasePhotoEnlarged)
                viewBox=view_box
            >
                <image href=shown.picture.address() width=width.to_string() height=height.to_string()></image>
                <circle
                    class="current"
                    cx=x.to_string()
                    cy=y.to_string()
                    r=(side / 24).max(1).to_string()
                ></circle>
            </svg>
        }
        .into_node(),
    )
}

/// Where on the picture a tap fell.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place on the screen, cut to the picture"
)]
fn place_of(event: &web_sys::MouseEvent, width: u32, height: u32) -> Option<(u32, u32)> {
    let element: web_sys::Element = event.current_target()?.dyn_into().ok()?;
    let shown = element.get_bounding_client_rect();
    let along = |at: i32, from: f64, length: f64, side: u32| {
        let part = (f64::from(at) - from) / length.max(1.0);
        (part.clamp(0.0, 1.0) * f64::from(side)) as u32
    };
    Some((
        along(event.client_x(), shown.left(), shown.width(), width),
        along(event.client_y(), shown.top(), shown.height(), height),
    ))
}
