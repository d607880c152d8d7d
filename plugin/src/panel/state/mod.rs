//! The panel's state from frame to frame.

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
use overbar_core::phrase::alerts::Alert;
use overbar_core::take::TakeId;

/// How long the MIDI light stays lit after a note, in seconds.
pub const MIDI_LIT: f64 = 0.15;

/// How long an alert fades in, in seconds.
const ARRIVAL: f64 = 0.6;

/// The state of all views.
#[derive(Debug, Clone, Default)]
pub struct PanelState {
    /// View and colours.
    pub look: Look,
    /// Scroll position of the phrases.
    pub phrases: GrowingScroll,
    /// The list of takes, and the selected one.
    pub takes: TakesState,
    /// The first visible one of the known tunes.
    pub tunes_from: usize,
    /// The open menu of instruments.
    pub instruments: Option<InstrumentMenu>,
    /// Scroll position of the figures over days and weeks.
    pub progress: Scroll,
    /// Whether they have been requested since the panel opened.
    pub progress_asked: bool,
    /// The rest of the progress view.
    pub past: PastState,
    /// Comparing, cutting and files.
    pub compare: CompareState,
    /// Scroll position of the settings.
    pub settings: Scroll,
    /// When they were last scrolled by the wheel, in seconds.
    pub(in crate::panel) settings_scrolled: Option<f64>,
    /// The practice view.
    pub practice: PracticeState,
    /// What Hear played last; `None` once its strip is closed.
    pub hear: Option<HearRequest>,
    /// The chosen note of the chosen phrase, by its index in the take.
    pub note: Option<usize>,
    /// Whether phrases are shown as a piano roll instead of a staff.
    pub piano_roll: bool,
    /// The phrase that was last exported on its own, by its take and its index.
    pub exported: Option<(TakeId, usize)>,
    /// Scroll position of the chosen phrase's lines.
    pub staff: Scroll,
    /// The setting being typed, by id, with its text.
    pub typing: Typing,
    /// What was last copied and when, in seconds.
    pub copied: Option<(String, f64)>,
    /// Which keys the panel wants.
    pub keys: Keys,
    /// The theme that popups were last styled for.
    pub(in crate::panel) dressed: Option<ThemeName>,
    /// The phrase that was last scrolled into view, by index, and the number of rows then.
    pub(in crate::panel) brought: Option<(usize, usize)>,
    /// The number of notes so far, and when the last one arrived, in seconds; `None` before the first frame.
    midi: Option<(usize, f64)>,
    /// The alert of the last frame, with the time it appeared; `None` before the first frame.
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
    /// Whether a note has just arrived at `now`, in seconds, with `notes` in total.
    pub fn midi_lit(&mut self, notes: usize, now: f64) -> bool {
        let since = match self.midi {
            Some((before, since)) if before == notes => since,
            Some(_) => now,
            None => f64::NEG_INFINITY,
        };
        self.midi = Some((notes, since));
        now - since < MIDI_LIT
    }

    /// How far the current alert has faded in at `now`, in seconds: from 0 to 1. An alert that is there when
    /// the panel opens is at 1.
    pub fn alert_fade(&mut self, alert: Option<&Alert>, now: f64) -> f32 {
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
    fn an_alert_fades_in_once() {
        let alert = |phrases| Alert::BeatOneStreak { phrases };
        let mut state = PanelState::default();
        assert_eq!(state.alert_fade(Some(&alert(3)), 5.0), 1.0, "it stood when the panel opened");
        assert_eq!(state.alert_fade(None, 6.0), 0.0);
        assert_eq!(state.alert_fade(Some(&alert(3)), 7.0), 0.0);
        let half = state.alert_fade(Some(&alert(4)), 7.3);
        assert!((half - 0.5).abs() < 1e-6, "{half}");
        assert_eq!(state.alert_fade(Some(&alert(5)), 8.0), 1.0);
    }
}
