//! What the tests of the built plugin, the demo and the benchmarks share: songs, hosts to play
//! them in, and where the bundles are.

pub mod bundle;
pub mod host;
pub mod song;
