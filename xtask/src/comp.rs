//! `comp`: the best comp of several takes, as MIDI, as a cue list and as a page.

use crate::outcome::{Outcome, say};
use overbar_core::output::export::{cues_csv, midi};
use overbar_core::output::report::comp_report;
use overbar_core::study::comp::{Aim, By, Nudge, Sheet, Source, cues, cues_as_text};
use overbar_files::load::load_all;
use overbar_files::options::{Options, write};
use std::ffi::OsString;

const KNOWN: [&str; 12] = [
    "--track",
    "--channel",
    "--form",
    "--first-bar",
    "--sections",
    "--chords",
    "--by",
    "--aim",
    "--no-nudge",
    "--out",
    "--cues",
    "--report",
];

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    comp(arguments).into()
}

fn comp(arguments: &[OsString]) -> Result<(), String> {
    let options = Options::parse(arguments, &KNOWN)?;
    options.spare_the_sources()?;
    let form = options.form()?.ok_or("say how many bars a chorus has: --form N")?;
    let by = by(options.by.as_deref(), !form.sections().is_empty())?;
    let aims = aims(options.aim.as_deref().unwrap_or("clean,long,off-beat,seams"))?;
    let nudge = if options.no_nudge { Nudge::No } else { Nudge::ToRest };
    let files = load_all(&options)?;
    let sources: Vec<Source<'_>> =
        files.iter().map(|file| Source { name: &file.name, analysis: &file.analysis }).collect();
    let sheet = Sheet::new(&sources, &form, by).map_err(|e| e.to_string())?;
    let comp = sheet.propose(&aims, nudge).map_err(|e| e.to_string())?;
    let list = cues(&sheet, &comp);
    say(cues_as_text(&list).trim_end());
    if let Some(path) = &options.cues {
        let is_table = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
        write(path, if is_table { cues_csv(&list) } else { cues_as_text(&list) })?;
    }
    if let Some(path) = &options.out {
        let take = &comp.analysis;
        write(path, midi("comp", take.take(), take.phrases()).map_err(|e| e.to_string())?)?;
    }
    if let Some(path) = &options.report {
        write(path, comp_report("Comp", &sheet, &comp, &form))?;
    }
    Ok(())
}

fn by(text: Option<&str>, has_sections: bool) -> Result<By, String> {
    match text {
        None if has_sections => Ok(By::Section),
        None => Ok(By::Bars(4)),
        Some("chorus") => Ok(By::Chorus),
        Some("section") => Ok(By::Section),
        Some(bars) => match bars.parse() {
            Ok(bars @ 1..=999) => Ok(By::Bars(bars)),
            _ => Err(format!("--by {bars}: say chorus, section, or a number of bars")),
        },
    }
}

fn aims(text: &str) -> Result<Vec<Aim>, String> {
    let aim = |name: &str| {
        Aim::named(name.trim()).ok_or_else(|| {
            let names = Aim::ALL.map(Aim::name).join(", ");
            format!("--aim {name}: no such aim; there are {names}")
        })
    };
    text.split(',').map(aim).collect()
}
