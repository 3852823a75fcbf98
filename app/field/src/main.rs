//! The officer's phone page.

fn main() {}
