//! Turns files into takes.

use super::by_hand::{self, ByHand, Unplaced};
use crate::grid::anchors::Anchors;
use crate::input::event::Event;
use crate::input::midi_file::{Choice, MidiError, MidiFile};
use crate::input::recording::{Beats, Recording};
use crate::session::Session;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use std::sync::Arc;

/// Why a file can't be reviewed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(transparent)]
pub enum ReviewError {
    /// It can't be read.
    Midi(#[from] MidiError),
    /// There is no onset at a correction.
    Unplaced(#[from] Unplaced),
}

/// A session with the events of a file as one take. With anchors, it is put on their grid.
pub(super) fn heard(events: Vec<Event>, settings: Settings, grid: Option<&Anchors>) -> Session {
    let mut session = Session::of_whole_takes(settings);
    for event in events {
        session.push(event);
    }
    session.finish();
    if grid.is_some() {
        session
            .rearrange(|takes| takes.iter_mut().for_each(|t| t.performance_mut().set_grid(grid)));
    }
    session
}

/// The take of a line of a file, with its corrections, on the file's grid or that of anchors.
///
/// # Errors
/// Why there is none, or which correction has no onset.
pub fn take_of(
    midi: &MidiFile,
    choice: Choice,
    settings: Settings,
    by_hand: &[ByHand],
    grid: Option<&Anchors>,
) -> Result<Arc<Performance>, ReviewError> {
    take_of_events(midi.events(midi.line(choice)?), settings, by_hand, grid)
}

/// The take of a recording, with its corrections.
///
/// # Errors
/// That there is none, or which correction has no onset.
pub fn take_of_recording(
    recording: &Recording,
    beats: &Beats,
    settings: Settings,
    by_hand: &[ByHand],
    grid: Option<&Anchors>,
) -> Result<Arc<Performance>, ReviewError> {
    take_of_events(recording.events(beats), settings, by_hand, grid)
}

fn take_of_events(
    events: Vec<Event>,
    settings: Settings,
    by_hand: &[ByHand],
    grid: Option<&Anchors>,
) -> Result<Arc<Performance>, ReviewError> {
    let mut session = heard(events, settings, grid);
    by_hand::correct(&mut session, by_hand)?;
    Ok(session.takes().last().ok_or(MidiError::NoNotes)?.performance.clone())
}
