//! What an attribute, a property or a class of an element is set to.

use reactive_graph::computed::Memo;
use reactive_graph::owner::Storage;
use reactive_graph::signal::RwSignal;
use reactive_graph::traits::Get;
use reactive_graph::wrappers::read::Signal;
use std::borrow::Cow;

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
    /// Is followed.
    Live(Box<dyn FnMut() -> Value>),
}

/// What an attribute, a property or a class can be set to.
pub trait IntoSetting {
    /// As a setting.
    fn into_setting(self) -> Setting;
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
    fn into_setting(mut self) -> Setting {
        Setting::Live(Box::new(move || self().into_value()))
    }
}

macro_rules! followed {
    ($($Signal:ident),*) => { $(
        impl<T, S> IntoSetting for $Signal<T, S>
        where
            T: IntoValue + Clone + 'static,
            S: Storage<T> + 'static,
            Self: Get<Value = T>,
        {
            fn into_setting(self) -> Setting {
                Setting::Live(Box::new(move || self.get().into_value()))
            }
        }
    )* };
}

followed!(Signal, RwSignal);

impl<T> IntoSetting for Memo<T>
where
    T: IntoValue + Clone + Send + Sync + 'static,
{
    fn into_setting(self) -> Setting {
        Setting::Live(Box::new(move || self.get().into_value()))
    }
}
