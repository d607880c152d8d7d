//! Options that `review`, `compare` and `comp` share.

use overbar_core::input::midi_file::Choice;
use overbar_core::output::review::ByHand;
use overbar_core::settings::Settings;
use overbar_core::study::compare::Style;
use overbar_core::theory::form::{Form, Section};
use overbar_core::time::SecondSpan;
use serde::de::DeserializeOwned;
use std::ffi::OsString;
use std::fmt::Display;
use std::path::PathBuf;
use std::str::FromStr;

/// What was asked for.
#[derive(Default)]
pub struct Options {
    /// Files and folders.
    pub paths: Vec<PathBuf>,
    /// `--json`.
    pub json: bool,
    /// `--track` and `--channel`.
    pub choice: Choice,
    /// `--report`.
    pub report: Option<PathBuf>,
    /// `--export`.
    pub export: Option<PathBuf>,
    /// `--reference`.
    pub reference: Option<PathBuf>,
    /// `--out`.
    pub out: Option<PathBuf>,
    /// `--cues`.
    pub cues: Option<PathBuf>,
    /// `--style`.
    pub style: Option<Style>,
    /// `--aim`.
    pub aim: Option<String>,
    /// `--by`.
    pub by: Option<String>,
    /// `--no-nudge`.
    pub no_nudge: bool,
    /// [`SETTINGS`].
    pub settings: Settings,
    /// `--corrections`.
    pub corrections: Option<PathBuf>,
    /// `--join` and `--split`.
    pub by_hand: Vec<ByHand>,
    form: Option<u32>,
    first_bar: Option<i64>,
    sections: Option<String>,
    chords: Option<String>,
}

impl Options {
    /// Reads a command line on which only the options `known` may stand.
    ///
    /// # Errors
    /// A line that says what is wrong.
    pub fn parse(arguments: &[OsString], known: &[&str]) -> Result<Self, String> {
        let mut options = Self::default();
        let mut rest = arguments.iter();
        while let Some(argument) = rest.next() {
            let flag = argument.to_string_lossy();
            if !flag.starts_with('-') {
                options.paths.push(PathBuf::from(argument));
                continue;
            }
            if !known.contains(&flag.as_ref()) {
                return Err(format!("{flag}: no such option"));
            }
            let mut value = || rest.next().ok_or(format!("{flag} needs something after it"));
            match flag.as_ref() {
                "--json" => options.json = true,
                "--no-nudge" => options.no_nudge = true,
                "--report" => options.report = Some(value()?.into()),
                "--export" => options.export = Some(value()?.into()),
                "--reference" => options.reference = Some(value()?.into()),
                "--out" => options.out = Some(value()?.into()),
                "--cues" => options.cues = Some(value()?.into()),
                "--aim" => options.aim = Some(value()?.to_string_lossy().into_owned()),
                "--by" => options.by = Some(value()?.to_string_lossy().into_owned()),
                "--sections" => options.sections = Some(value()?.to_string_lossy().into_owned()),
                "--chords" => options.chords = Some(value()?.to_string_lossy().into_owned()),
                "--style" => {
                    let name = value()?.to_string_lossy();
                    options.style = Some(Style::named(&name).ok_or_else(|| {
                        let names = Style::ALL.map(Style::name).join(", ");
                        format!("--style {name}: no such style; there are {names}")
                    })?);
                }
                "--corrections" => options.corrections = Some(value()?.into()),
                "--join" | "--split" => {
                    let place = value()?.to_string_lossy();
                    let place = place.parse().map_err(|e| format!("{flag} {e}"))?;
                    options.by_hand.push(ByHand { place, begins: flag == "--split" });
                }
                setting if SETTINGS.contains(&setting) => {
                    set(&mut options.settings, setting, value()?)?;
                }
                "--first-bar" => {
                    options.first_bar = Some(number(&flag, rest.next(), -999_999, 999_999)?);
                }
                "--form" => options.form = Some(number(&flag, rest.next(), 1, 999)?),
                "--channel" => options.choice.channel = Some(number(&flag, rest.next(), 1, 16)?),
                _ => options.choice.track = Some(number(&flag, rest.next(), 1, 65_535)?),
            }
        }
        Ok(options)
    }

