//! The options of `score`.

use super::note_ends::NoteEnds;
use crate::options::{SETTINGS, set};
use overbar_core::settings::Settings;
use std::ffi::OsString;
use std::path::PathBuf;

/// What is asked for.
#[derive(Debug, Default, PartialEq)]
pub struct Options {
    /// Where `labels.jsonl` is.
    pub folder: PathBuf,
    /// Also score models fitted without the solos they are scored on.
    pub cross_validate: bool,
    /// Also score what corrections teach.
    pub taught: bool,
    /// How note ends are changed before anything is heard.
    pub note_ends: NoteEnds,
    /// Where to write weights fitted to all solos.
    pub fit: Option<PathBuf>,
    /// Write JSON.
    pub json: bool,
    /// How the solos are heard.
    pub settings: Settings,
}

impl Options {
    /// # Errors
    /// A line that names what is wrong.
    pub fn parse(arguments: &[OsString]) -> Result<Self, String> {
        let mut options = Self::default();
        let mut folder = None;
        let mut rest = arguments.iter();
        while let Some(argument) = rest.next() {
            let text = argument.to_string_lossy();
            let mut value = || rest.next().ok_or(format!("{text} needs a value"));
            match text.as_ref() {
                "--cross-validate" => options.cross_validate = true,
                "--taught" => options.taught = true,
                "--json" => options.json = true,
                "--fit" => options.fit = Some(PathBuf::from(value()?)),
                "--gate" | "--legato" if options.note_ends != NoteEnds::AsPlayed => {
                    return Err("--gate or --legato, once".to_owned());
                }
                "--gate" => {
                    let ms = number(&text, value()?, 10_000.0)?;
                    options.note_ends = NoteEnds::Gate { milliseconds: ms };
                }
                "--legato" => {
                    let seconds = number(&text, value()?, 10.0)?;
                    options.note_ends = NoteEnds::Legato { seconds };
                }
                setting if SETTINGS.contains(&setting) => {
                    set(&mut options.settings, setting, value()?)?;
                }
                flag if flag.starts_with('-') => return Err(format!("{flag}: no such option")),
                _ if folder.is_some() => return Err(format!("{text}: one folder at a time")),
                _ => folder = Some(PathBuf::from(argument)),
            }
        }
        options.folder = folder.ok_or("score needs a folder with labels.jsonl and midi/")?;
        Ok(options)
    }
}

fn number(option: &str, figure: &OsString, most: f64) -> Result<f64, String> {
    let figure = figure.to_string_lossy();
    let number = figure.parse().ok().filter(|number| *number > 0.0 && *number <= most);
    number.ok_or(format!("{option} {figure}: not a number over 0 and up to {most}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::settings::Melody;
    use overbar_core::settings::{Feel, Pulse};

    fn parse(text: &str) -> Result<Options, String> {
        Options::parse(&text.split_whitespace().map(OsString::from).collect::<Vec<_>>())
    }

    #[test]
    fn options_in_any_order() {
        let folder = PathBuf::from("solos");
        assert_eq!(parse("solos"), Ok(Options { folder: folder.clone(), ..Options::default() }));
        let expected = Options {
            folder,
            cross_validate: true,
            taught: true,
            note_ends: NoteEnds::Gate { milliseconds: 40.0 },
            fit: Some(PathBuf::from("weights.txt")),
            json: true,
            settings: Settings::default(),
        };
        let asked = "--json --gate 40 solos --fit weights.txt --taught --cross-validate";
        assert_eq!(parse(asked), Ok(expected));
        let legato = parse("solos --legato 0.15").unwrap();
        assert_eq!(legato.note_ends, NoteEnds::Legato { seconds: 0.15 });
        let heard = parse("solos --melody all --feel swing --pulse half --latency -12.5").unwrap();
        let Settings { melody, feel, pulse, latency, .. } = heard.settings;
        assert_eq!((melody, feel, pulse), (Melody::All, Feel::Swing, Pulse::Half));
        assert!((latency.0 + 0.0125).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_understood_is_named() {
        for (asked, told) in [
            ("", "score needs a folder"),
            ("a b", "b: one folder"),
            ("a --grades", "--grades: no such option"),
            ("a --gate", "--gate needs a value"),
            ("a --gate x", "--gate x: not a number over 0 and up to 10000"),
            ("a --gate 0", "--gate 0: not a number"),
            ("a --legato NaN", "--legato NaN: not a number"),
            ("a --legato 11", "--legato 11: not a number"),
            ("a --gate 40 --legato 0.1", "--gate or --legato, once"),
            ("a --fit", "--fit needs a value"),
            ("a --feel shuffle", "--feel shuffle: there are auto, straight, swing"),
            ("a --latency soon", "--latency soon: not a number from -500 to 500"),
        ] {
            let refused = parse(asked).unwrap_err();
            assert!(refused.contains(told), "{asked}: {refused}");
        }
    }
}
