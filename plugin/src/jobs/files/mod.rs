//! Writes and reads files on a thread of its own, and reports progress.

mod class;
mod documents;
pub mod folder;
pub(crate) mod import;
pub mod own_sets;

use crate::command::export::FileKind;
pub(crate) use crate::jobs::files::class::Class;
pub(crate) use crate::jobs::files::documents::{Document, OwnSetRequest, TakeDocument};
use crate::jobs::files::import::ImportedTake;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::files::FileProgress;
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use overbar_library::Origin;
use overbar_library::take_store::TakeStore;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// The job.
#[derive(Default)]
pub struct FileJob {
    thread: JobThread,
    mailbox: Arc<FileMailbox>,
}

/// Between the job thread and the worker.
#[derive(Default)]
struct FileMailbox {
    progress: Mutex<FileProgress>,
    news: AtomicBool,
    arrived: Mutex<Vec<ImportedTake>>,
    /// The first file that the running job wrote.
    written: Mutex<Option<PathBuf>>,
    /// Jobs queued so far.
    given: AtomicU64,
    /// Jobs up to this number are cancelled.
    stopped: AtomicU64,
}

/// A running job.
struct RunningJob<'a> {
    mailbox: &'a FileMailbox,
    /// Its number, from 1.
    number: u64,
}

impl RunningJob<'_> {
    /// Reports the current step.
    ///
    /// # Errors
    /// A sentence, if the job was cancelled.
    fn working(&self, what: String) -> Result<(), String> {
        if self.number <= self.mailbox.stopped.load(Relaxed) {
            return Err("Cancelled.".to_owned());
        }
        self.mailbox.working(what);
        Ok(())
    }

    /// Writes a document into a folder; returns the files, and what could not be notated as played.
    ///
    /// # Errors
    /// A sentence for the user.
    fn export(
        &self,
        kind: FileKind,
        folder: &Path,
        document: &Document,
    ) -> Result<(Vec<PathBuf>, Vec<String>), String> {
        let (stem, content) = document.files(kind, &|what| self.working(what))?;
        self.working(format!("saving {stem}"))?;
        let mut written = Vec::new();
        for (ending, bytes) in content.files {
            let file = folder::write_new(folder, &stem, ending, &bytes)?;
            self.wrote(&file);
            written.push(file);
        }
        Ok((written, content.not_written))
    }

    /// Remembers the file to show to the user.
    fn wrote(&self, file: &Path) {
        lock(&self.mailbox.written).get_or_insert_with(|| file.to_owned());
    }
}

impl FileMailbox {
    fn tell(&self, change: impl FnOnce(&mut FileProgress)) {
        change(&mut lock(&self.progress));
        self.news.store(true, Relaxed);
    }

    fn working(&self, what: String) {
        self.tell(|progress| progress.working = Some(what));
    }

    fn done(&self, result: Result<String, String>) {
        let written = lock(&self.written).take();
        self.tell(|progress| {
            *progress = FileProgress { working: None, last: Some(result), written };
        });
    }
}

impl FileJob {
    /// Whether the progress has changed since it was last read.
    pub fn has_news(&self) -> bool {
        self.mailbox.news.load(Relaxed)
    }

    /// The current progress.
    pub(crate) fn progress(&self) -> FileProgress {
        self.mailbox.news.store(false, Relaxed);
        lock(&self.mailbox.progress).clone()
    }

    /// Writes documents; takes that are still being played have none.
    pub(crate) fn export(&self, kind: FileKind, folder: &str, documents: Vec<Document>) {
        if documents.is_empty() {
            return self.mailbox.done(Err("Finish the take before exporting it.".to_owned()));
        }
        let folder = folder.to_owned();
        self.work("saving".to_owned(), move |job| {
            let folder = folder::of(&folder)?;
            let (mut written, mut notes, mut failed) = (Vec::new(), Vec::new(), Vec::new());
            for document in &documents {
                match job.export(kind, &folder, document) {
                    Ok((files, not_written)) => {
                        written.extend(files);
                        notes.extend(not_written);
                    }
                    Err(why) => failed.push(why),
                }
            }
            export_result(&written, &notes, &failed)
        });
    }

