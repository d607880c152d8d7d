//! The contents of exported files.

use crate::command::export::FileKind;
use crate::jobs::analyses::Analyses;
use crate::jobs::comp::request::{CompareRequest, Copied};
use crate::jobs::files::own_sets::OwnSets;
use crate::view_model::own_set::OwnSet;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::export::{cues_csv, file_name, midi};
use overbar_core::output::notation::WritingOptions;
use overbar_core::output::report::{
    CompareReport, OwnSolos, TakeReport, comp_report, compare_report, take_report,
};
use overbar_core::study::comp::{cues, cues_as_text};
use overbar_core::study::compare::Style;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::Form;
use overbar_core::time::metre_map::MetreMap;
use overbar_files::score::score;
use overbar_files::tables::{File, tables};
use std::sync::Arc;

/// A document to write.
pub enum Document {
    /// A take.
    Take(TakeDocument),
    /// The selected takes compared, also with the user's own set.
    Comparison(CompareRequest, OwnSetRequest),
    /// The comp of the selected takes.
    Comp(CompareRequest),
}

/// A take with everything that its files show.
pub struct TakeDocument {
    /// The take.
    pub copy: Copied,
    /// The user's note on it.
    pub remark: String,
    /// The tune's form.
    pub form: Option<Form>,
    /// The analysis settings.
    pub settings: Settings,
    /// Cached analyses.
    pub analyses: Arc<Analyses>,
    /// The style of recorded solos to compare with.
    pub style: Style,
    /// How it is notated.
    pub writing: WritingOptions,
    /// The user's own set to compare with.
    pub own: OwnSetRequest,
}

/// The user's own set, not read yet.
#[derive(Clone)]
pub struct OwnSetRequest {
    /// Its folder, as typed; empty for none.
    pub folder: String,
    /// The sets that were read.
    pub sets: Arc<OwnSets>,
}

/// Files, and sentences about what could not be notated as played.
#[derive(Default)]
pub struct Files {
    /// The files by their endings.
    pub files: Vec<File>,
    /// What could not be notated as played.
    pub not_written: Vec<String>,
}

impl From<Vec<File>> for Files {
    fn from(files: Vec<File>) -> Self {
        Self { files, not_written: Vec::new() }
    }
}

const READING_OWN: &str = "reading the reference folder";
const NOT_WRITTEN: &str = "Not available in this format.";

impl OwnSetRequest {
    /// The set, or why it could not be read; the rest is written either way.
    fn read(
        &self,
        settings: Settings,
        working: &impl Fn(String) -> Result<(), String>,
    ) -> Result<Option<Arc<OwnSet>>, String> {
        self.sets.get(&self.folder, settings, |_, _| working(READING_OWN.to_owned()))
    }
}

/// The set in the form that a page needs.
pub(super) fn own_solos(own: &Result<Option<Arc<OwnSet>>, String>) -> OwnSolos<'_> {
    match own {
        Ok(Some(set)) => OwnSolos::Read(&set.solos),
        Ok(None) => OwnSolos::None,
        Err(why) => OwnSolos::Unread(why),
    }
}

impl Document {
    /// The name without extension, and the files. `working` reports progress and may cancel.
    ///
    /// # Errors
    /// A sentence for the user.
    pub fn files(
        &self,
        kind: FileKind,
        working: &impl Fn(String) -> Result<(), String>,
    ) -> Result<(String, Files), String> {
        match self {
            Self::Take(take) => Ok((file_name(&take.title()), take.files(kind, working)?)),
            Self::Comparison(request, own) => {
                let stem = file_name(&format!("Comparison of {}", titles(request)));
                match kind {
                    FileKind::Page => {
                        let page = comparison_page(request, own, working)?;
                        Ok((stem, vec![("html", page.into())].into()))
                    }
                    _ => Err(NOT_WRITTEN.to_owned()),
                }
            }
            Self::Comp(request) => {
                let title = format!("Comp of {}", titles(request));
                Ok((file_name(&title), comp_files(request, &title, kind)?))
            }
        }
    }
}

impl TakeDocument {
    fn title(&self) -> String {
        let take = &self.copy.title;
        let phrase = self.writing.phrase.map(|index| format!("{take}, phrase {}", index + 1));
        phrase.unwrap_or_else(|| take.clone())
    }

    fn files(
        &self,
        kind: FileKind,
        working: &impl Fn(String) -> Result<(), String>,
    ) -> Result<Files, String> {
        let analysis = self.analyses.of(&self.copy.notes, &self.settings);
        let title = &self.title();
        match kind {
            FileKind::Page => {
                let own = self.own.read(self.settings, working);
                let report = TakeReport {
                    name: title,
                    note: &self.remark,
                    analysis: &analysis,
                    form: self.form.as_ref(),
                    style: self.style,
                    own: own_solos(&own),
                    writing: self.writing,
                };
                Ok(vec![("html", take_report(&report).into())].into())
            }
            FileKind::CueText | FileKind::CueTable => Err(NOT_WRITTEN.to_owned()),
            FileKind::Midi | FileKind::Tables | FileKind::Score => {
                notes_files(kind, title, &analysis, self.form.as_ref(), self.writing)
            }
        }
    }
}

fn titles(request: &CompareRequest) -> String {
    let titles: Vec<&str> = request.takes.iter().map(|take| take.title.as_str()).collect();
    titles.join(", ")
}

fn comparison_page(
    request: &CompareRequest,
    own: &OwnSetRequest,
    working: &impl Fn(String) -> Result<(), String>,
) -> Result<String, String> {
    let analyses = request.analyses();
    let (takes, made) = request.compare(&analyses)?;
    let metres: Vec<&MetreMap> = request.takes.iter().map(|take| &take.notes.metres).collect();
    let own = own.read(request.settings, working);
    Ok(compare_report(&CompareReport {
        title: "Takes compared",
        comparison: &made,
        takes: &takes,
        metres: &metres,
        style: request.selection.style,
        own: own_solos(&own),
    }))
}

fn comp_files(request: &CompareRequest, title: &str, kind: FileKind) -> Result<Files, String> {
    request.cut(|sheet, comp, form| {
        Ok(match kind {
            FileKind::Page => {
                let page = comp_report(title, sheet, comp, form, request.selection.writing());
                vec![("html", page.into())].into()
            }
            FileKind::CueText => vec![("txt", cues_as_text(&cues(sheet, comp)).into())].into(),
            FileKind::CueTable => vec![("csv", cues_csv(&cues(sheet, comp)).into())].into(),
            FileKind::Midi | FileKind::Tables | FileKind::Score => {
                notes_files(kind, title, &comp.analysis, Some(form), request.selection.writing())?
            }
        })
    })?
}

fn notes_files(
    kind: FileKind,
    title: &str,
    analysis: &TakeAnalysis,
    form: Option<&Form>,
    writing: WritingOptions,
) -> Result<Files, String> {
    if kind == FileKind::Midi {
        let bytes =
            midi(title, analysis.take(), analysis.phrases()).map_err(|why| format!("{why}."))?;
        return Ok(vec![("mid", bytes)].into());
    }
    if kind == FileKind::Score {
        let score = score(title, analysis, form, writing).map_err(|why| format!("{why}."))?;
        let files = vec![("musicxml", score.document)];
        return Ok(Files { files, not_written: score.not_written });
    }
    tables(title, analysis, form, None).map(Files::from).map_err(|why| format!("{why}."))
}
