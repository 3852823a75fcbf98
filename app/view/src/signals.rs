//! Leptos's signals, compiled once.
//!
//! Leptos makes the code that tells of a change, follows it and looks a signal up anew for every type
//! that a signal holds, and puts most of it wherever one is read. Here what is held is of one type to
//! Leptos, and each of these steps is one function; only the look at the value is made for its type.
//! They are used as Leptos's own, but a value is looked at by a closure: there are no guards.

use crate::closure::Derives;
use reactive_graph::computed::ArcMemo;
use reactive_graph::owner::{ArenaItem, LocalStorage};
use reactive_graph::signal::ArcTrigger;
use reactive_graph::traits::{Get, GetUntracked, Notify, Track};
use std::any::Any;
use std::cell::{OnceCell, RefCell};
use std::fmt::{Debug, Formatter};
use std::marker::PhantomData;
use std::rc::Rc;

pub use reactive_graph::graph::untrack;

/// A value of any type. Whoever looks at it holds it meanwhile, so that another can take its place.
type Value = Rc<dyn Any>;

/// Works a memo's value out anew, and says whether it is another.
type Work = Box<dyn Works>;

trait Works {
    fn work(&self, kept: &RefCell<Value>) -> bool;
}

impl<F: Fn(&RefCell<Value>) -> bool> Works for F {
    fn work(&self, kept: &RefCell<Value>) -> bool {
        self(kept)
    }
}

/// What a signal holds, and who is told when it changes. A memo holds `()` until it is asked for.
struct Held {
    told: OnceCell<Told>,
    work: Option<Work>,
    value: RefCell<Value>,
}

enum Told {
    OfChanges(ArcTrigger),
    /// Whether its value is out of date is all that Leptos keeps of a memo.
    OfResults(ArcMemo<()>),
}

/// Where it is kept, for as long as the part of a screen that made it.
type Place = ArenaItem<Rc<Held>, LocalStorage>;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Reading {
    Follows,
    Untracked,
}

#[inline(never)]
fn kept(held: Rc<Held>) -> Place {
    ArenaItem::new_local(held)
}

#[inline(never)]
fn kept_with_trigger(held: Rc<Held>) -> Place {
    // It was empty until now.
    let _ = held.told.set(Told::OfChanges(ArcTrigger::new()));
    kept(held)
}

#[inline(never)]
fn kept_as_memo(held: &Rc<Held>) -> Place {
    let place = kept(Rc::clone(held));
    let memo = ArcMemo::new_owning(move |_: Option<()>| {
        let held = place.try_get_value();
        let is_other = held.is_some_and(|held| {
            let work = held.work.as_ref();
            work.is_some_and(|work| work.work(&held.value))
        });
        ((), is_other)
    });
    let _ = held.told.set(Told::OfResults(memo));
    place
}

/// What is kept there, up to date; nothing once the part that made it is gone.
#[inline(never)]
fn found(place: Place, reading: Reading) -> Option<Rc<Held>> {
    let held = place.try_get_value()?;
    match (held.told.get(), reading) {
        (Some(Told::OfChanges(changes)), Reading::Follows) => changes.track(),
        (Some(Told::OfResults(memo)), Reading::Follows) => memo.get(),
        (Some(Told::OfResults(memo)), Reading::Untracked) => memo.get_untracked(),
        (Some(Told::OfChanges(_)), Reading::Untracked) | (None, _) => {}
    }
    Some(held)
}

#[inline(never)]
fn tell(held: &Held) {
    if let Some(Told::OfChanges(changes)) = held.told.get() {
        changes.notify();
    }
}

#[inline(never)]
fn holding(value: Value, work: Option<Work>) -> Rc<Held> {
    Rc::new(Held {
        told: OnceCell::new(),
        work,
        value: RefCell::new(value),
    })
}

#[inline(never)]
fn value_at(place: Place, reading: Reading) -> Option<Value> {
    found(place, reading).map(|held| Rc::clone(&held.value.borrow()))
}

/// The value that is kept there, if it is of this type.
#[inline(never)]
fn try_value<T: 'static>(place: Place, reading: Reading) -> Option<Rc<T>> {
    value_at(place, reading)?.downcast().ok()
}

