//! Notes transcribed from a recording, as the events of a performance. A recording has no beats: they are
//! given as a steady tempo, or as the tempo map of a MIDI file that starts with it.

use crate::input::event::{Event, NoteOff, NoteOn};
use crate::input::midi_file::{MidiError, MidiFile};
use crate::time::metre::Metre;
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second, SecondSpan, Tempo};
use crate::transcription::HeardNote;

/// A transcribed recording.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Recording {
    /// Its notes in order of time.
    pub notes: Vec<HeardNote>,
    /// Its length.
    pub length: SecondSpan,
    /// Samples a second.
    pub sample_rate: u32,
    /// Number of channels.
    pub channels: usize,
    /// The player's tuning in Hz, as estimated.
    pub tuning: f64,
    /// Sentences for the user about anything unusual in it.
    pub remarks: Vec<String>,
}

/// Where the beats of a recording are.
#[derive(Debug, Clone, PartialEq)]
pub struct Beats {
    /// In order of time; each holds until the next. The first is at the start of the recording.
    points: Vec<TransportPoint>,
}

impl Beats {
    /// A steady tempo. Bar 1 begins at `first_beat`, counted from the start of the recording.
    #[must_use]
    pub fn steady(tempo: Tempo, metre: Metre, first_beat: Second) -> Self {
        let at = Second(0.0);
        let before = tempo.beats(first_beat - at);
        let point = TransportPoint {
            at,
            block_before: Some(at),
            beat: Some(-before.0),
            tempo: Some(tempo.quarters_a_minute()),
            metre: Some(metre.into()),
            rolling: true,
            ..TransportPoint::default()
        };
        Self { points: vec![point] }
    }

    /// Tempo and time signatures of a MIDI file, with notes or without. The recording starts where the file
    /// does.
    ///
    /// # Errors
    /// Why the file can't be read.
    pub fn of_midi(bytes: &[u8]) -> Result<Self, MidiError> {
        Ok(Self { points: MidiFile::read_with_or_without_notes(bytes)?.grid() })
    }

    /// When bar 1 begins; `None` if the tempo changes before.
    #[must_use]
    pub fn first_beat(&self) -> Option<Second> {
        let first = self.points.first()?;
        let tempo = first.tempo.and_then(Tempo::new)?;
        let at = first.at + tempo.seconds(Beat(0.0) - Beat(first.beat?));
        self.points.get(1).is_none_or(|next| at < next.at).then_some(at)
    }

    fn beat_at(&self, second: Second) -> Option<Beat> {
        let after = self.points.partition_point(|point| point.at <= second);
        let point = self.points.get(after.saturating_sub(1))?;
        let tempo = point.tempo.and_then(Tempo::new)?;
        Some(Beat(point.beat?) + tempo.beats(second - point.at))
    }
}

impl Recording {
    /// The events of the performance, in order of time: beats before notes, ends before attacks.
    #[must_use]
    pub fn events(&self, beats: &Beats) -> Vec<Event> {
        let mut events: Vec<Event> = beats.points.iter().copied().map(Event::Transport).collect();
        for note in &self.notes {
            let (key, channel) = (Some(note.key), Some(0));
            let (at, velocity) = (note.onset, note.velocity);
            events.push(Event::On(NoteOn { at, beat: beats.beat_at(at), key, channel, velocity }));
            if let Some(at) = note.end {
                events.push(Event::Off(NoteOff { at, beat: beats.beat_at(at), key, channel }));
            }
        }
        // Stable: notes never overlap, so an end stays before the attack at its moment.
        events.sort_by(|a, b| a.at().0.total_cmp(&b.at().0));
        events
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(onset: f64, end: f64, key: u8) -> HeardNote {
        HeardNote {
            number: 0,
            onset: Second(onset),
            end: Some(Second(end)),
            key,
            cents: 0.0,
            level: -20.0,
            velocity: 0.6,
            confidence: 0.9,
        }
    }

    fn beats_of(recording: &Recording, beats: &Beats) -> Vec<f64> {
        let events = recording.events(beats);
        let of = |event: &Event| match event {
            Event::On(on) => Some(on.beat.unwrap().0),
            Event::Off(off) => Some(off.beat.unwrap().0),
            _ => None,
        };
        events.iter().filter_map(of).collect()
    }

    #[test]
    fn a_steady_tempo_begins_at_its_first_beat() {
        let beats = Beats::steady(Tempo::new(120.0).unwrap(), Metre::COMMON, Second(1.5));
        let notes = vec![note(1.0, 1.5, 60), note(1.5, 2.5, 62)];
        let recording = Recording { notes, ..Recording::default() };
        assert_eq!(beats_of(&recording, &beats), [-1.0, 0.0, 0.0, 2.0]);
        assert!(matches!(recording.events(&beats)[2], Event::Off(_)), "note-offs come first");
        assert_eq!(beats.first_beat(), Some(Second(1.5)));
    }

    /// 120 BPM for two quarters, then 60 BPM in 3/4: the bytes of a file with only tempo and metre.
    #[test]
    fn a_tempo_map_needs_no_notes() {
        let tempo = |[high, middle, low]: [u8; 3]| [0xFF, 0x51, 3, high, middle, low];
        let mut track = [&[0][..], &tempo([0x07, 0xA1, 0x20])].concat();
        track.extend([&[0x83, 0x60][..], &tempo([0x0F, 0x42, 0x40])].concat());
        track.extend([0, 0xFF, 0x58, 4, 3, 2, 24, 8, 0, 0xFF, 0x2F, 0]);
        let length = u8::try_from(track.len()).unwrap();
        let head = [&b"MThd"[..], &[0, 0, 0, 6, 0, 0, 0, 1, 0, 240], b"MTrk", &[0, 0, 0, length]];
        let bytes = [head.concat(), track].concat();
        assert_eq!(MidiFile::read(&bytes), Err(MidiError::NoNotes));
        let beats = Beats::of_midi(&bytes).unwrap();
        let notes = vec![note(0.25, 1.0, 60), note(3.0, 4.0, 62)];
        let recording = Recording { notes, ..Recording::default() };
        assert_eq!(beats_of(&recording, &beats), [0.5, 2.0, 4.0, 5.0]);
        assert_eq!(beats.points.last().unwrap().metre, Some((3, 4)));
        assert_eq!(beats.first_beat(), Some(Second(0.0)));
    }
}
