//! One field and what was typed into it: a Leptos page with nothing else on it.

use leptos::prelude::*;

fn main() {
    console_error_panic_hook::set_once();
    leptos::mount::mount_to_body(|| {
        let typed = RwSignal::new(String::new());
        view! {
            <main>
                <input prop:value=typed on:input=move |event| typed.set(event_target_value(&event))/>
                <p>{move || typed.get()}</p>
            </main>
        }
    });
}
