//! The commands, one file each.

mod advice;
mod calibrate;
mod chords;
mod class_tables;
mod comp;
mod compare;
mod corrections;
mod drill;
mod export;
mod pages;
mod panel;
mod progress;
mod review;
mod shell;

use crate::outcome::Outcome;
use clap::Subcommand;

#[derive(Subcommand)]
pub(crate) enum Command {
    Review(review::ReviewArgs),
    Compare(compare::CompareArgs),
    Comp(comp::CompArgs),
    Advice(advice::AdviceArgs),
    Chords(chords::ChordsArgs),
    Progress(progress::ProgressArgs),
    Drill(drill::DrillArgs),
    Calibrate(calibrate::CalibrateArgs),
    Export(export::ExportArgs),
    Panel(panel::PanelArgs),
    Completions(shell::CompletionsArgs),
    Man(shell::ManArgs),
}

impl Command {
    /// Runs it.
    pub(crate) fn run(self) -> Outcome {
        match self {
            Self::Review(args) => review::run(&args).into(),
            Self::Compare(args) => compare::run(&args).into(),
            Self::Comp(args) => comp::run(&args).into(),
            Self::Advice(args) => advice::run(&args).into(),
            Self::Chords(args) => chords::run(&args).into(),
            Self::Progress(args) => progress::run(&args).into(),
            Self::Drill(args) => drill::run(&args).into(),
            Self::Calibrate(args) => calibrate::run(&args).into(),
            Self::Export(args) => export::run(&args).into(),
            Self::Panel(args) => panel::run(&args).into(),
            Self::Completions(args) => shell::completions(&args),
            Self::Man(args) => shell::man(&args).into(),
        }
    }
}
