//! Which notes of a file are the solo.

use super::{MidiError, MidiFile, NoteEvent};
use std::collections::BTreeMap;

/// The user's choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Choice {
    /// Track, from 1.
    pub track: Option<usize>,
    /// Channel, from 1 to 16.
    pub channel: Option<u8>,
}

/// The notes of a solo, by track and channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// Track, from 0; `None` for every track.
    pub track: Option<usize>,
    /// Channel, from 0; `None` for every channel.
    pub channel: Option<u8>,
}

/// The percussion channel of General MIDI, from 0.
const PERCUSSION: u8 = 9;

/// A line with a mean key below this is a bass line. Origin: a walking bass plays from E1 to G3 (28 to
/// 55), around 40; low solo instruments play mostly above C3 (48).
const BASS_BELOW: f64 = 48.0;

/// Weight of a bass line's likeness among several lines: enough to be preferred to chords. Origin:
/// common practice, no source.
const BASS_WORTH: f64 = 0.25;

impl Line {
    pub(super) fn takes(self, note: &NoteEvent) -> bool {
        self.track.is_none_or(|t| t == note.track) && self.channel.is_none_or(|c| c == note.channel)
    }
}

impl MidiFile {
    /// The chosen line, or else the track and channel most like a melody: many onsets, few of them
    /// simultaneous or under a sounding note, no percussion, and a bass line only without a better one.
    ///
    /// # Errors
    /// [`MidiError::NoSuchLine`] if the choice has no notes.
    pub fn line(&self, choice: Choice) -> Result<Line, MidiError> {
        if choice != Choice::default() {
            let line = Line {
                track: choice.track.map(|t| t.wrapping_sub(1)),
                channel: choice.channel.map(|c| c.wrapping_sub(1)),
            };
            let found = self.notes.iter().any(|n| n.velocity.is_some() && line.takes(n));
            return if found { Ok(line) } else { Err(MidiError::NoSuchLine) };
        }
        let mut lines: BTreeMap<(usize, u8), Texture> = BTreeMap::new();
        for note in &self.notes {
            lines.entry((note.track, note.channel)).or_default().push(note);
        }
        let many = lines.len() > 1;
        lines
            .into_iter()
            .map(|((track, channel), texture)| {
                let worth = if many && channel == PERCUSSION {
                    0.0
                } else if many && texture.mean_key() < BASS_BELOW {
                    BASS_WORTH
                } else {
                    1.0
                };
                let line = Line { track: Some(track), channel: Some(channel) };
                (worth * texture.likeness_to_a_melody(), line)
            })
            // The first on a tie.
            .reduce(|best, next| if next.0 > best.0 { next } else { best })
            .map(|(_, line)| line)
            .ok_or(MidiError::NoNotes)
    }
}

/// How far a track's notes overlap.
#[derive(Default)]
struct Texture {
    onsets: u32,
    /// Onsets while another note sounds or is struck.
    crowded: u32,
    sum_of_keys: f64,
    sounding: Vec<(u8, u64)>,
}

impl Texture {
    fn push(&mut self, note: &NoteEvent) {
        self.sounding.retain(|(key, _)| *key != note.key);
        if note.velocity.is_some() {
            self.onsets += 1;
            self.sum_of_keys += f64::from(note.key);
            // One note under another is legato; two are harmony.
            let together = self.sounding.iter().filter(|(_, tick)| *tick == note.tick).count();
            self.crowded += u32::from(together > 0 || self.sounding.len() > 1);
            self.sounding.push((note.key, note.tick));
        }
    }

    fn mean_key(&self) -> f64 {
        self.sum_of_keys / f64::from(self.onsets.max(1))
    }

    fn likeness_to_a_melody(&self) -> f64 {
        if self.onsets == 0 {
            return 0.0;
        }
        let single = 1.0 - f64::from(self.crowded) / f64::from(self.onsets);
        // Squared: twice the notes must not outweigh half of them being chords.
        single * single * f64::from(self.onsets).ln_1p()
    }
}
