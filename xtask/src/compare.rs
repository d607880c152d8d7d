//! `compare`: takes side by side.

use crate::hear::hear_all;
use crate::options::{Options, write};
use crate::outcome::{Outcome, say};
use overbar_core::figures::Figures;
use overbar_core::output::report::{CompareReport, OwnSolos, compare_report};
use overbar_core::settings::Settings;
use overbar_core::study::compare::{Style, Take, against_norm, against_reference, compare};
use overbar_core::time::metre_map::MetreMap;
use overbar_files::report::reference;

use std::ffi::OsString;

const KNOWN: [&str; 6] = ["--json", "--track", "--channel", "--report", "--style", "--reference"];

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    match made(arguments) {
        Ok(()) => Outcome::Done,
        Err(what) => Outcome::Wrong(what),
    }
}

fn made(arguments: &[OsString]) -> Result<(), String> {
    let options = Options::parse(arguments, &KNOWN)?;
    options.spare_the_sources()?;
    let set = options.reference.as_deref().map(reference).transpose()?;
    let heard = hear_all(&options)?;
    let takes: Vec<Take<'_>> =
        heard.iter().map(|h| Take { name: &h.name, phrases: h.analysis.phrases() }).collect();
    let made = compare(&takes, &Settings::default().alerts).map_err(|e| e.to_string())?;
    if options.json {
        say(&serde_json::to_string(&made).map_err(|error| error.to_string())?);
    } else {
        for (take, heard) in made.takes.iter().zip(&heard) {
            say(&line(&take.name, &take.figures));
            let style = options.style.unwrap_or(Style::All);
            for told in against_norm(&take.figures, &heard.analysis.take().metres, style) {
                say(&format!("  {told}"));
            }
            for told in set.iter().flat_map(|set| against_reference(&take.figures, set)) {
                say(&format!("  {told}"));
            }
        }
        made.sentences().for_each(|told| say(&told.to_string()));
    }
    if let Some(path) = &options.report {
        let metres: Vec<&MetreMap> =
            heard.iter().map(|heard| &heard.analysis.take().metres).collect();
        let page = compare_report(&CompareReport {
            title: "Takes compared",
            comparison: &made,
            takes: &takes,
            metres: &metres,
            style: options.style.unwrap_or(Style::All),
            own: set.as_ref().map_or(OwnSolos::None, OwnSolos::Read),
        });
        write(path, page)?;
    }
    Ok(())
}

fn line(name: &str, figures: &Figures) -> String {
    let of = figures.off_beat_entries;
    let told = of.share().zip(of.interval()).map(|(share, (low, high))| {
        format!(
            "{:.0} % enter off the beat ({} of {}; 95 % interval {:.0} to {:.0} %)",
            share * 100.0,
            of.count,
            of.of,
            low * 100.0,
            high * 100.0
        )
    });
    format!("{name}: {}", told.unwrap_or_else(|| "no phrases".into()))
}
