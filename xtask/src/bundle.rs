//! `bundle`: builds the plugin's bundles into `target/bundled`.

use crate::outcome::Outcome;
use crate::steps::{root, target};

/// Runs the command; arguments are passed on to `cargo build`.
pub fn run(arguments: &[String]) -> Outcome {
    let release = ["bundle", "overbar", "--release"].map(str::to_owned);
    let call = release.into_iter().chain(arguments.iter().cloned());
    in_root(|| nice_plug_xtask::main_with_args("cargo xtask", call))
}

/// Makes bundles from the last release build of the plugin.
pub fn of_built() -> Outcome {
    let release = ["--release".to_owned()];
    in_root(|| nice_plug_xtask::bundle(&target(), "overbar", &release, false))
}

/// The bundler reads and writes relative to the current folder.
fn in_root(bundle: impl FnOnce() -> nice_plug_xtask::Result<()>) -> Outcome {
    if let Err(error) = std::env::set_current_dir(root()) {
        return Outcome::Failed(format!("{}: {error}", root().display()));
    }
    match bundle() {
        Ok(()) => Outcome::Done,
        Err(error) => Outcome::Failed(format!("bundle: {error:#}")),
    }
}
