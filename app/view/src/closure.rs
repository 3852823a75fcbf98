//! Closures behind a pointer, of which no more is compiled than is called.
//!
//! A `Box<dyn FnMut()>` can be called for the last time as well, with itself given away: the compiler
//! makes a function for that of every closure on every screen.

use web_sys::Event;

/// What gives a value each time that it is asked.
pub trait Gives<T> {
    /// The value.
    fn give(&mut self) -> T;
}

impl<T, F: FnMut() -> T> Gives<T> for F {
    fn give(&mut self) -> T {
        self()
    }
}

/// What gives a value each time, and to more than one at a time.
pub(crate) trait Derives<T> {
    fn derive(&self) -> T;
}

impl<T, F: Fn() -> T> Derives<T> for F {
    fn derive(&self) -> T {
        self()
    }
}

/// What hears of an event.
pub trait Hears {
    /// Hears of one.
    fn hear(&mut self, event: Event);
}

impl<F: FnMut(Event)> Hears for F {
    fn hear(&mut self, event: Event) {
        self(event);
    }
}