    /// Writes a page for each MIDI file of a folder.
    pub(crate) fn export_class(&self, class: Class) {
        self.work("reading".to_owned(), move |job| {
            class.write(|what| job.working(what), |file| job.wrote(file))
        });
    }

    /// Imports takes from files and from the MIDI files of folders.
    pub(crate) fn import(&self, sources: Vec<String>, settings: Settings) {
        self.work("reading".to_owned(), move |job| {
            let (files, mut left_out) = import::all_files(&sources)?;
            let (all, mut read) = (files.len(), 0);
            for (index, file) in files.iter().enumerate() {
                job.working(format!("reading file {} of {all}", index + 1))
                    .map_err(|why| format!("{why} {}.", imported(read)))?;
                match import::read(file, settings) {
                    Ok(arrived) => {
                        lock(&job.mailbox.arrived).push(arrived);
                        read += 1;
                    }
                    Err(why) => left_out.push(why),
                }
            }
            match (read, left_out.split_first()) {
                (0, Some((why, _))) => Err(format!("Nothing imported: {why}.")),
                (_, Some((why, others))) => {
                    Err(format!("{}; {} failed (first: {why}).", imported(read), others.len() + 1))
                }
                (_, None) => Ok(format!("{}.", imported(read))),
            }
        });
    }

    /// Runs `work` and reports its result.
    fn work(
        &self,
        what: String,
        work: impl FnOnce(&RunningJob<'_>) -> Result<String, String> + Send + 'static,
    ) {
        self.mailbox.working(what.clone());
        let mailbox = self.mailbox.clone();
        let number = mailbox.given.fetch_add(1, Relaxed) + 1;
        let given = self.thread.run(move || {
            let job = RunningJob { mailbox: &mailbox, number };
            // A job cancelled while waiting is not started.
            let begun = job.working(what);
            let result = guard(|| begun.and_then(|()| work(&job)));
            mailbox.done(
                result.unwrap_or_else(|| Err("Something went wrong; your takes are safe.".into())),
            );
        });
        if let Err(why) = given {
            self.mailbox.done(Err(format!("Couldn't start: {why}.")));
        }
    }

    /// Cancels the running job after its current file, and all waiting jobs.
    pub(crate) fn stop(&self) {
        self.mailbox.stopped.store(self.mailbox.given.load(Relaxed), Relaxed);
    }

    /// Adds the imported takes to the session, except known ones; returns whether there were any.
    pub(crate) fn collect(&self, session: &mut Session, store: &mut TakeStore) -> bool {
        let arrived = core::mem::take(&mut *lock(&self.mailbox.arrived));
        let any = !arrived.is_empty();
        for ImportedTake { name, notes } in arrived {
            let same = |take: &overbar_core::take::Take| {
                take.performance.soloist.notes() == notes.soloist.notes()
            };
            if !session.takes().iter().any(same) {
                store.add(session, notes, &name, Origin::File);
            }
        }
        any
    }
}

/// The result of an export, in sentences.
fn export_result(
    written: &[PathBuf],
    notes: &[String],
    failed: &[String],
) -> Result<String, String> {
    let saved = written.split_first().map(|(first, more)| {
        let more = match more.len() {
            0 => String::new(),
            1 => " and 1 more file".to_owned(),
            files => format!(" and {files} more files"),
        };
        format!("Saved {}{more}.", first.display())
    });
    let notes = saved.iter().chain(notes).map(String::as_str);
    match failed {
        [] => Ok(notes.collect::<Vec<_>>().join(" ")),
        [why] if written.is_empty() => Err(why.clone()),
        [why, ..] => {
            let failed = format!("{} failed (first: {why})", failed.len());
            Err(notes.chain([failed.as_str()]).collect::<Vec<_>>().join(" "))
        }
    }
}

fn imported(files: usize) -> String {
    if files == 1 { "Imported 1 file".to_owned() } else { format!("Imported {files} files") }
}

impl Drop for FileJob {
    /// Closing the plugin does not wait for a whole folder.
    fn drop(&mut self) {
        self.stop();
    }
}
