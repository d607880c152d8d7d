//! The file dialog: one at a time, on a thread of its own until the user closes it.

use crate::command::comp::CompareCommand;
use crate::command::system::Choice;
use crate::jobs::files::folder::absolute;
use crate::jobs::system::ERROR;
use crate::jobs::system::desktop::{Desktop, Dialog};
use crate::runtime::guard::guard;
use crate::runtime::lock::lock;
use crate::view_model::selection::Selection;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex};
use std::thread::{Builder, JoinHandle};

/// The dialog.
#[derive(Default)]
pub struct FileDialog {
    thread: Mutex<Option<JoinHandle<()>>>,
    answer: Arc<Answer>,
}

/// Between the dialog's thread and the worker.
#[derive(Default)]
struct Answer {
    open: AtomicBool,
    news: AtomicBool,
    command: Mutex<Option<CompareCommand>>,
}

impl FileDialog {
    /// Whether it is open.
    pub fn is_open(&self) -> bool {
        self.answer.news.store(false, Relaxed);
        self.answer.open.load(Relaxed)
    }

    /// Whether it was opened or closed since [`FileDialog::is_open`] was last called.
    pub fn has_news(&self) -> bool {
        self.answer.news.load(Relaxed)
    }

    /// The command for the chosen paths.
    pub fn command(&self) -> Option<CompareCommand> {
        lock(&self.answer.command).take()
    }

    /// Opens it, unless one is open; `notices` collects messages for the user.
    pub fn open(
        &self,
        choice: Choice,
        held: &Selection,
        desktop: Arc<dyn Desktop>,
        notices: Arc<Mutex<Vec<String>>>,
    ) {
        if self.answer.open.swap(true, Relaxed) {
            return;
        }
        self.answer.news.store(true, Relaxed);
        let (answer, mailbox) = (self.answer.clone(), notices.clone());
        let typed = typed(choice, held).trim().to_owned();
        let thread = Builder::new().name("overbar dialog".to_owned()).spawn(move || {
            let chosen = guard(|| chosen(choice, &typed, &*desktop));
            match chosen.unwrap_or_else(|| Err(ERROR.to_owned())) {
                Ok(command) => *lock(&answer.command) = command,
                Err(why) => lock(&mailbox).push(why),
            }
            answer.open.store(false, Relaxed);
            answer.news.store(true, Relaxed);
        });
        match thread {
            Ok(thread) => *lock(&self.thread) = Some(thread),
            Err(why) => {
                self.answer.open.store(false, Relaxed);
                lock(&notices).push(format!("Couldn't start: {why}."));
            }
        }
    }
}

impl Drop for FileDialog {
    /// A host that unloads the plugin does not wait for the user. Only on Windows must it wait: the code
    /// would be unloaded while the dialog's thread runs it.
    fn drop(&mut self) {
        let thread = lock(&self.thread).take();
        if cfg!(windows)
            && let Some(thread) = thread
            && thread.join().is_err()
        {
            // It panicked outside its guard, and the panic hook has reported it.
        }
    }
}

/// The path currently typed for this choice.
fn typed(choice: Choice, held: &Selection) -> &str {
    match choice {
        Choice::Files | Choice::Folder => &held.source,
        Choice::ExportFolder => &held.folder,
        Choice::ReferenceFolder => &held.own_set,
        Choice::ClassFolder => &held.class,
    }
}

/// Shows the dialog, starting in the typed folder or its nearest existing parent.
fn chosen(
    choice: Choice,
    typed: &str,
    desktop: &dyn Desktop,
) -> Result<Option<CompareCommand>, String> {
    let from: Option<PathBuf> = absolute(typed).ok();
    let from = from.iter().flat_map(|path| path.ancestors()).find(|folder| folder.is_dir());
    let title = match choice {
        Choice::Files => "Import MIDI files",
        Choice::Folder => "Import a folder of MIDI files",
        Choice::ExportFolder => "Export folder",
        Choice::ReferenceFolder => "Reference folder of solos",
        Choice::ClassFolder => "Folder of MIDI files of a class",
    };
    let folders = choice != Choice::Files;
    let paths = desktop.choose(&Dialog { title, folders, from: from.map(Into::into) })?;
    if paths.len() > 1 && !matches!(choice, Choice::Files | Choice::Folder) {
        return Err("Choose one folder only.".to_owned());
    }
    Ok(choice.command(paths.iter().map(|path| path.display().to_string()).collect()))
}
