//! How a take is written on a staff.

use clap::{Args, ValueEnum};
use overbar_core::output::notation::WritingOptions;
use overbar_core::theory::interval::Interval;
use overbar_core::theory::key::KeySignature;

/// How a take is written on a staff.
#[derive(Args)]
#[command(next_help_heading = "On a staff")]
pub(crate) struct ScoreArgs {
    /// Key signature at concert pitch, like Eb or Cm [default: the key that fits best]
    #[arg(long, value_name = "KEY", value_parser = key)]
    key: Option<KeySignature>,
    /// Write for an instrument in this pitch
    #[arg(long, value_name = "PITCH", default_value = "concert")]
    written_for: Pitch,
}

/// The pitch of an instrument.
#[derive(Clone, Copy, ValueEnum)]
enum Pitch {
    Concert,
    // A major second up: trumpet, clarinet, soprano saxophone
    BFlat,
    // A major ninth up: tenor saxophone
    LowBFlat,
    // A major sixth up: alto saxophone
    EFlat,
    // An octave and a major sixth up: baritone saxophone
    LowEFlat,
    // A fifth up: horn
    F,
    // An octave up: guitar, double bass
    OctaveUp,
    // An octave down: piccolo
    OctaveDown,
}

impl Pitch {
    fn interval(self) -> Interval {
        match self {
            Self::Concert => Interval::CONCERT,
            Self::BFlat => Interval::B_FLAT,
            Self::LowBFlat => Interval::LOW_B_FLAT,
            Self::EFlat => Interval::E_FLAT,
            Self::LowEFlat => Interval::LOW_E_FLAT,
            Self::F => Interval::F,
            Self::OctaveUp => Interval::OCTAVE_UP,
            Self::OctaveDown => Interval::OCTAVE_DOWN,
        }
    }
}

impl ScoreArgs {
    /// The same for the writer.
    pub(crate) fn options(&self) -> WritingOptions {
        WritingOptions { signature: self.key, transposition: self.written_for.interval() }
    }
}

fn key(text: &str) -> Result<KeySignature, String> {
    KeySignature::named(text).ok_or_else(|| "a key is like C, Eb, F# or Cm".to_owned())
}
