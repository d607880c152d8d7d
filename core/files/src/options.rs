//! The options of the commands that read MIDI files.

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

/// A command line.
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
    /// `--drill`.
    pub drill: Option<OsString>,
    /// `--count-in`.
    pub count_in: Option<u32>,
    /// `--choruses`.
    pub choruses: Option<u32>,
    /// `--pass`.
    pub pass: Option<f64>,
    /// `--on`.
    pub on: Option<String>,
    /// [`SETTINGS`].
    pub settings: Settings,
    /// `--corrections`.
    pub corrections: Option<PathBuf>,
    /// `--join` and `--split`.
    pub by_hand: Vec<ByHand>,
    /// `--form`.
    pub bars: Option<u32>,
    /// `--first-bar`.
    pub first_bar: Option<i32>,
    /// `--chords`: of a form, or a file.
    pub chords: Option<OsString>,
    /// `--sections`.
    pub sections: Option<String>,
}

impl Options {
    /// Parses a command line that may have only the options `known`.
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
            let mut value = || rest.next().ok_or(format!("{flag} needs a value"));
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
                "--on" => options.on = Some(value()?.to_string_lossy().into_owned()),
                "--chords" => options.chords = Some(value()?.clone()),
                "--drill" => options.drill = Some(value()?.clone()),
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
                "--form" => options.bars = Some(number(&flag, rest.next(), 1, 999)?),
                "--count-in" => options.count_in = Some(number(&flag, rest.next(), 0, 999)?),
                "--choruses" => options.choruses = Some(number(&flag, rest.next(), 1, 999)?),
                "--pass" => options.pass = Some(number(&flag, rest.next(), 0.0, 1.0)?),
                "--channel" => options.choice.channel = Some(number(&flag, rest.next(), 1, 16)?),
                _ => options.choice.track = Some(number(&flag, rest.next(), 1, 65_535)?),
            }
        }
        Ok(options)
    }

    /// The file or folder of a command that takes one.
    ///
    /// # Errors
    /// `none` if there is none, or `more` about the second.
    pub fn one_path(&self, none: &str, more: &str) -> Result<PathBuf, String> {
        match self.paths.as_slice() {
            [path] => Ok(path.clone()),
            [] => Err(none.to_owned()),
            [_, second, ..] => Err(format!("{}: {more}", second.display())),
        }
    }

    /// The form, if any.
    ///
    /// # Errors
    /// Why it is not valid.
    pub fn form(&self) -> Result<Option<Form>, String> {
        let Some(bars) = self.bars else {
            let alone =
                self.sections.is_some() || self.chords.is_some() || self.first_bar.is_some();
            return if alone {
                Err("say how many bars a chorus has: --form N".into())
            } else {
                Ok(None)
            };
        };
        let first_bar = self.first_bar.map_or(1, i64::from);
        let mut form = Form::new(bars, first_bar).map_err(|e| e.to_string())?;
        if let Some(text) = &self.sections {
            let sections = Section::list(text).map_err(|e| format!("--sections: {e}"))?;
            form = form.with_sections(sections).map_err(|e| format!("--sections: {e}"))?;
        }
        if let Some(text) = &self.chords {
            let chords = Form::bars_of_chords(&text.to_string_lossy());
            form = form.with_chords(chords).map_err(|e| format!("--chords: {e}"))?;
        }
        Ok(Some(form))
    }

    /// Checks that no file to be written is one that is read.
    ///
    /// # Errors
    /// A line that names the file.
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

/// Options that change the analysis.
pub const SETTINGS: [&str; 4] = ["--melody", "--feel", "--pulse", "--latency"];

/// The longest input latency, in milliseconds.
const LONGEST_DELAY: f64 = 500.0;

/// Sets the setting of `flag`, one of [`SETTINGS`].
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

/// A setting by its serialised name.
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
