//! Where the notes to play come from.

use crate::jobs::comp::CompareJob;
use crate::view_model::hear::HearWhat;
use overbar_core::output::hear::{Schedule, Stretch};
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::Form;
use std::sync::Arc;

/// Notes copied at most from the current take, because the session's lock is held meanwhile.
const MAX_COPIED: usize = 4_096;

/// Bars played on each side of an edit.
const BARS_BESIDE_EDIT: i64 = 2;

/// Notes, and which of them to play.
pub struct HearSource {
    take: Arc<Performance>,
    stretch: Stretch,
    settings: Settings,
}

impl HearSource {
    /// The notes of `what`; `None` if they are gone. `form` looks up the form of a take's tune.
    pub fn of(
        what: &HearWhat,
        session: &Session,
        compare: &CompareJob,
        form: impl FnOnce(TakeId) -> Option<Form>,
    ) -> Option<Self> {
        let settings = *session.settings();
        let (id, stretch) = match *what {
            HearWhat::Comp => {
                let take = compare.comp()?;
                return Some(Self { take, stretch: Stretch::Take, settings });
            }
            HearWhat::Edit { index } => {
                let (take, bar) = (compare.comp()?, compare.edit_bar(index)?);
                let (first, last) = (bar - BARS_BESIDE_EDIT, bar + BARS_BESIDE_EDIT - 1);
                return Some(Self { take, stretch: Stretch::Bars { first, last }, settings });
            }
            HearWhat::Phrase { take, first_note: first, last_note: last } => {
                (take, Stretch::Notes { first, last })
            }
            HearWhat::Take(take) => (take, Stretch::Take),
            HearWhat::Bars { take, from, to } => (take, Stretch::Bars { first: from, last: to }),
            HearWhat::Chorus { take, chorus } => {
                let form = form(take)?;
                let first = form.chorus_start(chorus);
                let last = first + i64::from(form.chorus_bars()) - 1;
                (take, Stretch::Bars { first, last })
            }
        };
        if let Some(take) = session.takes().iter().find(|take| take.id == id) {
            return Some(Self { take: take.performance.clone(), stretch, settings });
        }
        let under_way = session.current().filter(|take| take.id == id)?;
        let (part, stretch) = stretch.excerpt(&under_way.performance, &settings, MAX_COPIED);
        Some(Self { take: Arc::new(part), stretch, settings })
    }

    /// The schedule; `None` if nothing was played there. Slow for a long take.
    pub fn schedule(&self) -> Option<Schedule> {
        Schedule::of(&self.take, self.stretch, &self.settings)
    }

    /// The take and settings that give bar and felt beat of a position.
    pub fn grid(&self) -> (Arc<Performance>, Settings) {
        (self.take.clone(), self.settings)
    }
}
