//! How a take is notated.

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use overbar_core::output::notation::WritingOptions;
use overbar_core::theory::instrument::InstrumentPitch;
use overbar_core::theory::key::KeySignature;

/// How a take is written on a staff.
#[derive(Args)]
#[command(next_help_heading = "On a staff")]
pub(crate) struct ScoreArgs {
    /// Key signature at concert pitch, like Eb or Cm [default: the key that fits best]
    #[arg(long, value_name = "KEY", value_parser = key)]
    key: Option<KeySignature>,
    /// Write for an instrument in this pitch
    #[arg(long, value_name = "PITCH", default_value = "concert", value_parser = pitches())]
    written_for: InstrumentPitch,
}

/// The same for commands that also write MusicXML.
#[derive(Args)]
pub(crate) struct MusicXmlArgs {
    #[command(flatten)]
    score: ScoreArgs,
    /// In MusicXML, label each phrase with its start, like "& of 4"
    #[arg(long, help_heading = "On a staff")]
    starts_in_words: bool,
}

impl MusicXmlArgs {
    /// The options of the notation writer.
    pub(crate) fn options(&self) -> WritingOptions {
        WritingOptions { starts_in_words: self.starts_in_words, ..self.score.options() }
    }
}

impl ScoreArgs {
    /// The options of the notation writer.
    pub(crate) fn options(&self) -> WritingOptions {
        WritingOptions {
            signature: self.key,
            transposition: self.written_for.interval(),
            ..WritingOptions::default()
        }
    }
}

fn key(text: &str) -> Result<KeySignature, String> {
    KeySignature::named(text).ok_or_else(|| "a key is like C, Eb, F# or Cm".to_owned())
}

fn pitches() -> impl TypedValueParser<Value = InstrumentPitch> {
    let ids = InstrumentPitch::ALL.map(InstrumentPitch::id);
    PossibleValuesParser::new(ids).map(|id| InstrumentPitch::of_id(&id).unwrap_or_default())
}
