//! `state_review FILE`: the takes in a plugin's saved state, one line of JSON each, in the format of `review
//! --json`. Exit code 2 if it is not a state.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::review::Review;
use overbar_core::take::settings::Settings;
use std::process::ExitCode;

fn main() -> ExitCode {
    let path = std::env::args().nth(1).unwrap_or_default();
    match lines(&path) {
        Ok(lines) => {
            #[expect(clippy::print_stdout, reason = "what the program is for")]
            for line in lines {
                println!("{line}");
            }
            ExitCode::SUCCESS
        }
        #[expect(clippy::print_stderr, reason = "what is wrong")]
        Err(what) => {
            eprintln!("{path}: {what}");
            ExitCode::from(2)
        }
    }
}

fn lines(path: &str) -> Result<Vec<String>, String> {
    let state = std::fs::read(path).map_err(|error| error.to_string())?;
    let takes = overbar::host::state::takes_in(&state)?;
    let review = |(number, take)| {
        let analysis = TakeAnalysis::of(take, Settings::default());
        let review = Review::of_take(&format!("take {}", number + 1), &analysis);
        serde_json::to_string(&review).map_err(|error| error.to_string())
    };
    takes.into_iter().enumerate().map(review).collect()
}
