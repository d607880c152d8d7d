//! Shared by the tests of the built plugin, the demo and the benchmarks: songs, hosts to play them in, and
//! the locations of the bundles.

pub mod bundle;
pub mod fault_table;
pub mod fuzz;
pub mod host;
pub mod live;
#[cfg(feature = "pictures")]
pub mod picture;
pub mod practice;
pub mod rehearsal;
pub mod smf;
#[cfg(feature = "faults")]
pub mod soak;
pub mod song;
pub mod sound;
#[cfg(target_os = "linux")]
pub mod window;
