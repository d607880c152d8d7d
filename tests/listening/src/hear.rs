//! The transcription of a recording.

use crate::solos::Note;
use overbar_core::transcription::{
    BandSamples, Candidate, NoteEvent, NoteTracker, TrackerSettings,
};

/// The transcription, with the time each note was reported.
#[derive(Default)]
pub struct Heard {
    /// The notes.
    pub notes: Vec<Note>,
    /// When each reported note was reported, in seconds.
    known: Vec<f64>,
    /// How many of the first reported notes turned out to be the band's.
    bleed: usize,
    /// All judged candidates.
    pub judged: Vec<Candidate>,
}

/// Samples per block.
const BLOCK: usize = 64;

/// Transcribes a recording, with the band's track at the same rate as reference if there is one.
///
/// # Errors
/// If the sample rate is not supported.
pub fn hear(
    samples: &[f32],
    band: Option<&[f32]>,
    rate: u32,
    settings: TrackerSettings,
) -> Result<Heard, String> {
    let tracker = match band {
        None => NoteTracker::new(rate, settings),
        Some(_) => NoteTracker::beside_band(rate, settings),
    };
    let mut tracker = tracker.map_err(|why| why.to_string())?;
    let mut band_samples = BandSamples::new(rate).map_err(|why| why.to_string())?;
    let mut beside = Vec::new();
    band_samples.push(band.unwrap_or_default(), |sample| beside.push(sample));
    let mut beside = beside.into_iter();
    let mut heard = Heard::default();
    let mut judged = Vec::new();
    let mut now = 0.0;
    for block in samples.chunks(BLOCK) {
        now += block.len() as f64 / f64::from(rate);
        let on_event = &mut |event| heard.take(event, now);
        tracker.push_judging(block, &mut beside, on_event, &mut |found| judged.push(*found));
    }
    tracker.finish(|event| heard.take(event, now));
    heard.judged = judged;
    Ok(heard)
}

impl Heard {
    /// When note `index` was reported, in seconds.
    pub fn known(&self, index: usize) -> f64 {
        self.known[self.bleed + index]
    }

    fn take(&mut self, event: NoteEvent, now: f64) {
        match event {
            NoteEvent::Began(_) => self.known.push(now),
            NoteEvent::Revised(note) => self.known[note.number as usize] = now,
            NoteEvent::Stands(_) => {}
            NoteEvent::SoloistEntered(entry) => {
                let bleed = self.notes.partition_point(|note| note.on < entry.0);
                self.notes.drain(..bleed);
                self.bleed += bleed;
            }
            NoteEvent::Ended(note) => {
                self.notes.push(Note {
                    on: note.onset.0,
                    off: note.end.map_or(note.onset.0, |end| end.0),
                    key: note.key,
                    velocity: (note.velocity * 127.0).round() as u8,
                    low: false,
                });
            }
        }
    }
}
