//! Pages, tables and MIDI of one or several files.

use crate::args::{FormArgs, ReferenceArgs};
use crate::inputs::{Input, Inputs};
use crate::json::{self, OfFile};
use crate::outcome::Outcome;
use crate::terminal::{remark, say, warn};
use crate::work;
use clap::ValueEnum;
use overbar_core::output::export::midi;
use overbar_core::output::notation::WritingOptions;
use overbar_core::output::report::{Entry, OwnSolos, TakeReport, index, take_report};
use overbar_core::phrase::figures::Figures;
use overbar_core::study::compare::{Reference, Style};
use overbar_core::theory::form::Form;
use overbar_files::load::{LoadOptions, LoadedFile, list, load, name, on_all_cores};
use overbar_files::output::{Output, names};
use overbar_files::score::{compressed, score};
use overbar_files::tables::tables;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What is written, and where.
pub(crate) struct Pages<'a> {
    pub options: &'a LoadOptions,
    pub form: Option<Form>,
    pub form_args: &'a FormArgs,
    /// A page, or a folder for several.
    pub report: Option<&'a Path>,
    /// The folder for MIDI and tables.
    pub export: Option<&'a Path>,
    /// Export only this kind of file.
    pub only: Option<Kind>,
    /// How a take is notated.
    pub writing: WritingOptions,
    pub reference: Option<&'a ReferenceArgs>,
    pub output: &'a Output,
    pub printed: Printed,
}

/// What is printed for each file.
pub(crate) enum Printed {
    Nothing,
    /// The files that were written.
    Paths,
    /// The same as JSON.
    Json,
}

/// A kind of exported file.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    Mid,
    Json,
    Csv,
    Musicxml,
    Mxl,
}

/// Endings of the exported files, and their kinds.
const EXPORTED: [(&str, Kind); 6] = [
    ("mid", Kind::Mid),
    ("json", Kind::Json),
    ("phrases.csv", Kind::Csv),
    ("figures.csv", Kind::Csv),
    ("musicxml", Kind::Musicxml),
    ("mxl", Kind::Mxl),
];

/// The written files of an input.
#[derive(Serialize)]
struct Written {
    written: Vec<String>,
    #[serde(skip)]
    entry: Entry,
    /// What could not be notated as played.
    #[serde(skip)]
    not_written: Vec<String>,
}