    /// The form that was asked for; `None` where none was.
    ///
    /// # Errors
    /// Why it is none.
    pub fn form(&self) -> Result<Option<Form>, String> {
        let Some(bars) = self.form else {
            let alone =
                self.sections.is_some() || self.chords.is_some() || self.first_bar.is_some();
            return if alone {
                Err("say how many bars a chorus has: --form N".into())
            } else {
                Ok(None)
            };
        };
        let mut form = Form::new(bars, self.first_bar.unwrap_or(1)).map_err(|e| e.to_string())?;
        if let Some(text) = &self.sections {
            let sections = Section::list(text).map_err(|e| format!("--sections: {e}"))?;
            form = form.with_sections(sections).map_err(|e| format!("--sections: {e}"))?;
        }
        if let Some(text) = &self.chords {
            let chords = Form::bars_of_chords(text);
            form = form.with_chords(chords).map_err(|e| format!("--chords: {e}"))?;
        }
        Ok(Some(form))
    }

    /// The files to be written, none of which may be one that is read.
    ///
    /// # Errors
    /// A line that names it.
    pub fn spare_the_sources(&self) -> Result<(), String> {
        for out in [&self.report, &self.out, &self.cues].into_iter().flatten() {
            let same = |path: &PathBuf| {
                let whole = |p: &PathBuf| std::fs::canonicalize(p).ok();
                path == out || whole(path).is_some_and(|p| whole(out) == Some(p))
            };
            if self.paths.iter().any(|path| path.is_file() && same(path)) {
                return Err(format!("{}: it would be written over", out.display()));
            }
        }
        Ok(())
    }
}

/// Options that change how a line is heard.
pub const SETTINGS: [&str; 4] = ["--melody", "--feel", "--pulse", "--latency"];

/// The longest delay of a rig, in milliseconds.
const LONGEST_DELAY: f64 = 500.0;

/// Sets the setting that `flag`, one of [`SETTINGS`], stands for.
///
/// # Errors
/// A line that says what is wrong.
pub fn set(settings: &mut Settings, flag: &str, value: &OsString) -> Result<(), String> {
    let text = value.to_string_lossy();
    match flag {
        "--melody" => settings.melody = named(flag, &text, "auto, top, all")?,
        "--feel" => settings.feel = named(flag, &text, "auto, straight, swing")?,
        "--pulse" => settings.pulse = named(flag, &text, "host, half, double")?,
        _ => {
            let ms = number(flag, Some(value), -LONGEST_DELAY, LONGEST_DELAY)?;
            settings.latency = SecondSpan(ms / 1e3);
        }
    }
    Ok(())
}

/// A setting by the name that it is saved under.
fn named<T: DeserializeOwned>(flag: &str, name: &str, names: &str) -> Result<T, String> {
    serde_json::from_value(name.into()).map_err(|_| format!("{flag} {name}: there are {names}"))
}

fn number<N>(flag: &str, value: Option<&OsString>, least: N, most: N) -> Result<N, String>
where
    N: FromStr + PartialOrd + Display,
{
    let figure = value.ok_or(format!("{flag} needs a number"))?.to_string_lossy();
    let number = figure.parse().ok().filter(|number| (&least..=&most).contains(&number));
    number.ok_or(format!("{flag} {figure}: not a number from {least} to {most}"))
}

/// Writes a file.
///
/// # Errors
/// A line that names it and the reason.
pub fn write(path: &std::path::Path, bytes: impl AsRef<[u8]>) -> Result<(), String> {
    std::fs::write(path, bytes).map_err(|error| format!("{}: {error}", path.display()))
}
