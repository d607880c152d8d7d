//! Calls to the operating system for the panel: choosing files, showing them in their folder, opening the
//! manual. Each call may block, so it runs on a thread of its own; the worker collects the results.

pub mod desktop;
mod dialog;
mod manual;
mod show;

use crate::command::system::SystemCommand;
use crate::jobs::system::desktop::{Desktop, SystemDesktop};
use crate::jobs::system::dialog::FileDialog;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::selection::Selection;
use std::sync::{Arc, Mutex};

const ERROR: &str = "Something went wrong; your takes are safe.";

/// The job.
pub struct SystemJob {
    thread: JobThread,
    /// The file dialog.
    pub dialog: FileDialog,
    desktop: Mutex<Arc<dyn Desktop>>,
    notices: Arc<Mutex<Vec<String>>>,
}

impl Default for SystemJob {
    fn default() -> Self {
        Self {
            thread: JobThread::default(),
            dialog: FileDialog::default(),
            desktop: Mutex::new(Arc::new(SystemDesktop)),
            notices: Arc::default(),
        }
    }
}

impl SystemJob {
    /// Starts a command; a dialog starts from what the user has typed.
    pub(crate) fn apply(&self, command: SystemCommand, held: &Selection) {
        match command {
            SystemCommand::Choose(choice) => {
                let desktop = lock(&self.desktop).clone();
                self.dialog.open(choice, held, desktop, self.notices.clone());
            }
            SystemCommand::Show(file) => self.run(move |desktop| {
                let shown = file.display();
                desktop.show(&file).map_err(|why| format!("Couldn't show {shown}: {why}."))
            }),
            SystemCommand::Manual => self.run(|desktop| manual::open(desktop)),
        }
    }

    /// Takes the messages for the user.
    pub fn notices(&self) -> Vec<String> {
        core::mem::take(&mut *lock(&self.notices))
    }

    /// Replaces the system's desktop.
    #[cfg(feature = "faults")]
    pub fn replace(&self, desktop: Arc<dyn Desktop>) {
        *lock(&self.desktop) = desktop;
    }

    /// Runs `work`, and shows its error to the user if it fails.
    fn run(&self, work: impl FnOnce(&dyn Desktop) -> Result<(), String> + Send + 'static) {
        let (desktop, notices) = (lock(&self.desktop).clone(), self.notices.clone());
        let given = self.thread.run(move || {
            let done = guard(|| work(&*desktop)).unwrap_or_else(|| Err(ERROR.to_owned()));
            lock(&notices).extend(done.err());
        });
        if let Err(why) = given {
            lock(&self.notices).push(format!("Couldn't start: {why}."));
        }
    }
}
