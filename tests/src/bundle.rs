//! Locations of the built bundles.

use std::path::PathBuf;

/// The CLAP bundle.
///
/// # Panics
/// If it has not been built.
#[must_use]
pub fn clap() -> PathBuf {
    bundle("overbar.clap")
}

/// The VST3 bundle.
///
/// # Panics
/// If it has not been built.
#[must_use]
pub fn vst3() -> PathBuf {
    bundle("overbar.vst3")
}

fn bundle(name: &str) -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(
        || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../target")),
        PathBuf::from,
    );
    let path = target.join("bundled").join(name);
    assert!(path.exists(), "{} is missing: run `cargo xtask bundle` first", path.display());
    path
}
