//! What the tests of the built plugin, the demo and the benchmarks share.

pub mod song;
