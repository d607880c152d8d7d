//! `review --report` and `review --export`: pages, tables and MIDI of files or of a folder.

use crate::hear::{Heard, hear, name, on_all_cores};
use crate::options::{Options, write};
use crate::outcome::{Outcome, say, warn};
use overbar_core::output::export::{
    Document, PhraseRow, figures_csv, file_name, midi, phrases_csv,
};
use overbar_core::output::report::{Entry, OwnSolos, TakeReport, index, take_report};
use overbar_core::study::compare::{Reference, ReferenceSolo, Style};
use overbar_core::theory::form::Form;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What every page is made with.
struct Bench<'a> {
    options: &'a Options,
    form: Option<Form>,
    reference: Option<Reference>,
}

/// Runs the command for a file, or for the MIDI files of a folder with an index over them.
pub fn run(options: &Options, files: &[PathBuf], is_folder: bool) -> Outcome {
    match made(options, files, is_folder) {
        Ok(outcome) => outcome,
        Err(what) => Outcome::Wrong(what),
    }
}

fn made(options: &Options, files: &[PathBuf], is_folder: bool) -> Result<Outcome, String> {
    options.spare_the_sources()?;
    let reference = options.reference.as_deref().map(reference).transpose()?;
    let bench = Bench { options, form: options.form()?, reference };
    let folders = [options.report.as_ref().filter(|_| is_folder), options.export.as_ref()];
    for folder in folders.into_iter().flatten() {
        std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    }
    let named = names(files);
    let written = on_all_cores(&named, |(path, stem)| bench.write(path, stem, is_folder));
    let mut wrong = false;
    let mut entries = Vec::new();
    for ((path, _), result) in named.iter().zip(written) {
        entries.push(result.unwrap_or_else(|what| {
            warn(&what);
            wrong = true;
            // The line begins with the whole path, which is the writer's own business.
            let why = what.strip_prefix(&format!("{}: ", path.display())).unwrap_or("not read");
            Entry { name: name(path), file: None, figures: Err(why.to_owned()) }
        }));
    }
    if let Some(folder) = options.report.as_ref().filter(|_| is_folder) {
        let path = folder.join("index.html");
        write(&path, index("All takes", &entries))?;
        say(&format!("{}: {} takes", path.display(), entries.len()));
    }
    Ok(if wrong { Outcome::WrongAndTold } else { Outcome::Done })
}

/// A name for what is written of each file: no two alike, also where a system takes capitals and
/// small letters for the same.
#[must_use]
pub fn names<'a>(files: &'a [PathBuf]) -> Vec<(&'a PathBuf, String)> {
    let mut taken = BTreeSet::from(["index".to_owned()]);
    let name_of = |path: &'a PathBuf| {
        let stem = file_name(&name(path));
        let mut unique = stem.clone();
        let mut number = 2;
        while !taken.insert(unique.to_lowercase()) {
            unique = format!("{stem} ({number})");
            number += 1;
        }
        (path, unique)
    };
    files.iter().map(name_of).collect()
}

/// The solos of a folder, to hold takes against. Files that cannot be read are told of.
///
/// # Errors
/// Where the folder can't be looked at or has no solo.
pub fn reference(folder: &Path) -> Result<Reference, String> {
    let (files, wrong) = crate::review::list(folder)?;
    wrong.iter().for_each(|what| warn(what));
    let solos = on_all_cores(&files, |path| {
        let heard = hear(path, &Options::default())?;
        let figures = heard.analysis.figures().clone();
        Ok::<_, String>(ReferenceSolo { name: heard.name, figures })
    });
    let told = |solo: Result<ReferenceSolo, String>| solo.map_err(|what| warn(&what)).ok();
    let set = Reference::of(solos.into_iter().filter_map(told).collect());
    if set.solos().is_empty() {
        return Err(format!("{}: no solo of eight phrases or more", folder.display()));
    }
    Ok(set)
}

impl Bench<'_> {
    /// Writes all that was asked for of one file, and gives its line of the index.
    fn write(&self, path: &Path, stem: &str, is_folder: bool) -> Result<Entry, String> {
        let heard = hear(path, self.options)?;
        let mut file = None;
        if let Some(report) = &self.options.report {
            let page = take_report(&self.report(&heard));
            let name = format!("{stem}.html");
            write(&if is_folder { report.join(&name) } else { report.clone() }, page)?;
            file = Some(name);
        }
        if let Some(folder) = &self.options.export {
            self.export(&heard, folder, stem)
                .map_err(|what| format!("{}: {what}", path.display()))?;
        }
        let figures = Ok(heard.analysis.figures().clone());
        Ok(Entry { name: heard.name, file, figures })
    }

    fn report<'a>(&'a self, heard: &'a Heard) -> TakeReport<'a> {
        TakeReport {
            name: &heard.name,
            note: "",
            analysis: &heard.analysis,
            form: self.form.as_ref(),
            style: self.options.style.unwrap_or(Style::All),
            own: self.reference.as_ref().map_or(OwnSolos::None, OwnSolos::Read),
        }
    }

    fn export(&self, heard: &Heard, folder: &Path, stem: &str) -> Result<(), String> {
        let (form, take) = (self.form.as_ref(), &heard.analysis);
        let document = Document::of(&heard.name, take.phrases(), form, &take.settings().alerts);
        let rows = PhraseRow::all(take.phrases(), form);
        let mut parts = vec![("take".to_owned(), &document.figures)];
        let of_form = document.choruses.iter().chain(&document.sections);
        parts.extend(of_form.map(|part| (part.part.clone(), &part.figures)));
        let parts: Vec<(&str, &str, _)> =
            parts.iter().map(|(part, f)| (heard.name.as_str(), part.as_str(), *f)).collect();
        let bytes =
            midi(&heard.name, take.take(), take.phrases()).map_err(|error| error.to_string())?;
        let json = serde_json::to_string_pretty(&document).map_err(|error| error.to_string())?;
        write(&folder.join(format!("{stem}.mid")), bytes)?;
        write(&folder.join(format!("{stem}.json")), json)?;
        write(&folder.join(format!("{stem}.phrases.csv")), phrases_csv(&heard.name, &rows))?;
        write(&folder.join(format!("{stem}.figures.csv")), figures_csv(&parts))
    }
}
