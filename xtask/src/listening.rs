//! Scores the note tracker on rendered solos and the beat tracker on rendered bands, and checks their floors.

use crate::outcome::Outcome;
use crate::steps::{step, target};
use overbar_testkit::{labelled_solos, skipped};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The program that scores.
pub const PROGRAM: &str = "overbar-listening";

/// Where distributions install the soundfont of the published figures.
const FONTS: [&str; 2] =
    ["/usr/share/sounds/sf2/FluidR3_GM.sf2", "/usr/share/soundfonts/FluidR3_GM.sf2"];

/// A seed used for no tuning.
const SEED: &str = "9001";

/// Where they install one that no weights were fitted to.
const OTHER_FONTS: [&str; 2] =
    ["/usr/share/sounds/sf2/TimGM6mb.sf2", "/usr/share/soundfonts/TimGM6mb.sf2"];

/// Every n-th labelled solo, from the second on: even numbers, which nothing was fitted to.
const BANDS: [&str; 6] = ["--from", "1", "--every", "8", "--seed", "9"];

/// Scores the beat tracker. Skips with a warning if solos or the soundfont are missing.
pub fn bands() -> Outcome {
    let what = "beats followed in rendered bands";
    let Some(solos) = labelled_solos(what) else { return Outcome::Done };
    let Some(font) = OTHER_FONTS.iter().map(PathBuf::from).find(|font| Path::is_file(font)) else {
        skipped(&format!("{what}: the soundfont TimGM6mb is not installed"));
        return Outcome::Done;
    };
    let mut score = Command::new(program());
    score
        .args(["--band", "--floors"])
        .args(BANDS)
        .arg("--solos")
        .arg(solos)
        .arg("--font")
        .arg(font);
    step("rendered bands", &mut score)
}

/// Renders solos and scores the note tracker. Skips with a warning if there is no soundfont.
pub fn run() -> Outcome {
    let given = std::env::var_os("OVERBAR_SOUNDFONT").map(PathBuf::from);
    let known = FONTS.iter().map(PathBuf::from);
    let Some(font) = given.into_iter().chain(known).find(|font| Path::is_file(font)) else {
        skipped("notes heard in rendered solos: the soundfont FluidR3 GM is not installed");
        return Outcome::Done;
    };
    let mut score = Command::new(program());
    score.arg("--floors").args(["--seed", SEED, "--font"]).arg(font);
    step("rendered solos", &mut score)
}

fn program() -> PathBuf {
    target().join("release").join(format!("{PROGRAM}{}", std::env::consts::EXE_SUFFIX))
}