/// Writes the requested files for each input, and an index of the pages if there are several. If any of the
/// files exists, nothing is started.
///
/// # Errors
/// A line that says what is wrong.
pub(crate) fn write(inputs: &Inputs, pages: &Pages<'_>) -> Result<Outcome, String> {
    let several = inputs.are_several();
    let paths = inputs.paths();
    let named: Vec<(&Input, String)> =
        inputs.files.iter().zip(names(&paths)).map(|(input, (_, stem))| (input, stem)).collect();
    let index_page = pages.report.filter(|_| several).map(|folder| folder.join("index.html"));
    let outputs = named.iter().flat_map(|(_, stem)| pages.outputs(stem, several));
    let outputs: Vec<PathBuf> = outputs.chain(index_page.clone()).collect();
    pages.output.check(outputs.iter().map(PathBuf::as_path))?;
    let set = pages.reference.and_then(|args| args.reference.as_deref());
    let set = set.map(reference).transpose()?;
    for folder in [pages.report.filter(|_| several), pages.export].into_iter().flatten() {
        std::fs::create_dir_all(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    }
    let mut entries = Vec::new();
    let mut all_read = true;
    let each = |(input, stem): &(&Input, String)| {
        let written = pages.write(input, stem, several, set.as_ref());
        written
            .map(|written| (input.name(), written))
            .map_err(|why| (input.name(), name(&input.path), why))
    };
    work::each("writing", &named, each, |result| match result {
        Ok((file, content)) => {
            content.not_written.iter().for_each(|what| remark(&format!("{file}: {what}")));
            match pages.printed {
                Printed::Nothing => {}
                Printed::Paths => content.written.iter().for_each(|path| say(path)),
                Printed::Json => {
                    all_read &= json::print(&OfFile { file: &file, content: &content }).is_ok()
                }
            }
            entries.push(content.entry);
        }
        Err((file, name, what)) => {
            warn(&what);
            all_read = false;
            // The line starts with the full path, which a page does not show.
            let why = what.strip_prefix(&format!("{file}: ")).unwrap_or("not written");
            entries.push(Entry::unread(name, why.to_owned()));
        }
    });
    if work::is_interrupted() {
        let (done, all) = (entries.len(), named.len());
        remark(&format!("interrupted: {done} of {all} files are done"));
        return Ok(Outcome::Interrupted);
    }
    if let Some(path) = index_page {
        pages.output.write(&path, index("All takes", &entries))?;
        say(&format!("{}: {} takes", path.display(), entries.len()));
    }
    Ok(inputs.outcome(all_read))
}

/// The solos of a folder to compare takes with. Prints a line for each unreadable file.
///
/// # Errors
/// If the folder cannot be read or has no solo.
pub(crate) fn reference(folder: &Path) -> Result<Reference, String> {
    let (files, wrong) = list(folder)?;
    wrong.iter().for_each(|what| warn(what));
    let solos = on_all_cores(&files, |path| {
        let file = load(path, &LoadOptions::default())?;
        Ok::<_, String>(file.analysis.figures().clone())
    });
    let readable = |solo: Result<Figures, String>| solo.map_err(|what| warn(&what)).ok();
    let set = Reference::of(solos.into_iter().filter_map(readable).collect());
    if set.solos() == 0 {
        return Err(format!("{}: no file with 8 phrases or more", folder.display()));
    }
    Ok(set)
}

impl Pages<'_> {
    /// The files written for a take.
    fn outputs(&self, stem: &str, several: bool) -> Vec<PathBuf> {
        let page = self.report.map(|report| page(report, stem, several));
        let wanted = EXPORTED.iter().filter(|(_, kind)| self.wants(*kind));
        let exported = self.export.into_iter().flat_map(|folder| {
            wanted.clone().map(move |(extension, _)| folder.join(format!("{stem}.{extension}")))
        });
        page.into_iter().chain(exported).collect()
    }

    /// Whether a kind is wanted. Compressed MusicXML is written only on request.
    fn wants(&self, kind: Kind) -> bool {
        self.only.map_or(kind != Kind::Mxl, |only| only == kind)
    }

    /// Writes the files of a take.
    fn write(
        &self,
        input: &Input,
        stem: &str,
        several: bool,
        set: Option<&Reference>,
    ) -> Result<Written, String> {
        let loaded = input.load(self.options)?;
        self.form_args.must_fit(&loaded)?;
        let (mut contents, mut not_written) = (Vec::new(), Vec::new());
        if self.report.is_some() {
            contents.push(self.report(&loaded, set).into());
        }
        if self.export.is_some() {
            let exported = self.exported(&loaded, &mut not_written);
            contents.extend(exported.map_err(|why| format!("{}: {why}", input.name()))?);
        }
        let files: Vec<_> = self.outputs(stem, several).into_iter().zip(contents).collect();
        self.output.write_all(&files)?;
        let written = files.iter().map(|(path, _)| path.display().to_string()).collect();
        let file = self.report.map(|_| format!("{stem}.html"));
        let entry = Entry::of(loaded.name, file, &loaded.analysis);
        Ok(Written { written, entry, not_written })
    }

    fn report(&self, file: &LoadedFile, set: Option<&Reference>) -> String {
        take_report(&TakeReport {
            name: &file.name,
            note: "",
            analysis: &file.analysis,
            form: self.form.as_ref(),
            style: self.reference.map_or(Style::All, ReferenceArgs::style),
            own: set.map_or(OwnSolos::None, OwnSolos::Read),
            writing: self.writing,
        })
    }

    /// The wanted files in the order of [`EXPORTED`]; also reports what could not be notated as played.
    fn exported(
        &self,
        file: &LoadedFile,
        not_written: &mut Vec<String>,
    ) -> Result<Vec<Vec<u8>>, String> {
        let LoadedFile { name, analysis, recording } = file;
        let form = self.form.as_ref();
        let mut contents = Vec::new();
        if self.wants(Kind::Mid) {
            let midi = midi(name, analysis.take(), analysis.phrases());
            contents.push(midi.map_err(|why| why.to_string())?);
        }
        let tables = if self.wants(Kind::Json) || self.wants(Kind::Csv) {
            tables(name, analysis, form, recording.as_ref())?
        } else {
            Vec::new()
        };
        let kind_of = |ending: &str| {
            EXPORTED.iter().find(|(other, _)| *other == ending).map(|(_, kind)| *kind)
        };
        let wanted = tables
            .into_iter()
            .filter(|(ending, _)| kind_of(ending).is_some_and(|kind| self.wants(kind)));
        contents.extend(wanted.map(|(_, bytes)| bytes));
        if self.wants(Kind::Musicxml) || self.wants(Kind::Mxl) {
            let score = score(name, analysis, form, self.writing)?;
            let packed = self.wants(Kind::Mxl);
            contents.push(if packed { compressed(&score.document)? } else { score.document });
            not_written.extend(score.not_written);
        }
        Ok(contents)
    }
}

fn page(report: &Path, stem: &str, several: bool) -> PathBuf {
    if several { report.join(format!("{stem}.html")) } else { report.to_owned() }
}