#[inline(never)]
fn value<T: 'static>(place: Place, reading: Reading) -> Rc<T> {
    match try_value(place, reading) {
        Some(value) => value,
        None => gone(),
    }
}

fn look<T: 'static, R>(place: Place, reading: Reading, with: impl FnOnce(&T) -> R) -> R {
    with(&value(place, reading))
}

/// A screen that asks for what belongs to another that is gone is a fault in the program.
#[inline(never)]
#[cold]
fn gone() -> ! {
    unreachable!("a signal was read after the part of the screen that made it was gone")
}

/// As is to change what somebody is looking at.
#[inline(never)]
#[cold]
fn looked_at() -> ! {
    unreachable!("a signal was changed by what was looking at it")
}

fn try_change<T: 'static, R>(place: Place, with: impl FnOnce(&mut T) -> R) -> Option<R> {
    let held = found(place, Reading::Untracked)?;
    let changed = {
        let mut value = held.value.borrow_mut();
        match Rc::get_mut(&mut value).and_then(|value| value.downcast_mut()) {
            Some(value) => with(value),
            None => looked_at(),
        }
    };
    tell(&held);
    Some(changed)
}

#[inline(never)]
fn copied<T: Clone + 'static>(place: Place, reading: Reading) -> T {
    look(place, reading, T::clone)
}

/// Whoever was asked to tell something may be gone by the time that it is known: then nobody is told.
#[inline(never)]
fn put(place: Place, value: Value) {
    if let Some(held) = found(place, Reading::Untracked) {
        held.value.replace(value);
        tell(&held);
    }
}

#[inline(never)]
fn differs<T: PartialEq + 'static>(kept: &RefCell<Value>, value: T) -> bool {
    let is_other = kept.borrow().downcast_ref() != Some(&value);
    if is_other {
        kept.replace(Rc::new(value));
    }
    is_other
}

macro_rules! handle {
    ($(#[$doc:meta])* $Name:ident) => {
        $(#[$doc])*
        pub struct $Name<T> {
            place: Place,
            of: PhantomData<fn() -> T>,
        }

        impl<T> $Name<T> {
            const fn at(place: Place) -> Self {
                Self {
                    place,
                    of: PhantomData,
                }
            }
        }

        impl<T> Clone for $Name<T> {
            fn clone(&self) -> Self {
                *self
            }
        }

        impl<T> Copy for $Name<T> {}

        impl<T> Debug for $Name<T> {
            fn fmt(&self, formatter: &mut Formatter<'_>) -> std::fmt::Result {
                formatter.write_str(stringify!($Name))
            }
        }
    };
}

handle! {
    /// A value that changes.
    RwSignal
}
handle! {
    /// A value that follows from others, worked out when it is asked for and one of them changed.
    Memo
}
handle! {
    /// A value that changes, wherever it comes from.
    Signal
}
handle! {
    /// A value that nobody follows.
    StoredValue
}

macro_rules! read {
    ($Name:ident) => {
        impl<T: 'static> $Name<T> {
            /// Looks at the value and follows it.
            pub fn with<R>(self, with: impl FnOnce(&T) -> R) -> R {
                look(self.place, Reading::Follows, with)
            }

            /// Looks at the value as it is now.
            pub fn with_untracked<R>(self, with: impl FnOnce(&T) -> R) -> R {
                look(self.place, Reading::Untracked, with)
            }

            /// Follows the value.
            pub fn track(self) {
                let _ = found(self.place, Reading::Follows);
            }
        }

        impl<T: Clone + 'static> $Name<T> {
            /// The value, which is followed.
            pub fn get(self) -> T {
                copied(self.place, Reading::Follows)
            }

            /// The value as it is now.
            pub fn get_untracked(self) -> T {
                copied(self.place, Reading::Untracked)
            }
        }
    };
}

read!(RwSignal);
read!(Memo);

