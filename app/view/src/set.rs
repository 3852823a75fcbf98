//! What an attribute, a property or a class of an element is set to.

use crate::closure::Gives;
use crate::element::{Element, Kind};
use crate::signals::{Memo, RwSignal, Signal};
use std::borrow::Cow;

/// Words of the program: which they are, and what gives them in the language of the page.
#[derive(Clone, Copy)]
pub struct Spoken {
    /// Gives words by their number.
    pub words: fn(u16) -> &'static str,
    /// Theirs.
    pub number: u16,
}

impl Spoken {
    /// In the language that the page speaks now.
    pub fn now(self) -> &'static str {
        (self.words)(self.number)
    }
}

/// A value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// An attribute that is not there.
    Absent,
    /// Text.
    Text(Cow<'static, str>),
    /// On or off; as an attribute there or not.
    Flag(bool),
}

/// A value, or what gives one again whenever a signal changes.
pub enum Setting {
    /// Stays.
    Fixed(Value),
    /// Stays but for its language.
    Spoken(Spoken),
    /// Is followed.
    Live(Box<dyn Gives<Value>>),
}

/// What an attribute, a property or a class can be set to.
pub trait IntoSetting {
    /// As a setting.
    fn into_setting(self) -> Setting;

    /// As a setting of an element.
    fn set_in(self, element: Element, kind: Kind, name: &'static str) -> Element
    where
        Self: Sized,
    {
        element.set_to(kind, name, self.into_setting())
    }
}

/// What is a value.
pub trait IntoValue {
    /// As a value.
    fn into_value(self) -> Value;
}

impl IntoValue for &'static str {
    fn into_value(self) -> Value {
        Value::Text(Cow::Borrowed(self))
    }
}

impl IntoValue for String {
    fn into_value(self) -> Value {
        Value::Text(Cow::Owned(self))
    }
}

impl IntoValue for bool {
    fn into_value(self) -> Value {
        Value::Flag(self)
    }
}

impl IntoValue for i64 {
    fn into_value(self) -> Value {
        self.to_string().into_value()
    }
}

impl IntoValue for i32 {
    fn into_value(self) -> Value {
        i64::from(self).into_value()
    }
}

impl<T: IntoValue> IntoValue for Option<T> {
    fn into_value(self) -> Value {
        self.map_or(Value::Absent, T::into_value)
    }
}

macro_rules! fixed {
    ($($Value:ty),*) => { $(
        impl IntoSetting for $Value {
            fn into_setting(self) -> Setting {
                Setting::Fixed(self.into_value())
            }
        }
    )* };
}

fixed!(&'static str, String, bool, i32, i64);

impl<T: IntoValue> IntoSetting for Option<T> {
    fn into_setting(self) -> Setting {
        Setting::Fixed(self.into_value())
    }
}

impl<T: IntoValue, F: FnMut() -> T + 'static> IntoSetting for F {
    fn into_setting(self) -> Setting {
        Setting::Live(live(self))
    }

    fn set_in(self, element: Element, kind: Kind, name: &'static str) -> Element {
        element.set_live(kind, name, live(self))
    }
}

fn live<T: IntoValue>(mut gives: impl FnMut() -> T + 'static) -> Box<dyn Gives<Value>> {
    Box::new(move || gives().into_value())
}

impl IntoSetting for Spoken {
    fn into_setting(self) -> Setting {
        Setting::Spoken(self)
    }
}

macro_rules! followed {
    ($($Signal:ident),*) => { $(
        impl<T: IntoValue + Clone + 'static> IntoSetting for $Signal<T> {
            fn into_setting(self) -> Setting {
                Setting::Live(live(move || self.get()))
            }

            fn set_in(self, element: Element, kind: Kind, name: &'static str) -> Element {
                element.set_live(kind, name, live(move || self.get()))
            }
        }
    )* };
}

followed!(Signal, RwSignal, Memo);
