//! The clerk's desk.

fn main() {}
