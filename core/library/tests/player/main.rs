//! Plays into a library until it is killed.
fn main() {}
