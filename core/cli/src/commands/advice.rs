//! `advice`: what to work on next after a take.

use crate::args::{AnalysisArgs, FileArgs, JsonArg};
use crate::inputs::Input;
use crate::json::{self, OfFile};
use crate::outcome::Outcome;
use crate::terminal::{HEADING, remark, say, styled, warn};
use crate::work;
use clap::Args;
use overbar_core::study::advice::advise;

/// Say what to work on next, with the evidence and the bars to listen to
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar advice solo.mid
  overbar advice class/*.mid
  overbar advice --json class/ > advice.json

A point is made only where a figure lies clearly beyond what recorded solos do.")]
pub(crate) struct AdviceArgs {
    #[command(flatten)]
    files: FileArgs,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &AdviceArgs) -> Result<Outcome, String> {
    let inputs = args.files.find(&args.analysis)?;
    let options = args.analysis.load_options(&inputs)?;
    let mut all_read = true;
    let advice =
        |input: &Input| input.load(&options).map(|file| (input.name(), advise(&file.analysis)));
    work::each("analysing", &inputs.files, advice, |result| match result {
        Ok((file, content)) if args.json.json => {
            all_read &= json::print(&OfFile { file: &file, content }).is_ok();
        }
        Ok((file, advice)) => {
            if inputs.are_several() {
                say(&styled(HEADING, &file));
            }
            say(advice.to_string().trim_end());
        }
        Err(what) => {
            warn(&what);
            all_read = false;
        }
    });
    if work::is_interrupted() {
        remark("interrupted: advice on the files above is whole");
        return Ok(Outcome::Interrupted);
    }
    Ok(inputs.outcome(all_read))
}
