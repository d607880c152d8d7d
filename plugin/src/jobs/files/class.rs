//! A teacher's class: a page for each MIDI file of a folder, and an index.

use crate::jobs::files::documents::own_solos;
use crate::jobs::files::own_sets::OwnSets;
use crate::jobs::files::{folder, import};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::export::file_name;
use overbar_core::output::notation::WritingOptions;
use overbar_core::output::report::{Entry, OwnSolos, TakeReport, index, take_report};
use overbar_core::study::compare::Style;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::Form;
use overbar_files::load::{name, on_all_cores};
use overbar_files::output::names;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

/// A request to write the pages of a class.
pub struct Class {
    /// The folder of the files, as typed.
    pub source: String,
    /// The folder to write to, as typed.
    pub into: String,
    /// The form of the tune, if any.
    pub form: Option<Form>,
    /// The analysis settings.
    pub settings: Settings,
    /// The style of recorded solos to compare with.
    pub style: Style,
    /// The folder of the user's own set; empty for none.
    pub own_set: String,
    /// The cached own set.
    pub sets: Arc<OwnSets>,
}

impl Class {
    /// Writes the pages into a new folder. `working` reports progress and may cancel; `wrote` is called with
    /// the index.
    ///
    /// # Errors
    /// A sentence for the user: nothing or not everything could be read, or the pages could not be written.
    pub fn write(
        &self,
        working: impl Fn(String) -> Result<(), String> + Sync,
        wrote: impl FnOnce(&Path),
    ) -> Result<String, String> {
        let source = folder::absolute(self.source.trim())?;
        let files = import::files(&source)?;
        let own = self.sets.get(&self.own_set, self.settings, |file, of| {
            working(format!("reading reference file {file} of {of}"))
        });
        working("saving".to_owned())?;
        let without = own.as_ref().err().map(|why| format!(" Reference folder skipped: {why}"));
        let without = without.unwrap_or_default();
        let own = own_solos(&own);
        let class = file_name(&format!("Class {}", name(&source)));
        let into = folder::new_folder(&folder::of(&self.into)?, &class)?;
        let (named, begun) = (names(&files), AtomicUsize::new(0));
        let entries = on_all_cores(&named, |(path, stem)| {
            let number = begun.fetch_add(1, Relaxed) + 1;
            working(format!("saving page {number} of {}", files.len()))?;
            self.page(path, stem, &into, own)
        });
        let pages = entries.iter().filter(|entry| entry.is_ok()).count();
        let entries = entries.into_iter().collect::<Result<Vec<Entry>, String>>();
        let entries = entries.map_err(|why| {
            format!("{why} {}: {pages} of {} pages, no index.", into.display(), files.len())
        })?;
        let page = index(&name(&source), &entries);
        let path = folder::write_new(&into, "index", "html", page.as_bytes())?;
        wrote(&path);
        let shown = path.display();
        let unread: Vec<&str> = entries
            .iter()
            .filter_map(|entry| Some(entry.figures.as_ref().err()?.as_str()))
            .collect();
        let pages = entries.len() - unread.len();
        match unread.first() {
            None => Ok(format!("Saved {shown} and {pages} pages.{without}")),
            Some(why) => Err(format!(
                "Saved {shown} and {pages} pages; {} failed (first: {why}).{without}",
                unread.len()
            )),
        }
    }

    /// Writes the page of a file; returns its line of the index.
    fn page(
        &self,
        path: &Path,
        stem: &str,
        into: &Path,
        own: OwnSolos<'_>,
    ) -> Result<Entry, String> {
        let arrived = match import::read(path, self.settings) {
            Ok(arrived) => arrived,
            Err(why) => return Ok(Entry::unread(name(path), why)),
        };
        let analysis = TakeAnalysis::of(arrived.notes, self.settings);
        let page = take_report(&TakeReport {
            name: &arrived.name,
            note: "",
            analysis: &analysis,
            form: self.form.as_ref(),
            style: self.style,
            own,
            writing: WritingOptions::default(),
        });
        folder::write_new(into, stem, "html", page.as_bytes())?;
        Ok(Entry::of(arrived.name, Some(format!("{stem}.html")), &analysis))
    }
}
