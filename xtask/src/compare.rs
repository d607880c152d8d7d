//! `compare`: takes side by side.

use crate::outcome::{Outcome, say};
use overbar_core::figures::Figures;
use overbar_core::output::report::{CompareReport, OwnSolos, compare_report};
use overbar_core::settings::Settings;
use overbar_core::study::compare::{NamedTake, Style, against_norm, against_reference, compare};
use overbar_core::time::metre_map::MetreMap;
use overbar_files::load::load_all;
use overbar_files::options::{Options, write};
use overbar_files::report::reference;
use std::ffi::OsString;

const KNOWN: [&str; 6] = ["--json", "--track", "--channel", "--report", "--style", "--reference"];

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    compare_files(arguments).into()
}

fn compare_files(arguments: &[OsString]) -> Result<(), String> {
    let options = Options::parse(arguments, &KNOWN)?;
    options.spare_the_sources()?;
    let set = options.reference.as_deref().map(reference).transpose()?;
    let files = load_all(&options)?;
    let takes: Vec<NamedTake<'_>> = files
        .iter()
        .map(|file| NamedTake { name: &file.name, phrases: file.analysis.phrases() })
        .collect();
    let comparison = compare(&takes, &Settings::default().alerts).map_err(|e| e.to_string())?;
    if options.json {
        say(&serde_json::to_string(&comparison).map_err(|error| error.to_string())?);
    } else {
        for (take, file) in comparison.takes.iter().zip(&files) {
            say(&line(&take.name, &take.figures));
            let style = options.style.unwrap_or(Style::All);
            for text in against_norm(&take.figures, &file.analysis.take().metres, style) {
                say(&format!("  {text}"));
            }
            for text in set.iter().flat_map(|set| against_reference(&take.figures, set)) {
                say(&format!("  {text}"));
            }
        }
        comparison.sentences().for_each(|text| say(&text.text));
    }
    if let Some(path) = &options.report {
        let metres: Vec<&MetreMap> =
            files.iter().map(|file| &file.analysis.take().metres).collect();
        let page = compare_report(&CompareReport {
            title: "Takes compared",
            comparison: &comparison,
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
    let text = of.share().zip(of.interval()).map(|(share, (low, high))| {
        format!(
            "{:.0} % enter off the beat ({} of {}; 95 % interval {:.0} to {:.0} %)",
            share * 100.0,
            of.count,
            of.of,
            low * 100.0,
            high * 100.0
        )
    });
    format!("{name}: {}", text.unwrap_or_else(|| "no phrases".into()))
}
