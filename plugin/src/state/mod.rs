//! The part of the saved project that is no parameter: takes, and the panel's size, view and
//! colours.
//!
//! The framework skips a field it cannot read without a word and still reports success, so the
//! field is an envelope of our own (`envelope`) that any JSON fits: what is in it is checked
//! here, and the user is told.

mod envelope;
mod takes;

use crate::panel::state::Look;
use crate::practice::desk::SavedPractice;
use crate::shared::{QUEUE_CAPACITY, Shared};
use envelope::{Envelope, Opened};
use nice_plug::params::persist::PersistentField;
use nice_plug::prelude::PluginState;
use overbar_core::performance::Performance;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Name of the field in the framework's state.
const FIELD: &str = "overbar";

/// The saved field, bound to what the plugin's threads share.
pub struct Saved {
    shared: Arc<Shared>,
    /// A state of a newer version, handed back as it was.
    newer: Mutex<Option<Value>>,
}

/// What an envelope holds, in this version.
#[derive(Serialize, Deserialize)]
struct Body {
    panel: SavedPanel,
    takes: Vec<takes::SavedTake>,
    #[serde(default)]
    practice: SavedPractice,
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
    #[must_use]
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
        let (width, height) = self.shared.panel_size();
        let mut session = self.shared.session();
        // What has been played up to now belongs in the state, though the worker has not come
        // to it yet.
        let heard = self.shared.hear_queued(&mut session, QUEUE_CAPACITY);
        if self.shared.do_what_was_asked(&mut session) || heard > 0 {
            self.shared.publish(&mut session);
        }
        let takes = session.takes().iter().chain(session.current());
        let body = Body {
            panel: SavedPanel { width, height, look: self.shared.look() },
            takes: takes.map(takes::SavedTake::of).collect(),
            practice: SavedPractice::default(),
        };
        let body = Body { practice: self.shared.practice.save(&mut session), ..body };
        drop(session);
        envelope::seal(&body)
    }

    /// # Errors
    /// A sentence for the user that says what is wrong. Nothing in memory has changed then.
    fn load(&self, value: Value) -> Result<(), String> {
        let body = match envelope::open(value)? {
            Opened::Body(body) => body,
            Opened::Newer { version, whole } => {
                *self.newer() = Some(whole);
                return Err(newer(version));
            }
        };
        let (panel, practice, mut loaded) = Body::parts(body)?;
        self.shared.practice.load(practice).map_err(|what| {
            format!("The saved state is damaged and was left out: a drill, {what}")
        })?;
        *self.newer() = None;
        self.shared.set_panel_size((panel.width, panel.height));
        self.shared.set_look(panel.look);
        let mut session = self.shared.session();
        loaded.retain(|take| {
            let same = |known| takes::are_the_same(known, take);
            !session.takes().iter().chain(session.current()).any(same)
        });
        session.restore(loaded);
        self.shared.publish(&mut session);
        Ok(())
    }
}

impl PersistentField<'_, Envelope> for Saved {
    fn set(&self, Envelope(value): Envelope) {
        let loaded = crate::guard::guard(|| self.load(value));
        match loaded {
            Some(Ok(())) => {}
            Some(Err(message)) => self.shared.notice(message),
            None => self.shared.notice(
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
        f(&Envelope(self.save()))
    }
}

/// The takes in a project's saved state, as CLAP and VST3 hosts get it from the plugin.
///
/// # Errors
/// A sentence that says what is wrong with it.
pub fn takes_in(state: &[u8]) -> Result<Vec<Performance>, String> {
    parts_in(state).map(|(.., takes)| takes)
}

/// The drills in it: the chosen one, own mixes, and results.
///
/// # Errors
/// A sentence that says what is wrong with it.
pub fn practice_in(state: &[u8]) -> Result<SavedPractice, String> {
    parts_in(state).map(|(_, practice, _)| practice)
}

fn parts_in(state: &[u8]) -> Result<Parts, String> {
    // Formats and hosts put lengths and marks of their own around the framework's JSON.
    const BEGINNING: &[u8] = b"{\"version\":";
    let json = state.windows(BEGINNING.len()).position(|w| w == BEGINNING);
    let json = json.and_then(|at| state.get(at..)).unwrap_or_default();
    let state = PluginState::deserialize(&mut serde_json::Deserializer::from_slice(json))
        .map_err(|error| format!("The saved state is damaged: {error}."))?;
    let field = state.fields.get(FIELD).map_or("null", String::as_str);
    let value = serde_json::from_str(field)
        .map_err(|error| format!("The saved state is damaged: {error}."))?;
    match envelope::open(value)? {
        Opened::Body(body) => Body::parts(body),
        Opened::Newer { version, .. } => Err(newer(version)),
    }
}

/// What a state holds.
type Parts = (SavedPanel, SavedPractice, Vec<Performance>);

fn newer(version: u64) -> String {
    format!(
        "This project was saved by a newer Overbar (state version {version}). It is kept as it \
         was and handed back when the project is saved; takes heard now are not saved with it."
    )
}

impl Body {
    /// The panel, practice and the takes of an opened envelope, checked.
    fn parts(body: Value) -> Result<Parts, String> {
        let body: Self = serde_json::from_value(body)
            .map_err(|error| format!("The saved state is damaged and was left out: {error}."))?;
        let mut takes = Vec::with_capacity(body.takes.len());
        for (number, take) in body.takes.into_iter().enumerate() {
            takes.push(take.open().map_err(|what| {
                format!("The saved state is damaged and was left out: take {}, {what}.", number + 1)
            })?);
        }
        Ok((body.panel, body.practice, takes))
    }
}

/// Makes sure that [`Saved`] gets to see what is wrong: a missing field, or one that is no JSON,
/// would be skipped in silence.
pub fn make_readable(fields: &mut BTreeMap<String, String>) {
    let field = fields.entry(FIELD.to_owned()).or_insert_with(|| "null".to_owned());
    if serde_json::from_str::<Value>(field).is_err() {
        *field = Value::String(core::mem::take(field)).to_string();
    }
}

#[cfg(test)]
mod tests;
