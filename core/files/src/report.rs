//! `review --report` and `review --export`: pages, tables and MIDI of a file or a folder.

use crate::load::{LoadedFile, list, load, name, on_all_cores};
use crate::options::{Options, write};
use crate::outcome::{Outcome, say, warn};
use crate::tables::tables;
use overbar_core::figures::Figures;
use overbar_core::output::export::{file_name, midi};
use overbar_core::output::report::{Entry, OwnSolos, TakeReport, index, take_report};
use overbar_core::study::compare::{Reference, Style};
use overbar_core::theory::form::Form;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What all pages have in common.
struct ReportWriter<'a> {
    options: &'a Options,
    form: Option<Form>,
    reference: Option<Reference>,
    is_folder: bool,
}

/// Writes what `options` ask for of each file, and an index over the files of a folder.
///
/// # Errors
/// A line that says what is wrong.
pub fn run(options: &Options, files: &[PathBuf], is_folder: bool) -> Result<Outcome, String> {
    options.spare_the_sources()?;
    let reference = options.reference.as_deref().map(reference).transpose()?;
    let writer = ReportWriter { options, form: options.form()?, reference, is_folder };
    let pages = options.report.as_ref().filter(|_| is_folder);
    for folder in [pages, options.export.as_ref()].into_iter().flatten() {
        std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    }
    let named = names(files);
    let written = on_all_cores(&named, |(path, stem)| writer.write(path, stem));
    let mut wrong = false;
    let mut entries = Vec::new();
    for ((path, _), result) in named.iter().zip(written) {
        entries.push(result.unwrap_or_else(|what| {
            warn(&what);
            wrong = true;
            // The page does not reveal the whole path, which the line starts with.
            let why = what.strip_prefix(&format!("{}: ", path.display())).unwrap_or("not read");
            Entry::unread(name(path), why.to_owned())
        }));
    }
    if let Some(folder) = pages {
        let path = folder.join("index.html");
        write(&path, index("All takes", &entries))?;
        say(&format!("{}: {} takes", path.display(), entries.len()));
    }
    Ok(if wrong { Outcome::WrongAndTold } else { Outcome::Done })
}

/// A file name for the output of each file. No two are alike, even where the system ignores case.
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

/// The solos of a folder, to compare takes with. Prints a line for each unreadable file.
///
/// # Errors
/// If the folder cannot be read or has no solo.
pub fn reference(folder: &Path) -> Result<Reference, String> {
    let (files, wrong) = list(folder)?;
    wrong.iter().for_each(|what| warn(what));
    let solos = on_all_cores(&files, |path| {
        let file = load(path, &Options::default())?;
        Ok::<_, String>(file.analysis.figures().clone())
    });
    let readable = |solo: Result<Figures, String>| solo.map_err(|what| warn(&what)).ok();
    let set = Reference::of(solos.into_iter().filter_map(readable).collect());
    if set.solos() == 0 {
        return Err(format!("{}: no solo of eight phrases or more", folder.display()));
    }
    Ok(set)
}

impl ReportWriter<'_> {
    /// Writes the page and the tables of a file; returns its line in the index.
    fn write(&self, path: &Path, stem: &str) -> Result<Entry, String> {
        let loaded = load(path, self.options)?;
        let mut file = None;
        if let Some(report) = &self.options.report {
            let page = take_report(&self.report(&loaded));
            let name = format!("{stem}.html");
            write(&if self.is_folder { report.join(&name) } else { report.clone() }, page)?;
            file = Some(name);
        }
        if let Some(folder) = &self.options.export {
            self.export(&loaded, folder, stem)
                .map_err(|what| format!("{}: {what}", path.display()))?;
        }
        Ok(Entry::of(loaded.name, file, &loaded.analysis))
    }

    fn report<'a>(&'a self, file: &'a LoadedFile) -> TakeReport<'a> {
        TakeReport {
            name: &file.name,
            note: "",
            analysis: &file.analysis,
            form: self.form.as_ref(),
            style: self.options.style.unwrap_or(Style::All),
            own: self.reference.as_ref().map_or(OwnSolos::None, OwnSolos::Read),
        }
    }

    fn export(&self, file: &LoadedFile, folder: &Path, stem: &str) -> Result<(), String> {
        let LoadedFile { name, analysis } = file;
        let midi =
            midi(name, analysis.take(), analysis.phrases()).map_err(|error| error.to_string())?;
        write(&folder.join(format!("{stem}.mid")), midi)?;
        for (extension, bytes) in tables(name, analysis, self.form.as_ref())? {
            write(&folder.join(format!("{stem}.{extension}")), bytes)?;
        }
        Ok(())
    }
}
