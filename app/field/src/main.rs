//! The officer's phone page, started by the browser once the module is loaded.

fn main() {
    combgate_field::run();
}
