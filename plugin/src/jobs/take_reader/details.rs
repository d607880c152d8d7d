//! The details of the shown take.

use super::current_copy::{CurrentCopy, Lent, Returned};
use crate::jobs::analyses::Analyses;
use crate::runtime::guard::guard;
use crate::view_model::take_detail::{About, TakeDetail};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// After making details of the current take, the thread rests this many times as long as that took.
const REST: u32 = 4;

/// The newest details.
#[derive(Default)]
pub struct Details {
    /// The current request, or the last one.
    asked: Option<DetailRequest>,
    /// They are being made.
    working: bool,
    /// When the details of the current take may be made again.
    next: Option<Instant>,
    made: Option<Arc<TakeDetail>>,
}

/// Everything that details depend on.
#[derive(Clone)]
pub struct DetailRequest {
    id: TakeId,
    /// The take; `None` for the current take.
    over: Option<Arc<Performance>>,
    settings: Settings,
    about: About,
}

/// The notes to make details from.
pub enum Notes {
    /// Of a finished take.
    Over(Arc<Performance>),
    /// Of the current take.
    UnderWay(Lent),
}

/// Finished details.
pub struct Made {
    details: Option<Arc<TakeDetail>>,
    returned: Option<Returned>,
    took: Duration,
}

impl Notes {
    /// Whether they are lent.
    pub fn are_of_take_under_way(&self) -> bool {
        matches!(self, Self::UnderWay(_))
    }
}

impl DetailRequest {
    /// The take it is for.
    pub fn id(&self) -> TakeId {
        self.id
    }

    /// For the shown take; `about` looks up its metadata.
    pub fn of_shown(session: &Session, about: impl FnOnce(TakeId) -> About) -> Option<Self> {
        let shown = session.shown_take()?;
        let id = shown.id;
        let is_over = session.takes().iter().any(|take| take.id == id);
        let over = is_over.then(|| shown.performance.clone());
        Some(Self { id, over, settings: *session.settings(), about: about(id) })
    }

    /// Makes the details. Slow for a long take.
    pub fn make(&self, notes: &Notes, analyses: &Analyses) -> Made {
        let began = Instant::now();
        let details = guard(|| {
            let analysis = match notes {
                Notes::Over(notes) => analyses.of(notes, &self.settings),
                Notes::UnderWay(lent) => {
                    Arc::new(TakeAnalysis::of(lent.notes.clone(), self.settings))
                }
            };
            Arc::new(TakeDetail::of(self.id, &analysis, &self.about))
        });
        let returned = match notes {
            Notes::Over(_) => None,
            Notes::UnderWay(lent) => Some(lent.give_back()),
        };
        Made { details, returned, took: began.elapsed() }
    }

    /// The notes, if they are available; those of the current take are copied in parts.
    pub fn notes(&self, copy: &mut CurrentCopy, session: &mut Session) -> Option<Notes> {
        match &self.over {
            Some(over) => {
                copy.forget();
                Some(Notes::Over(over.clone()))
            }
            None => copy.lend(session).map(Notes::UnderWay),
        }
    }

    /// Whether its details would be the same, but for new notes of the current take.
    fn is_same(&self, other: &Self) -> bool {
        let notes = match (&self.over, &other.over) {
            (Some(own), Some(others)) => Arc::ptr_eq(own, others),
            (own, others) => own.is_none() && others.is_none(),
        };
        notes && self.id == other.id && self.settings == other.settings && self.about == other.about
    }
}

impl Details {
    /// The details of take `id`.
    pub fn of(&self, id: TakeId) -> Option<Arc<TakeDetail>> {
        self.made.clone().filter(|details| details.id == id)
    }

    /// Collects finished details.
    pub fn collect(&mut self, made: Made, copy: &mut CurrentCopy) {
        self.working = false;
        self.next = Some(Instant::now() + made.took * REST);
        self.made = made.details.or_else(|| self.made.take());
        if made.returned.is_some() {
            copy.take_back(made.returned);
        }
    }

    /// Whether the details of `request` are to be made now.
    pub fn are_due(&self, request: &DetailRequest) -> bool {
        let known = self.asked.as_ref().is_some_and(|asked| asked.is_same(request));
        let rests = || self.next.is_some_and(|next| Instant::now() < next);
        !self.working && !(known && (request.over.is_some() || rests()))
    }

    /// Notes that the details are being made, if the job accepted the request.
    pub fn asked(&mut self, request: DetailRequest, accepted: bool) {
        (self.asked, self.working) = (Some(request), accepted);
    }
}
