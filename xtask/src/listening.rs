//! What the note tracker hears in rendered solos, against its floors.

use crate::steps::{step, target};
use overbar_cli::Outcome;
use overbar_testkit::skipped;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The program that scores.
pub const PROGRAM: &str = "overbar-listening";

/// Where distributions put the soundfont that the published figures are with.
const FONTS: [&str; 2] =
    ["/usr/share/sounds/sf2/FluidR3_GM.sf2", "/usr/share/soundfonts/FluidR3_GM.sf2"];

/// A seed that nothing is tuned on.
const SEED: &str = "9001";

/// Renders solos and scores the tracker. Skips with a warning where there is no soundfont.
pub fn run() -> Outcome {
    let told = std::env::var_os("OVERBAR_SOUNDFONT").map(PathBuf::from);
    let known = FONTS.iter().map(PathBuf::from);
    let Some(font) = told.into_iter().chain(known).find(|font| Path::is_file(font)) else {
        skipped("notes heard in rendered solos: the soundfont FluidR3 GM is not installed");
        return Outcome::Done;
    };
    let program = format!("{PROGRAM}{}", std::env::consts::EXE_SUFFIX);
    let mut score = Command::new(target().join("release").join(program));
    score.arg("--floors").args(["--seed", SEED, "--font"]).arg(font);
    step("rendered solos", &mut score)
}
