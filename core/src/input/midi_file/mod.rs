//! Standard MIDI Files (RP-001), types 0 and 1, from bytes to the events of a performance.

mod error;
mod events;
mod line;

pub use error::MidiError;
pub use line::{Choice, Line};

use crate::time::Tempo;
use crate::time::metre::Metre;
use midly::{Format, MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};

/// A parsed file: note events, tempos, metres and markers.
#[derive(Debug, Clone, PartialEq)]
pub struct MidiFile {
    ticks_a_quarter: u16,
    /// Microseconds a quarter, by tick.
    tempos: Vec<(u64, u32)>,
    metres: Vec<(u64, Metre)>,
    notes: Vec<NoteEvent>,
    /// Ticks of the markers.
    markers: Vec<u64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct NoteEvent {
    tick: u64,
    track: usize,
    channel: u8,
    key: u8,
    /// `None` for a note-off, also one sent as a note-on of velocity 0.
    velocity: Option<u8>,
}

impl MidiFile {
    /// Parses a file.
    ///
    /// # Errors
    /// [`MidiError`] if the file can't be read.
    pub fn read(bytes: &[u8]) -> Result<Self, MidiError> {
        let file = Self::read_with_or_without_notes(bytes)?;
        let has_notes = file.notes.iter().any(|note| note.velocity.is_some());
        if has_notes { Ok(file) } else { Err(MidiError::NoNotes) }
    }

    /// As [`MidiFile::read`]; the file may be a mere tempo map.
    ///
    /// # Errors
    /// [`MidiError`] if the file can't be read.
    pub fn read_with_or_without_notes(bytes: &[u8]) -> Result<Self, MidiError> {
        check_chunks(bytes)?;
        let smf = Smf::parse(bytes).map_err(|e| MidiError::Damaged(e.to_string()))?;
        if smf.header.format == Format::Sequential {
            return Err(MidiError::TypeTwo);
        }
        let ticks_a_quarter = match smf.header.timing {
            Timing::Metrical(ticks) if ticks.as_int() > 0 => ticks.as_int(),
            Timing::Metrical(_) => return Err(MidiError::NoDivision),
            Timing::Timecode(..) => return Err(MidiError::Smpte),
        };
        let mut file = Self {
            ticks_a_quarter,
            tempos: Vec::new(),
            metres: Vec::new(),
            notes: Vec::new(),
            markers: Vec::new(),
        };
        for (track, events) in smf.tracks.iter().enumerate() {
            file.read_track(track, events)?;
        }
        file.tempos.sort_by_key(|(tick, _)| *tick);
        file.metres.sort_by_key(|(tick, _)| *tick);
        file.notes.sort_by_key(|n| n.tick);
        file.markers.sort_unstable();
        Ok(file)
    }

    fn read_track(
        &mut self,
        track: usize,
        events: &[midly::TrackEvent<'_>],
    ) -> Result<(), MidiError> {
        let mut tick = 0_u64;
        let mut ended = false;
        for event in events {
            tick = tick.saturating_add(u64::from(event.delta.as_int()));
            match event.kind {
                TrackEventKind::Midi { channel, message } => {
                    let (key, velocity) = match message {
                        MidiMessage::NoteOn { key, vel } => {
                            (key, Some(vel.as_int()).filter(|v| *v > 0))
                        }
                        MidiMessage::NoteOff { key, .. } => (key, None),
                        _ => continue,
                    };
                    let (channel, key) = (channel.as_int(), key.as_int());
                    self.notes.push(NoteEvent { tick, track, channel, key, velocity });
                }
                TrackEventKind::Meta(MetaMessage::Tempo(tempo)) => {
                    let microseconds = tempo.as_int();
                    if microseconds == 0 {
                        return Err(MidiError::TempoZero);
                    }
                    Tempo::new(6e7 / f64::from(microseconds))
                        .ok_or(MidiError::TempoTooFast { microseconds })?;
                    self.tempos.push((tick, microseconds));
                }
                TrackEventKind::Meta(MetaMessage::TimeSignature(n, power, ..)) => {
                    let denominator = 1_i32.checked_shl(power.into()).unwrap_or(0);
                    let metre = Metre::new(n.into(), denominator)
                        .ok_or(MidiError::StrangeMetre { numerator: n, power })?;
                    self.metres.push((tick, metre));
                }
                TrackEventKind::Meta(MetaMessage::Marker(_)) => self.markers.push(tick),
                TrackEventKind::Meta(MetaMessage::EndOfTrack) => ended = true,
                _ => {}
            }
        }
        // The parser stops a track at the first event it cannot read.
        if ended { Ok(()) } else { Err(MidiError::TrackBreaksOff { track: track + 1 }) }
    }
}

/// Checks the time division, and that every chunk is complete; the parser ignores both.
fn check_chunks(bytes: &[u8]) -> Result<(), MidiError> {
    if !bytes.starts_with(b"MThd") {
        return Err(MidiError::NotMidi);
    }
    let announced = bytes
        .get(10..12)
        .and_then(|b| Some(usize::from(u16::from_be_bytes(b.try_into().ok()?))))
        .ok_or(MidiError::Truncated)?;
    // The parser overflows on a frame rate of 128, so reject frame rates here.
    if bytes.get(12).is_some_and(|division| division & 0x80 != 0) {
        return Err(MidiError::Smpte);
    }
    let mut rest = bytes;
    let mut tracks = 0;
    while let Some((head, body)) = rest.split_first_chunk::<8>() {
        let [a, b, c, d, length @ ..] = *head;
        let length = usize::try_from(u32::from_be_bytes(length)).unwrap_or(usize::MAX);
        tracks += usize::from([a, b, c, d] == *b"MTrk");
        rest = body.get(length..).ok_or(MidiError::Truncated)?;
        if tracks == announced {
            return Ok(());
        }
    }
    Err(MidiError::Truncated)
}
