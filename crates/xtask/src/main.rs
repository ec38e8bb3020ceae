//! Placeholder until its first command lands.
fn main() {}
