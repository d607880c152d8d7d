//! What worker, panel and saved state share: the snapshot, commands, notices, and how the panel
//! looks. Never for the audio thread.

use crate::command::Command;
use crate::runtime::lock::lock;
use crate::runtime::repaint::Repaint;
use crate::view_model::input::InputView;
use crate::view_model::look::Look;
use overbar_core::session::snapshot::Snapshot;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// At most this many notices; the oldest are dropped.
const MAX_NOTICES: usize = 8;

/// The panel's size when it is first opened, and its least, in logical pixels.
pub const DEFAULT_SIZE: (u32, u32) = (640, 400);
/// See [`DEFAULT_SIZE`].
pub const MIN_SIZE: (u32, u32) = (420, 260);

/// Shared by worker, panel and saved state.
#[derive(Default)]
pub struct PanelLink {
    /// Wakes the panel.
    pub repaint: Repaint,
    snapshot: Mutex<Arc<Snapshot>>,
    commands: Mutex<Vec<Command>>,
    notices: Mutex<Vec<String>>,
    /// Dismissed notices about growing counts, in their words at the time.
    dismissed: Mutex<Vec<String>>,
    takes_wanted: AtomicBool,
    /// `None` before the first change.
    size: Mutex<Option<(u32, u32)>>,
    look: Mutex<Look>,
    /// The state of the input, if the plugin listens.
    input: Mutex<Option<InputView>>,
}

impl PanelLink {
    /// Queues a command; the worker applies it in its next round.
    pub fn send(&self, command: Command) {
        lock(&self.commands).push(command);
    }

    /// Takes the waiting commands.
    pub fn take_commands(&self) -> Vec<Command> {
        core::mem::take(&mut *lock(&self.commands))
    }

    /// The snapshot last published.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        lock(&self.snapshot).clone()
    }

    /// Publishes a snapshot.
    pub fn publish(&self, snapshot: Snapshot) {
        *lock(&self.snapshot) = Arc::new(snapshot);
        self.repaint.request();
    }

    /// Whether the panel shows takes, so that their figures are needed.
    pub fn takes_wanted(&self) -> bool {
        self.takes_wanted.load(Relaxed)
    }

    /// See [`PanelLink::takes_wanted`].
    pub fn want_takes(&self, wanted: bool) {
        self.takes_wanted.store(wanted, Relaxed);
    }

    /// Shows the user a notice, once.
    pub fn notice(&self, message: impl Into<String>) {
        let (message, mut notices) = (message.into(), lock(&self.notices));
        if notices.contains(&message) {
            return;
        }
        if notices.len() == MAX_NOTICES {
            notices.remove(0);
        }
        notices.push(message);
        self.repaint.request();
    }

    /// The current notices.
    pub fn notices(&self) -> Vec<String> {
        lock(&self.notices).clone()
    }

    /// Dismisses a notice. It returns when it is raised again; a count returns when it has grown.
    pub fn dismiss(&self, message: &str) {
        let mut notices = lock(&self.notices);
        let before = notices.len();
        notices.retain(|notice| notice != message);
        if notices.len() == before {
            let mut dismissed = lock(&self.dismissed);
            if dismissed.len() == MAX_NOTICES {
                dismissed.remove(0);
            }
            dismissed.push(message.to_owned());
        }
        self.repaint.request();
    }

    /// The dismissed counts.
    pub fn dismissed(&self) -> Vec<String> {
        lock(&self.dismissed).clone()
    }

    /// The state of the input, if the plugin listens.
    pub fn input(&self) -> Option<InputView> {
        *lock(&self.input)
    }

    /// See [`PanelLink::input`]. Wakes a panel that shows silence.
    pub fn set_input(&self, input: InputView) {
        let before = lock(&self.input).replace(input);
        if before.is_none_or(|before| before.state != input.state) {
            self.repaint.request();
        }
    }

    /// The open view and the theme.
    pub fn look(&self) -> Look {
        *lock(&self.look)
    }

    /// See [`PanelLink::look`].
    pub fn set_look(&self, look: Look) {
        *lock(&self.look) = look;
    }

    /// The panel's size in logical pixels.
    pub fn size(&self) -> (u32, u32) {
        lock(&self.size).unwrap_or(DEFAULT_SIZE)
    }

    /// Sets the panel's size, never less than [`MIN_SIZE`] and never more than any screen.
    pub fn set_size(&self, (width, height): (u32, u32)) {
        let sides = [(width, MIN_SIZE.0), (height, MIN_SIZE.1)];
        let [width, height] = sides.map(|(side, least)| side.clamp(least, 16_384));
        *lock(&self.size) = Some((width, height));
    }
}
