//! Placeholder until the app lands.
fn main() {}
