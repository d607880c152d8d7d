//! The options of `score`.

use super::note_ends::NoteEnds;
use clap::Parser;
use overbar_cli::SettingsArgs;
use std::path::PathBuf;

/// The options.
#[derive(Parser)]
#[command(name = "cargo xtask score", no_binary_name = true)]
pub struct Options {
    /// Where labels.jsonl and midi/ are
    pub folder: PathBuf,
    /// Also score models fitted without the solos they are scored on
    #[arg(long)]
    pub cross_validate: bool,
    /// Also score what corrections teach
    #[arg(long)]
    pub taught: bool,
    /// Score beat grids from taps with a person's errors instead
    #[arg(long, conflicts_with_all = ["cross_validate", "taught", "gate", "legato", "fit", "json"])]
    pub taps: bool,
    /// Give every note this length, in milliseconds
    #[arg(long, value_name = "MS", value_parser = |text: &str| number(text, 10_000.0))]
    gate: Option<f64>,
    /// Fill rests shorter than this, in seconds
    #[arg(long, value_name = "SECONDS", conflicts_with = "gate")]
    #[arg(value_parser = |text: &str| number(text, 10.0))]
    legato: Option<f64>,
    /// Write weights fitted to all solos
    #[arg(long, value_name = "OUT")]
    pub fit: Option<PathBuf>,
    /// Write JSON
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub analysis: SettingsArgs,
}

impl Options {
    /// The change of note ends before the analysis.
    pub fn note_ends(&self) -> NoteEnds {
        match (self.gate, self.legato) {
            (Some(milliseconds), _) => NoteEnds::Gate { milliseconds },
            (_, Some(seconds)) => NoteEnds::Legato { seconds },
            _ => NoteEnds::AsPlayed,
        }
    }
}

fn number(text: &str, max: f64) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number| *number > 0.0 && *number <= max);
    number.ok_or(format!("not a number over 0 and up to {max}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::take::settings::{Feel, Melody, Pulse, Settings};

    fn parse(text: &str) -> Result<Options, String> {
        Options::try_parse_from(text.split_whitespace()).map_err(|error| error.to_string())
    }

    #[test]
    fn options_in_any_order() {
        let plain = parse("solos").unwrap();
        assert_eq!(plain.folder, PathBuf::from("solos"));
        assert_eq!(plain.note_ends(), NoteEnds::AsPlayed);
        assert!(!plain.json && !plain.taught && !plain.cross_validate && plain.fit.is_none());
        let all = "--json --gate 40 solos --fit weights.txt --taught --cross-validate";
        let all = parse(all).unwrap();
        assert_eq!(all.folder, PathBuf::from("solos"));
        assert_eq!(all.note_ends(), NoteEnds::Gate { milliseconds: 40.0 });
        assert!(all.json && all.taught && all.cross_validate);
        assert_eq!(all.fit, Some(PathBuf::from("weights.txt")));
        let legato = parse("solos --legato 0.15").unwrap();
        assert_eq!(legato.note_ends(), NoteEnds::Legato { seconds: 0.15 });
        let heard = parse("solos --melody all --feel swing --pulse half --latency -12.5").unwrap();
        let Settings { melody, feel, pulse, latency, .. } = heard.analysis.settings();
        assert_eq!((melody, feel, pulse), (Melody::All, Feel::Swing, Pulse::Half));
        assert!((latency.0 + 0.0125).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_understood_is_named() {
        for (asked, expected) in [
            ("", "<FOLDER>"),
            ("a b", "'b'"),
            ("a --grades", "'--grades'"),
            ("a --gate", "'--gate <MS>'"),
            ("a --gate x", "not a number over 0 and up to 10000"),
            ("a --gate 0", "not a number over 0"),
            ("a --legato NaN", "not a number over 0"),
            ("a --legato 11", "not a number over 0 and up to 10"),
            ("a --gate 40 --legato 0.1", "cannot be used with"),
            ("a --fit", "'--fit <OUT>'"),
            ("a --feel shuffle", "possible values: auto, straight, swing"),
            ("a --latency soon", "not a number from -100 to 300"),
        ] {
            let Err(refused) = parse(asked) else { panic!("{asked} was understood") };
            assert!(refused.contains(expected), "{asked}: {refused}");
        }
    }
}
