//! What the tests of the built plugin, the demo and the benchmarks share: songs, hosts to play
//! them in, and where the bundles are.

pub mod bundle;
pub mod host;
pub mod live;
pub mod practice;
pub mod smf;
pub mod song;

/// Says loudly that a check was skipped, and why.
#[expect(clippy::print_stderr, reason = "a skipped check must not go unseen")]
pub fn skipped(what: &str) {
    eprintln!("\n*** SKIPPED: {what} ***\n");
}
