//! All notes of a recording at once.

use super::instrument::TrackerSettings;
use super::note::{HeardNote, NoteEvent};
use super::tracker::{NoteTracker, UnknownRate};

/// The notes of a recording of one side, in order of time, each with its end. They are those that
/// [`NoteTracker`] tells while the recording is played.
///
/// # Errors
/// If no sound has that rate.
pub fn notes_of(
    samples: &[f32],
    rate: u32,
    settings: TrackerSettings,
) -> Result<Vec<HeardNote>, UnknownRate> {
    let mut tracker = NoteTracker::new(rate, settings)?;
    let mut notes = Vec::new();
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            notes.push(note);
        }
    };
    tracker.push(samples, &mut keep);
    tracker.finish(&mut keep);
    Ok(notes)
}
