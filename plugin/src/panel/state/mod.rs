//! What the panel itself remembers from one frame to the next.

pub mod beat_grid;
pub mod compare;
pub mod past;
pub mod practice;
pub mod takes;

use crate::panel::state::compare::CompareState;
use crate::panel::state::past::PastState;
use crate::panel::state::practice::PracticeState;
use crate::panel::state::takes::TakesState;
use crate::panel::widgets::keys::Keys;
use crate::panel::widgets::{GrowingScroll, Scroll, Typing};
use crate::view_model::hear::HearRequest;
use crate::view_model::look::{Look, ThemeName};
use egui::Pos2;
use overbar_core::figures::alerts::Alert;
use overbar_core::take::TakeId;

/// How long the MIDI light stays lit after a note, in seconds.
pub const MIDI_LIT: f64 = 0.15;

/// How long an alert takes to arrive, in seconds.
const ARRIVAL: f64 = 0.6;

/// See the module.
#[derive(Debug, Clone, Default)]
pub struct PanelState {
    /// View and colours.
    pub look: Look,
    /// Where the phrases are scrolled to.
    pub phrases: GrowingScroll,
    /// The list of takes, and the selected one.
    pub takes: TakesState,
    /// The first of the known tunes that is in sight.
    pub tunes_from: usize,
    /// The menu of instruments, where it is open.
    pub instruments: Option<InstrumentMenu>,
    /// Where the figures over days and weeks are.
    pub progress: Scroll,
    /// They have been asked for since the panel opened.
    pub progress_asked: bool,
    /// What else is remembered of them.
    pub past: PastState,
    /// Comparing, cutting and files.
    pub compare: CompareState,
    /// Where the settings are.
    pub settings: Scroll,
    /// When they were last scrolled by the wheel, in seconds.
    pub(in crate::panel) settings_scrolled: Option<f64>,
    /// What practice shows.
    pub practice: PracticeState,
    /// What was last to be heard; `None` once its strip is closed.
    pub hear: Option<HearRequest>,
    /// The note that is looked at in the chosen phrase, by its index in the take.
    pub note: Option<usize>,
    /// Phrases are shown as a piano roll, rather than on a staff.
    pub piano_roll: bool,
    /// The phrase that was last exported on its own, by its take and its index.
    pub exported: Option<(TakeId, usize)>,
    /// Where the lines of the chosen phrase are.
    pub staff: Scroll,
    /// The setting that is typed in, by id, and what is typed.
    pub typing: Typing,
    /// What was last copied, and when, in seconds.
    pub copied: Option<(String, f64)>,
    /// Which keys the panel wants.
    pub keys: Keys,
    /// The colours that floating help is set in.
    pub(in crate::panel) dressed: Option<ThemeName>,
    /// The phrase that was last brought into sight, by index, among how many rows.
    pub(in crate::panel) brought: Option<(usize, usize)>,
    /// How many notes had come in, and when the last one did, in seconds; `None` before the first
    /// frame.
    midi: Option<(usize, f64)>,
    /// The alert of the last frame, with when it came up; `None` before the first frame.
    alert: Option<Option<(Alert, f64)>>,
}

/// An open menu of instruments.
#[derive(Debug, Clone, Copy)]
pub struct InstrumentMenu {
    /// Where it opens.
    pub at: Pos2,
    /// It was opened in this frame.
    pub new: bool,
}

impl PanelState {
    /// Whether a note has come in just before `now`, in seconds, with `notes` in all.
    pub fn midi_lit(&mut self, notes: usize, now: f64) -> bool {
        let since = match self.midi {
            Some((before, since)) if before == notes => since,
            Some(_) => now,
            None => f64::NEG_INFINITY,
        };
        self.midi = Some((notes, since));
        now - since < MIDI_LIT
    }

    /// How far the alert that stands `now`, in seconds, has arrived: from 0 to 1. One that stands
    /// when the panel opens has.
    pub fn arrived(&mut self, alert: Option<&Alert>, now: f64) -> f32 {
        let since = match (&self.alert, alert) {
            (Some(Some((before, since))), Some(alert)) if before.is_kind_of(alert) => *since,
            (None, _) => f64::NEG_INFINITY,
            _ => now,
        };
        self.alert = Some(alert.map(|alert| (*alert, since)));
        ((now - since) / ARRIVAL).clamp(0.0, 1.0) as f32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_alert_arrives_once() {
        let alert = |phrases| Alert::BeatOneStreak { phrases };
        let mut state = PanelState::default();
        assert_eq!(state.arrived(Some(&alert(3)), 5.0), 1.0, "it stood when the panel opened");
        assert_eq!(state.arrived(None, 6.0), 0.0);
        assert_eq!(state.arrived(Some(&alert(3)), 7.0), 0.0);
        let half = state.arrived(Some(&alert(4)), 7.3);
        assert!((half - 0.5).abs() < 1e-6, "{half}");
        assert_eq!(state.arrived(Some(&alert(5)), 8.0), 1.0);
    }
}
