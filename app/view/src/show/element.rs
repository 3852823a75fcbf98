//! An element on the page: what follows signals, who listens, what is in it.

use super::spoken::Saying;
use super::{Shown, all_alike, dom, follow};
use crate::element::{Element, Kind, Listener, Parts};
use crate::set::{Setting, Value};
use js_sys::Reflect;
use reactive_graph::effect::RenderEffect;
use std::borrow::Cow;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::Event;

pub(super) struct ShownElement {
    pub(super) element: web_sys::Element,
    written: &'static str,
    settings: Vec<ShownSetting>,
    listeners: Vec<ShownListener>,
    children: Vec<Shown>,
}

struct ShownSetting {
    kind: Kind,
    name: &'static str,
    /// What it was set to last.
    value: Rc<RefCell<Value>>,
    follows: Option<RenderEffect<()>>,
    says: Option<Saying>,
}

struct ShownListener {
    event: &'static str,
    hears: Rc<RefCell<Listener>>,
    /// Kept as long as the element listens.
    _called: Closure<dyn FnMut(Event)>,
}

impl ShownElement {
    pub(super) fn of(Element(parts): Element) -> Self {
        let Parts {
            written,
            of_picture,
            settings,
            listeners,
            children,
        } = *parts;
        let element = dom::element(written, of_picture);
        let listeners = listeners
            .into_iter()
            .map(|(event, listener)| ShownListener::of(&element, event, listener))
            .collect();
        let children: Vec<_> = children.into_iter().map(Shown::of).collect();
        for child in &children {
            child.mount(&element, None);
        }
        // After what is in it: a list has no choice before it has options.
        let settings = settings
            .into_iter()
            .map(|(kind, name, setting)| {
                let mut shown = ShownSetting {
                    kind,
                    name,
                    value: Rc::new(RefCell::new(Value::Absent)),
                    follows: None,
                    says: None,
                };
                shown.set(&element, setting);
                shown
            })
            .collect();
        Self {
            element,
            written,
            settings,
            listeners,
            children,
        }
    }

    /// Whether it can become like another without being made anew.
    pub(super) fn is_alike(&self, Element(parts): &Element) -> bool {
        self.written == parts.written
            && self.settings.len() == parts.settings.len()
            && self.listeners.len() == parts.listeners.len()
            && (self.settings.iter().zip(&parts.settings))
                .all(|(shown, (kind, name, _))| shown.kind == *kind && shown.name == *name)
            && (self.listeners.iter().zip(&parts.listeners))
                .all(|(shown, (event, _))| shown.event == *event)
    }

    pub(super) fn become_like(&mut self, Element(parts): Element) {
        for (shown, (_, listener)) in self.listeners.iter().zip(parts.listeners) {
            drop(shown.hears.replace(listener));
        }
        let children = std::mem::take(&mut self.children);
        self.children = all_alike(children, parts.children, &self.element, None);
        for (shown, (_, _, setting)) in self.settings.iter_mut().zip(parts.settings) {
            shown.set(&self.element, setting);
        }
    }
}

impl ShownSetting {
    fn set(&mut self, element: &web_sys::Element, setting: Setting) {
        // Lets go of what it followed before.
        drop((self.follows.take(), self.says.take()));
        let (kind, name) = (self.kind, self.name);
        match setting {
            Setting::Fixed(value) => change(element, kind, name, &self.value, value),
            Setting::Spoken(spoken) => {
                let (element, before) = (element.clone(), Rc::clone(&self.value));
                let say = move |words| {
                    let value = Value::Text(Cow::Borrowed(words));
                    change(&element, kind, name, &before, value);
                };
                say(spoken.now());
                self.says = Some(Saying::by(Box::new(say), spoken));
            }
            Setting::Live(mut give) => {
                let (element, before) = (element.clone(), Rc::clone(&self.value));
                self.follows = Some(follow(Box::new(move || {
                    change(&element, kind, name, &before, give.give());
                })));
            }
        }
    }
}

/// Sets what is not so already.
fn change(
    element: &web_sys::Element,
    kind: Kind,
    name: &'static str,
    before: &RefCell<Value>,
    value: Value,
) {
    if *before.borrow() == value {
        return;
    }
    match kind {
        Kind::Attribute => {
            let _ = match &value {
                Value::Absent | Value::Flag(false) => element.remove_attribute(name),
                Value::Flag(true) => element.set_attribute(name, ""),
                Value::Text(text) => element.set_attribute(name, text),
            };
        }
        Kind::Property => {
            let wanted = match &value {
                Value::Absent => JsValue::NULL,
                Value::Flag(flag) => JsValue::from_bool(*flag),
                Value::Text(text) => JsValue::from_str(text),
            };
            let name = JsValue::from_str(name);
            // What somebody just typed is there already; to set it would move the cursor.
            if Reflect::get(element, &name).as_ref() != Ok(&wanted) {
                let _ = Reflect::set(element, &name, &wanted);
            }
        }
        Kind::Class => {
            let on = value == Value::Flag(true);
            let _ = element.class_list().toggle_with_force(name, on);
        }
    }
    before.replace(value);
}

impl ShownListener {
    fn of(element: &web_sys::Element, event: &'static str, listener: Listener) -> Self {
        let hears = Rc::new(RefCell::new(listener));
        let told = Rc::clone(&hears);
        let callback = Closure::wrap(Box::new(move |event: Event| {
            // While it hears it cannot be called again; no listener of ours makes its own event.
            if let Ok(mut hear) = told.try_borrow_mut() {
                hear.hear(event);
            }
        }) as Box<dyn FnMut(Event)>);
        let _ = element.add_event_listener_with_callback(event, callback.as_ref().unchecked_ref());
        Self {
            event,
            hears,
            _called: callback,
        }
    }
}
