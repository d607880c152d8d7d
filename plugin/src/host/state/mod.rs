//! The saved state besides the parameters: takes, and the panel's size, view and colours. The framework
//! silently skips a field that it cannot read and still reports success. So the field is our own `envelope`,
//! which accepts any JSON: its contents are checked here, and errors are reported to the user.

mod envelope;

use crate::audio::link::QUEUE_CAPACITY;
use crate::host::state::envelope::{Envelope, Opened};
use crate::practice::drill_book::SavedPractice;
use crate::view_model::look::Look;
use crate::view_model::selection::Selection;
use crate::view_model::tune::TuneText;
use crate::worker::shared::Shared;
use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use core::fmt::Display;
use nice_plug::params::persist::PersistentField;
use nice_plug::prelude::PluginState;
use overbar_core::take::performance::Performance;
use overbar_library::merge::StoredTake;
use overbar_library::packed::PackError;
use overbar_library::project::{Project, Unpacked, pack_project, unpack_project};
use overbar_library::take_store::OpenedProject;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Name of the field in the framework's state.
const FIELD: &str = "overbar";

/// The saved field, bound to the shared state.
pub struct Saved {
    shared: Arc<Shared>,
    /// A state of a newer version, to be saved back unchanged.
    newer: Mutex<Option<Value>>,
}

/// The contents of an envelope, in this version.
#[derive(Serialize, Deserialize)]
struct Body {
    panel: SavedPanel,
    /// The takes as [`overbar_library::project`] has them, in base 64 (RFC 4648).
    takes: String,
    #[serde(default)]
    practice: SavedPractice,
    #[serde(default)]
    tune: TuneText,
    #[serde(default)]
    chosen: Selection,
}

#[derive(Serialize, Deserialize)]
struct SavedPanel {
    width: u32,
    height: u32,
    #[serde(default)]
    look: Look,
}

impl Saved {
    /// Saves from and loads into `shared`.
    pub fn new(shared: Arc<Shared>) -> Self {
        Self { shared, newer: Mutex::default() }
    }

    fn newer(&self) -> std::sync::MutexGuard<'_, Option<Value>> {
        self.newer.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn save(&self) -> Value {
        if let Some(newer) = &*self.newer() {
            return newer.clone();
        }
        #[cfg(feature = "faults")]
        self.shared.faults.pass(crate::runtime::faults::FaultPoint::Saving);
        let (width, height) = self.shared.panel.size();
        let mut session = self.shared.session();
        // Events still in the queue belong in the state.
        let mut heard = false;
        loop {
            let processed = session.process_queued(QUEUE_CAPACITY);
            heard |= processed.events > 0;
            if !processed.more {
                break;
            }
        }
        if self.shared.apply_commands(&mut session) || heard {
            self.shared.publish(&mut session);
        }
        let project = self.shared.take_store().copy_project(&session);
        let practice = self.shared.practice.save(&mut session);
        drop(session);
        envelope::seal(&Body {
            panel: SavedPanel { width, height, look: self.shared.panel.look() },
            takes: BASE64.encode(pack_project(&project.pack())),
            practice,
            tune: self.shared.publisher.tune().text().clone(),
            chosen: self.shared.publisher.compare.selection(),
        })
    }

    /// # Errors
    /// What is wrong, as a sentence for the user; nothing has changed then.
    fn load(&self, value: Value) -> Result<(), String> {
        #[cfg(feature = "faults")]
        self.shared.faults.pass(crate::runtime::faults::FaultPoint::Loading);
        let body = match envelope::open(value)? {
            Opened::Body(body) => body,
            Opened::Newer { version, whole } => {
                *self.newer() = Some(whole);
                return Err(newer(version));
            }
        };
        let (body, unpacked) = match Body::open(body.clone()) {
            Ok(opened) => opened,
            Err(Unreadable::Newer(version)) => {
                *self.newer() = Some(envelope::seal(&body));
                return Err(newer(version));
            }
            Err(Unreadable::Damaged(what)) => return Err(what),
        };
        let (panel, opened) = (body.panel, OpenedProject::of(unpacked));
        if let Err(what) = self.shared.practice.load(body.practice) {
            self.shared.panel.notice(format!("Saved drills are damaged and were skipped: {what}."));
        }
        self.shared.publisher.compare.set_selection(body.chosen);
        *self.newer() = None;
        self.shared.panel.set_size((panel.width, panel.height));
        self.shared.panel.set_look(panel.look);
        let mut session = self.shared.session();
        // The project's tunes are loaded before the current one is set.
        let notices = self.shared.take_store().load_opened(&mut session, opened);
        self.shared.publisher.tune().set(body.tune);
        notices.into_iter().for_each(|message| self.shared.panel.notice(message));
        let shown = session.next_to_analyse(false).cloned();
        let settings = *session.settings();
        drop(session);
        // The panel may open before there is a worker; other threads need the lock meanwhile.
        let analyses = &self.shared.publisher.compare.analyses;
        let analysis = shown.map(|take| analyses.of(&take, &settings));
        let mut session = self.shared.session();
        if let Some(analysis) = analysis {
            session.adopt(&analysis);
        }
        self.shared.publish_view_model(&mut session, true);
        self.shared.publish(&mut session);
        Ok(())
    }
}

