//! `bundle`: builds the plugin's bundles into `target/bundled`.

use crate::steps::root;
use overbar_cli::Outcome;

/// Runs the command; arguments are handed on to `cargo build`.
pub fn run(arguments: &[String]) -> Outcome {
    let release = ["bundle", "overbar", "--release"].map(str::to_owned);
    let call = release.into_iter().chain(arguments.iter().cloned());
    if let Err(error) = std::env::set_current_dir(root()) {
        return Outcome::Failed(format!("{}: {error}", root().display()));
    }
    match nice_plug_xtask::main_with_args("cargo xtask", call) {
        Ok(()) => Outcome::Done,
        Err(error) => Outcome::Failed(format!("bundle: {error:#}")),
    }
}