impl<T: 'static> RwSignal<T> {
    /// A signal of a first value.
    pub fn new(value: T) -> Self {
        Self::at(kept_with_trigger(holding(Rc::new(value), None)))
    }

    /// Sets it, if it is still there.
    pub fn set(self, value: T) {
        put(self.place, Rc::new(value));
    }

    /// Changes it, if it is still there.
    pub fn update(self, with: impl FnOnce(&mut T)) {
        let _ = self.try_update(with);
    }

    /// Changes it and gives what the change gives; nothing once it is gone.
    pub fn try_update<R>(self, with: impl FnOnce(&mut T) -> R) -> Option<R> {
        try_change(self.place, with)
    }
}

impl<T: PartialEq + 'static> Memo<T> {
    /// A value that is worked out.
    pub fn new(work: impl Fn() -> T + 'static) -> Self {
        Self::of(Box::new(work))
    }

    #[inline(never)]
    fn of(work: Box<dyn Derives<T>>) -> Self {
        let work: Work = Box::new(move |kept: &RefCell<Value>| differs(kept, work.derive()));
        Self::at(kept_as_memo(&holding(Rc::new(()), Some(work))))
    }
}

/// How a derived signal's value is worked out.
type Derived<T> = Rc<dyn Derives<T>>;

impl<T: Clone + 'static> Signal<T> {
    /// What a closure gives, worked out each time that it is asked for.
    pub fn derive(gives: impl Fn() -> T + 'static) -> Self {
        Self::given(Rc::new(gives))
    }

    #[inline(never)]
    fn given(gives: Derived<T>) -> Self {
        Self::at(kept(holding(Rc::new(gives), None)))
    }

    /// Looks at the value and follows it.
    pub fn with<R>(self, with: impl FnOnce(&T) -> R) -> R {
        match try_value::<Derived<T>>(self.place, Reading::Untracked) {
            Some(gives) => with(&gives.derive()),
            None => look(self.place, Reading::Follows, with),
        }
    }

    /// The value, which is followed.
    pub fn get(self) -> T {
        self.with(T::clone)
    }
}

impl<T> From<RwSignal<T>> for Signal<T> {
    fn from(signal: RwSignal<T>) -> Self {
        Self::at(signal.place)
    }
}

impl<T> From<Memo<T>> for Signal<T> {
    fn from(memo: Memo<T>) -> Self {
        Self::at(memo.place)
    }
}

impl<T: 'static> StoredValue<T> {
    /// Keeps a value.
    pub fn new(value: T) -> Self {
        Self::at(kept(holding(Rc::new(value), None)))
    }

    /// Puts another in its place, if it is still there.
    pub fn set_value(self, value: T) {
        put(self.place, Rc::new(value));
    }

    /// Looks at it.
    pub fn with_value<R>(self, with: impl FnOnce(&T) -> R) -> R {
        look(self.place, Reading::Untracked, with)
    }

    /// Changes it, if it is still there.
    pub fn update_value(self, with: impl FnOnce(&mut T)) {
        let _ = self.try_update_value(with);
    }

    /// Changes it and gives what the change gives; nothing once it is gone.
    pub fn try_update_value<R>(self, with: impl FnOnce(&mut T) -> R) -> Option<R> {
        try_change(self.place, with)
    }
}

impl<T: Clone + 'static> StoredValue<T> {
    /// The value.
    pub fn get_value(self) -> T {
        copied(self.place, Reading::Untracked)
    }
}

/// A value that changes seldom, out of what changes often. Whoever follows it hears of its changes alone,
/// a moment later; a [`Memo`] has each of them look at every change of what it is made of.
pub fn seldom<T: PartialEq + 'static>(derive: impl Fn() -> T + 'static) -> RwSignal<T> {
    let value = RwSignal::new(untrack(&derive));
    effect(move |_| {
        let now = derive();
        if value.with_untracked(|before| *before != now) {
            value.set(now);
        }
    });
    value
}

/// Does something now, and again whenever a signal changes that was read meanwhile; the first time it
/// is given nothing. It ends with the part of a screen that began it.
pub fn effect(run: impl FnMut(Option<()>) + 'static) {
    begin(Box::new(run));
}

#[inline(never)]
fn begin(run: Box<dyn FnMut(Option<()>)>) {
    reactive_graph::effect::Effect::new(run);
}