impl PersistentField<'_, Envelope> for Saved {
    fn set(&self, Envelope(value): Envelope) {
        let loaded = crate::runtime::guard::guard(|| self.load(value));
        match loaded {
            Some(Ok(())) => {}
            Some(Err(message)) => self.shared.panel.notice(message),
            None => self.shared.panel.notice(
                "The saved state could not be read because of an error in Overbar; it was left \
                 out."
                    .to_owned(),
            ),
        }
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Envelope) -> R,
    {
        let saved = crate::runtime::guard::guard(|| self.save()).unwrap_or_else(|| {
            self.shared.panel.notice(
                "The takes could not be saved because of an error in Overbar; they are still here. \
                 Save again."
                    .to_owned(),
            );
            Value::Null
        });
        f(&Envelope(saved))
    }
}

/// The takes in a project's saved state, as CLAP and VST3 hosts receive it from the plugin.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn takes_in(state: &[u8]) -> Result<Vec<Performance>, String> {
    let project = project_in(state)?;
    let takes = project.takes.iter().filter(|take| !take.labels.deleted.value);
    let played = |take: &StoredTake| take.take().map(|take| Arc::unwrap_or_clone(take.performance));
    takes.map(|take| played(take).map_err(|why| why.to_string())).collect()
}

/// The project's stored takes, with ids and labels, including deleted ones.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn project_in(state: &[u8]) -> Result<Project, String> {
    opened(state).map(|(_, unpacked)| unpacked.project)
}

/// The project's drills: the chosen one, own drills, and results.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn practice_in(state: &[u8]) -> Result<SavedPractice, String> {
    opened(state).map(|(body, _)| body.practice)
}

fn opened(state: &[u8]) -> Result<(Body, Unpacked), String> {
    // Plugin formats and hosts wrap the framework's JSON in their own data.
    const BEGINNING: &[u8] = b"{\"version\":";
    let json = state.windows(BEGINNING.len()).position(|w| w == BEGINNING);
    let json = json.and_then(|at| state.get(at..)).unwrap_or_default();
    let state = PluginState::deserialize(&mut serde_json::Deserializer::from_slice(json))
        .map_err(|error| format!("Saved data is damaged: {error}."))?;
    let field = state.fields.get(FIELD).map_or("null", String::as_str);
    let value =
        serde_json::from_str(field).map_err(|error| format!("Saved data is damaged: {error}."))?;
    match envelope::open(value)? {
        Opened::Body(body) => Body::open(body).map_err(|why| why.to_string()),
        Opened::Newer { version, .. } => Err(newer(version)),
    }
}

fn newer(version: u64) -> String {
    format!(
        "This project was saved by a newer version of Overbar (state version {version}). Its data is \
         kept unchanged; takes played now are not saved with the project."
    )
}

impl Body {
    /// Opens a body and unpacks its takes.
    fn open(body: Value) -> Result<(Self, Unpacked), Unreadable> {
        let damaged = |what: &dyn Display| {
            Unreadable::Damaged(format!("Saved data is damaged ({what}); starting fresh."))
        };
        let body: Self = serde_json::from_value(body).map_err(|error| damaged(&error))?;
        let packed = BASE64.decode(&body.takes).map_err(|error| damaged(&error))?;
        match unpack_project(&packed) {
            Ok(unpacked) => Ok((body, unpacked)),
            Err(PackError::Newer { version }) => Err(Unreadable::Newer(version.into())),
            Err(why) => Err(damaged(&why)),
        }
    }
}

/// Why a body could not be opened.
enum Unreadable {
    /// Its takes were packed by a newer Overbar, in this version.
    Newer(u64),
    /// It is damaged, as a sentence for the user.
    Damaged(String),
}

impl Display for Unreadable {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Newer(version) => f.write_str(&newer(*version)),
            Self::Damaged(what) => f.write_str(what),
        }
    }
}

/// Makes [`Saved`] see a missing field, or one that is not JSON, which the framework would skip silently.
pub fn make_readable(fields: &mut BTreeMap<String, String>) {
    let field = fields.entry(FIELD.to_owned()).or_insert_with(|| "null".to_owned());
    if serde_json::from_str::<Value>(field).is_err() {
        *field = Value::String(core::mem::take(field)).to_string();
    }
}

#[cfg(test)]
mod tests;
