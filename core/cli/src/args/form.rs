//! The form of the tune.

use clap::Args;
use overbar_core::theory::form::{Form, Section};
use overbar_files::load::LoadedFile;

/// A chorus may end with this many bars of rest that are not in the file. Origin: common practice, no source.
const CLOSING_REST: i64 = 4;

/// The form of the tune.
#[derive(Args)]
#[command(next_help_heading = "Form of the tune")]
pub(crate) struct FormArgs {
    /// Bars in a chorus, from 1 to 999
    #[arg(long = "form", value_name = "BARS")]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=999))]
    pub bars: Option<u32>,
    /// Bar in which the first chorus starts [default: 1]
    #[arg(long, value_name = "BAR", allow_negative_numbers = true)]
    #[arg(value_parser = clap::value_parser!(i32).range(-999_999..=999_999))]
    pub first_bar: Option<i32>,
    /// Sections with their bars: "A8 A8 B8 A8"
    #[arg(long, value_name = "TEXT", requires = "bars")]
    sections: Option<String>,
    /// Chords of a chorus: "| Cm7 | F7 Bb7 | % |"
    #[arg(long, value_name = "TEXT", requires = "bars")]
    chords: Option<String>,
}

impl FormArgs {
    /// The form, if one was given.
    ///
    /// # Errors
    /// Why it is not valid.
    pub(crate) fn form(&self) -> Result<Option<Form>, String> {
        let Some(bars) = self.bars else {
            return match self.first_bar {
                Some(_) => Err("--first-bar needs --form BARS".to_owned()),
                None => Ok(None),
            };
        };
        let first_bar = self.first_bar.map_or(1, i64::from);
        let mut form = Form::new(bars, first_bar).map_err(|why| why.to_string())?;
        if let Some(text) = &self.sections {
            let sections = Section::list(text).map_err(|why| format!("--sections: {why}"))?;
            form = form.with_sections(sections).map_err(|why| format!("--sections: {why}"))?;
        }
        if let Some(text) = &self.chords {
            let chords = Form::bars_of_chords(text);
            if chords.len() != bars as usize {
                let count = chords.len();
                return Err(format!("--chords: {count} bars of chords, but --form {bars}"));
            }
            form = form.with_chords(chords).map_err(|why| format!("--chords: {why}"))?;
        }
        Ok(Some(form))
    }

    /// Checks that the file contains a whole chorus, except for a rest at its end.
    ///
    /// # Errors
    /// A line that names the file.
    pub(crate) fn must_fit(&self, file: &LoadedFile) -> Result<(), String> {
        let Some(bars) = self.bars else { return Ok(()) };
        let take = file.analysis.take();
        let Some(last) = take.soloist.notes().last() else { return Ok(()) };
        let first_bar = self.first_bar.map_or(1, i64::from);
        let held = take.metres.bar_at(last.on.beat).number - first_bar + 1;
        if held + CLOSING_REST >= i64::from(bars) {
            return Ok(());
        }
        let held = held.max(0);
        Err(format!("{}: only {held} bars, but --form {bars}", file.name))
    }
}
