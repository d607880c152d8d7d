//! Practice in the plugin: the drills there are, the one under way, and what came out.
//!
//! The session listens ([`overbar_core::session::Session::drill`]); here is kept what it listens
//! for. The worker sees to wishes and publishes a plain picture, as it does of what is heard.

pub mod catalogue;
pub mod drill_book;
pub mod drill_settings;
mod goal_settings;
pub mod results;
#[cfg(test)]
mod tests;

use crate::command::drill::Wish;
use crate::practice::drill_book::{Desk, SavedPractice};
use crate::practice::results::Kept;
use crate::runtime::lock::whole;
use crate::view_model::practice::{Plan, PracticeSnapshot, Run};
use overbar_core::practice::Listener;
use overbar_core::session::Session;
use std::sync::atomic::{AtomicI32, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// See the module. The locks are between worker, panel and saved state.
pub struct Practice {
    desk: Mutex<Desk>,
    wishes: Mutex<Vec<Wish>>,
    /// The last picture; its plan is made anew only where something was wished.
    picture: Mutex<Arc<PracticeSnapshot>>,
    /// The parameter's last value.
    parameter: AtomicI32,
}

impl Default for Practice {
    fn default() -> Self {
        let desk = Desk::default();
        let plan = Arc::new(Plan::of(&desk));
        let picture = PracticeSnapshot { plan, ..PracticeSnapshot::default() };
        Self {
            desk: Mutex::new(desk),
            wishes: Mutex::default(),
            picture: Mutex::new(Arc::new(picture)),
            parameter: AtomicI32::new(0),
        }
    }
}

impl Practice {
    /// Wishes for something; the worker sees to it at its next look.
    pub fn wish(&self, wish: Wish) {
        whole(&self.wishes).push(wish);
    }

    /// Follows the parameter, see [`crate::host::params::OverbarParams::drill`]: a change begins or ends
    /// a drill.
    pub fn follow_parameter(&self, value: i32) {
        if self.parameter.swap(value, Relaxed) == value {
            return;
        }
        let mut wishes = whole(&self.wishes);
        match usize::try_from(value).ok().and_then(|value| value.checked_sub(1)) {
            None => wishes.push(Wish::End),
            Some(index) => {
                wishes.extend(catalogue::name(index + 1).map(|_| Wish::Choose(index)));
                wishes.push(Wish::Start);
            }
        }
    }

    /// Sees to what was wished; whether there was anything.
    pub fn see_to_wishes(&self, session: &mut Session) -> bool {
        let wishes = core::mem::take(&mut *whole(&self.wishes));
        let any = !wishes.is_empty();
        if any {
            let mut desk = whole(&self.desk);
            wishes.into_iter().for_each(|wish| desk.see_to(wish, session));
            self.draw_plan(&desk);
        }
        any
    }

    fn draw_plan(&self, desk: &Desk) {
        let mut picture = whole(&self.picture);
        let plan = Arc::new(Plan::of(desk));
        *picture = Arc::new(PracticeSnapshot { plan, ..PracticeSnapshot::clone(&picture) });
    }

    /// Publishes what `session` has heard.
    pub fn publish(&self, session: &mut Session) {
        let mut desk = whole(&self.desk);
        let before = self.snapshot();
        if let Some(report) = session.drill().map(Listener::report).filter(|report| report.over) {
            desk.tell(&report);
        }
        let run = match (session.drill(), &desk.last) {
            (Some(listener), _) => Some(Run::under_way(desk.begun, listener)),
            (None, Some(report)) => Some(Run::over(desk.begun, report)),
            // The analysis began anew: what had been heard until then is still told.
            (None, None) => {
                let lost = before.run.clone().filter(|run| run.number == desk.begun);
                lost.map(|run| Run { under_way: false, ..run })
            }
        };
        let plan = before.plan.clone();
        let picture = PracticeSnapshot { plan, said: desk.said.clone(), run };
        *whole(&self.picture) = Arc::new(picture);
    }

    /// What was last published.
    #[must_use]
    pub fn snapshot(&self) -> Arc<PracticeSnapshot> {
        whole(&self.picture).clone()
    }

    /// What came of drills since this was last asked.
    #[must_use]
    pub fn done(&self) -> Vec<Kept> {
        core::mem::take(&mut whole(&self.desk).done)
    }

    /// For the project.
    #[must_use]
    pub fn save(&self, session: &mut Session) -> SavedPractice {
        let report = session.drill().map(Listener::report);
        whole(&self.desk).save(report.as_ref())
    }

    /// Takes in what a project kept.
    ///
    /// # Errors
    /// A sentence that says what cannot be read; nothing has changed then.
    pub fn load(&self, saved: SavedPractice) -> Result<(), String> {
        let mut desk = whole(&self.desk);
        desk.load(saved)?;
        self.draw_plan(&desk);
        Ok(())
    }
}
