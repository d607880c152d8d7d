//! Makes the view model from session and take store, and publishes it for the panel.

use crate::jobs::comp::CompareJob;
use crate::jobs::files::{FileJob, folder};
use crate::jobs::hear::{HearJob, HearSource};
use crate::jobs::packer::Packer;
use crate::jobs::system::SystemJob;
use crate::jobs::take_reader::TakeReader;
use crate::jobs::take_split::TakeSplit;
use crate::runtime::lock::lock;
use crate::view_model::hear::HearRequest;
use crate::view_model::take_detail::About;
use crate::view_model::tune::Tune;
use crate::view_model::{BandHeard, TakeLabel, ViewModel};
use overbar_core::grid::band::OnsetStrength;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::time::Second;
use overbar_library::LibraryError;
use overbar_library::take_store::TakeStore;
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, Instant};

/// During a take, a view model is published this often.
const REFRESH: Duration = Duration::from_millis(1_000);

/// Publishes the view model. Its locks are between worker, panel and saved state.
#[derive(Default)]
pub struct Publisher {
    /// Comparing takes and cutting comps.
    pub compare: CompareJob,
    /// Files.
    pub files: FileJob,
    /// Details of the shown take.
    pub reader: TakeReader,
    /// Splitting and merging takes.
    pub take_split: TakeSplit,
    /// Packing takes.
    pub packer: Packer,
    /// Hear playback.
    pub hear: HearJob,
    /// Calls to the operating system.
    pub system: SystemJob,
    tune: Mutex<Tune>,
    /// Why the last change of a take's beat grid failed.
    grid_fault: Mutex<Option<(TakeId, String)>>,
    /// The band's onset strength for the newest takes, oldest first.
    band_heard: Mutex<Vec<BandHeard>>,
    view_model: Mutex<Arc<ViewModel>>,
    published: Mutex<Option<(Instant, Trigger)>>,
}

/// Takes for which the band's onset strength is kept: 3 MB if each is an hour long.
const MAX_HEARD: usize = 16;

/// A change of any of these requires a new view model at once.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Trigger {
    takes: usize,
    shown: Option<TakeId>,
    wanted: bool,
}

impl Trigger {
    fn of(session: &Session, wanted: bool) -> Self {
        let shown = session.shown_take().map(|take| take.id);
        Self { takes: session.takes().len(), shown, wanted }
    }
}

impl Publisher {
    /// The view model last published.
    pub fn view_model(&self) -> Arc<ViewModel> {
        lock(&self.view_model).clone()
    }

    /// The tune.
    pub fn tune(&self) -> MutexGuard<'_, Tune> {
        lock(&self.tune)
    }

    /// Whether a new view model is due without a command: takes came or went, another take is shown, the
    /// current take has gone on, or a job has news.
    pub fn is_due(&self, session: &Session, wanted: bool) -> bool {
        let trigger = Trigger::of(session, wanted);
        let goes_on = session.current().is_some();
        lock(&self.published)
            .is_none_or(|(at, last)| last != trigger || (goes_on && at.elapsed() >= REFRESH))
            || self.compare.has_news()
            || self.reader.has_news()
            || self.files.has_news()
            || self.system.dialog.has_news()
    }

    /// Continues splitting and merging takes; see [`TakeSplit::advance`].
    ///
    /// Why they cannot be split or merged.
    /// Why they cannot be.
    pub fn split(
        &self,
        session: &mut Session,
        store: &mut TakeStore,
    ) -> Result<bool, LibraryError> {
        self.take_split.advance(session, store, &self.compare.analyses, marks_of)
    }

    /// Gives `session` the finished analyses; see `TakeReader::read`.
    pub fn read(&self, session: &mut Session, list_wanted: bool) -> bool {
        self.reader.read(session, &self.compare.analyses, list_wanted)
    }

    /// Plays something.
    ///
    /// # Errors
    /// Why it cannot be played.
    pub fn hear(
        &self,
        request: HearRequest,
        session: &Session,
        store: &TakeStore,
    ) -> Result<(), LibraryError> {
        let tune = self.tune();
        let form = |take| tune.of_take(store, take).form().cloned();
        let source = HearSource::of(&request.what, session, &self.compare, form);
        let gone = || LibraryError::Message(format!("Cannot play {}: it is gone.", request.called));
        self.hear.start(request.clone(), source.ok_or_else(gone)?);
        Ok(())
    }

    /// Shows an error of a beat grid beside the grid, and not as a notice.
    ///
    /// # Errors
    /// Any other error.
    pub fn show_grid_error(
        &self,
        take: TakeId,
        edited: Result<(), LibraryError>,
    ) -> Result<(), LibraryError> {
        let (fault, other) = match edited {
            Ok(()) => (None, Ok(())),
            Err(why @ LibraryError::Grid(_)) => (Some((take, why.to_string())), Ok(())),
            Err(why) => (None, Err(why)),
        };
        *lock(&self.grid_fault) = fault;
        other
    }

    /// Clears the error of the last change of a beat grid.
    pub fn clear_grid_fault(&self) {
        *lock(&self.grid_fault) = None;
    }

    /// Keeps the onset strength of the band that played beside a take.
    pub fn keep_band_strength(&self, take: TakeId, strength: OnsetStrength) {
        let mut heard = lock(&self.band_heard);
        heard.retain(|(known, _)| *known != take);
        if heard.len() == MAX_HEARD {
            heard.remove(0);
        }
        heard.push((take, Arc::new(strength)));
    }

    /// Publishes a new view model; with the shown take in detail if `wanted`.
    pub fn publish(&self, session: &mut Session, store: &TakeStore, wanted: bool) {
        let tune = lock(&self.tune);
        let labels = store.all_metadata().map(|(id, known)| (id, TakeLabel::of(known))).collect();
        let written_for = self.compare.selection().written_for;
        let about = |id| About {
            tune: tune.of_take(store, id).into_owned(),
            marks: marks_of(id, store),
            written_for,
        };
        let details = |session| self.reader.details(session, &self.compare.analyses, about);
        let take_detail = wanted.then(|| details(&mut *session)).flatten();
        let view_model = ViewModel {
            labels,
            undo: store.undoable(),
            redo: store.redoable(),
            tune: tune.text().clone(),
            tunes: store.tune_names(),
            tune_fault: tune.fault().cloned(),
            form: tune.form().cloned(),
            grid_fault: lock(&self.grid_fault).clone(),
            band_heard: lock(&self.band_heard).clone(),
            take_detail,
            compare: self.compare.update(session, store, &tune, wanted),
            files: self.files.progress(),
            choosing: self.system.dialog.is_open(),
            usual_folder: folder::usual().map_or_else(String::new, |f| f.display().to_string()),
        };
        *lock(&self.view_model) = Arc::new(view_model);
        *lock(&self.published) = Some((Instant::now(), Trigger::of(session, wanted)));
    }
}

/// The markers of a take, in order.
fn marks_of(id: TakeId, store: &TakeStore) -> Vec<Second> {
    let marks = store.metadata(id).map(|known| &known.labels.marks.value);
    let mut marks: Vec<Second> = marks.into_iter().flatten().map(|mark| mark.second).collect();
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    marks
}
