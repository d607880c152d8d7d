//! Practice in the plugin: the list of drills, the current one, and their results. The session runs a
//! drill ([`overbar_core::session::Session::drill`]); this folder holds its settings. The worker applies
//! commands and publishes a [`PracticeView`].

pub mod catalogue;
pub mod drill_book;
pub(crate) mod drill_settings;
mod goal_settings;
mod plan;
pub mod results;
mod steps;
#[cfg(test)]
mod tests;

use crate::command::drill::DrillCommand;
use crate::practice::drill_book::{DrillBook, SavedPractice};
use crate::practice::results::KeptResult;
use crate::runtime::lock::lock;
use crate::view_model::practice::{DrillRun, PracticeView};
use overbar_core::practice::Listener;
use overbar_core::session::Session;
use std::sync::atomic::{AtomicI32, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// Drills, their view and their commands. The locks are between worker, panel and saved state.
pub struct Practice {
    book: Mutex<DrillBook>,
    commands: Mutex<Vec<DrillCommand>>,
    /// The last view; its plan changes only with a command.
    view: Mutex<Arc<PracticeView>>,
    /// The parameter's last value.
    parameter: AtomicI32,
}

impl Default for Practice {
    fn default() -> Self {
        let book = DrillBook::default();
        let plan = Arc::new(plan::plan(&book));
        let view = PracticeView { plan, ..PracticeView::default() };
        Self {
            book: Mutex::new(book),
            commands: Mutex::default(),
            view: Mutex::new(Arc::new(view)),
            parameter: AtomicI32::new(0),
        }
    }
}

impl Practice {
    /// Queues a command; the worker applies it in its next round.
    pub fn send(&self, command: DrillCommand) {
        lock(&self.commands).push(command);
    }

    /// Follows the drill parameter: a change starts or ends a drill.
    pub fn follow_parameter(&self, value: i32) {
        if self.parameter.swap(value, Relaxed) == value {
            return;
        }
        let mut commands = lock(&self.commands);
        match usize::try_from(value).ok().and_then(|value| value.checked_sub(1)) {
            None => commands.push(DrillCommand::End),
            Some(index) => {
                commands.extend(catalogue::name(index + 1).map(|_| DrillCommand::Choose(index)));
                commands.push(DrillCommand::Start);
            }
        }
    }

    /// Applies waiting commands; returns whether there were any.
    pub fn apply_commands(&self, session: &mut Session) -> bool {
        let commands = core::mem::take(&mut *lock(&self.commands));
        let any = !commands.is_empty();
        if any {
            let mut book = lock(&self.book);
            commands.into_iter().for_each(|command| book.apply(command, session));
            self.publish_plan(&book);
        }
        any
    }

    fn publish_plan(&self, book: &DrillBook) {
        let mut view = lock(&self.view);
        let plan = Arc::new(plan::plan(book));
        *view = Arc::new(PracticeView { plan, ..PracticeView::clone(&view) });
    }

    /// Publishes the current drill of `session`, or the last one.
    pub fn publish(&self, session: &mut Session) {
        let mut book = lock(&self.book);
        let before = self.view();
        if let Some(report) = session.drill().map(Listener::report).filter(|report| report.over) {
            book.queue_result(&report);
        }
        let run = match (session.drill(), &book.last) {
            (Some(listener), _) => Some(DrillRun::under_way(book.begun, listener)),
            (None, Some(report)) => Some(DrillRun::over(book.begun, report)),
            // The analysis was restarted: earlier results stay on screen.
            (None, None) => {
                let lost = before.run.clone().filter(|run| run.number == book.begun);
                lost.map(|run| DrillRun { under_way: false, ..run })
            }
        };
        let plan = before.plan.clone();
        let view = PracticeView { plan, message: book.message.clone(), run };
        *lock(&self.view) = Arc::new(view);
    }

    /// The view last published.
    pub fn view(&self) -> Arc<PracticeView> {
        lock(&self.view).clone()
    }

    /// Takes the results that are not in the library yet.
    pub fn take_results(&self) -> Vec<KeptResult> {
        core::mem::take(&mut lock(&self.book).done)
    }

    /// What the project saves.
    pub fn save(&self, session: &mut Session) -> SavedPractice {
        let report = session.drill().map(Listener::report);
        lock(&self.book).save(report.as_ref())
    }

    /// Restores what a project saved.
    ///
    /// # Errors
    /// A sentence that says what cannot be parsed; nothing has changed then.
    pub fn load(&self, saved: SavedPractice) -> Result<(), String> {
        let mut book = lock(&self.book);
        book.load(saved)?;
        self.publish_plan(&book);
        Ok(())
    }
}
