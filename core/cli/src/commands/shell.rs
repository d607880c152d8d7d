//! `completions` and `man`: generated from the command-line definition.

use crate::command_line;
use crate::outcome::Outcome;
use crate::terminal::{say, say_bytes};
use clap::Args;
use clap_complete::Shell;
use overbar_files::output::Output;
use std::path::PathBuf;

/// Write completions for a shell
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar completions bash > ~/.local/share/bash-completion/completions/overbar
  overbar completions zsh > ~/.zfunc/_overbar
  overbar completions fish > ~/.config/fish/completions/overbar.fish")]
pub(crate) struct CompletionsArgs {
    /// The shell
    shell: Shell,
}

/// Write man pages into a folder
#[derive(Args)]
#[command(after_help = "\
Example:
  overbar man ~/.local/share/man/man1")]
pub(crate) struct ManArgs {
    /// The folder, created if it does not exist
    folder: PathBuf,
    /// Replace pages that exist
    #[arg(short, long)]
    force: bool,
}

/// Runs `completions`.
pub(crate) fn completions(args: &CompletionsArgs) -> Outcome {
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut command_line(), "overbar", &mut bytes);
    say_bytes(&bytes);
    Outcome::Done
}

/// Runs `man`.
///
/// # Errors
/// A line that names a page that cannot be written.
pub(crate) fn man(args: &ManArgs) -> Result<Outcome, String> {
    let mut whole = command_line();
    whole.build();
    let mut pages = Vec::new();
    let named = |why: std::io::Error| format!("{}: {why}", args.folder.display());
    for command in std::iter::once(&whole).chain(whole.get_subcommands()) {
        if command.get_name() == "help" {
            continue;
        }
        // Such as overbar-review.1, the convention for programs with subcommands.
        let name = command.get_display_name().unwrap_or(command.get_name()).to_owned();
        let mut bytes = Vec::new();
        clap_mangen::Man::new(command.clone()).render(&mut bytes).map_err(named)?;
        pages.push((args.folder.join(format!("{name}.1")), bytes));
    }
    let output = Output::new(Vec::new(), args.force);
    std::fs::create_dir_all(&args.folder).map_err(named)?;
    output.write_all(&pages)?;
    pages.iter().for_each(|(path, _)| say(&path.display().to_string()));
    Ok(Outcome::Done)
}
