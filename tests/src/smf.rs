//! Songs as Standard MIDI Files and back, so that the same notes can go through a host and through a file.
//! Parsed independently of the product's own reader.

use crate::song::{Song, SongNote};
use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use overbar_testkit::midi::{Track, with_division};

/// Ticks per quarter in the files written here.
const RESOLUTION: u16 = 960;

/// The song as a file of type 0. Beats before 0 are not written.
#[must_use]
pub fn write(song: &Song) -> Vec<u8> {
    let tick = |beat: f64| (beat.max(0.0) * f64::from(RESOLUTION)).round() as u64;
    let mut track = Track::default();
    for (beat, tempo) in &song.tempo {
        track = track.tempo(tick(*beat), (6e7 / tempo).round() as u32);
    }
    for (beat, upper, lower) in &song.metres {
        track = track.metre(tick(*beat), (*upper as u8, *lower as u32));
    }
    for SongNote { on, off, key, channel, velocity } in song.notes.iter().copied() {
        let velocity = ((velocity * 127.0).round() as u8).clamp(1, 127);
        track = track.on(tick(on), channel, key, velocity).off(tick(off), channel, key);
    }
    with_division(0, RESOLUTION, &[track])
}

/// A song from a monophonic file with one track.
///
/// # Panics
/// If the bytes are not such a file: they come from [`write()`] or from a data set.
#[must_use]
pub fn read(bytes: &[u8]) -> Song {
    let smf = Smf::parse(bytes).expect("a MIDI file");
    let Timing::Metrical(resolution) = smf.header.timing else { panic!("no ticks a quarter") };
    let mut song = Song { tempo: Vec::new(), metres: Vec::new(), notes: Vec::new() };
    let mut sounding: Vec<SongNote> = Vec::new();
    let mut tick = 0_u32;
    for event in smf.tracks.iter().flatten() {
        tick += event.delta.as_int();
        let beat = f64::from(tick) / f64::from(resolution.as_int());
        match event.kind {
            TrackEventKind::Meta(MetaMessage::Tempo(quarter)) => {
                song.tempo.push((beat, 6e7 / f64::from(quarter.as_int())));
            }
            TrackEventKind::Meta(MetaMessage::TimeSignature(upper, power, ..)) => {
                song.metres.push((beat, upper.into(), 1 << power));
            }
            TrackEventKind::Midi { channel, message: MidiMessage::NoteOn { key, vel } }
                if vel > 0 =>
            {
                sounding.push(SongNote {
                    on: beat,
                    off: beat,
                    key: key.as_int(),
                    channel: channel.as_int(),
                    velocity: f32::from(vel.as_int()) / 127.0,
                });
            }
            TrackEventKind::Midi {
                message: MidiMessage::NoteOff { key, .. } | MidiMessage::NoteOn { key, .. },
                ..
            } => {
                if let Some(at) = sounding.iter().position(|n| n.key == key.as_int()) {
                    song.notes.push(SongNote { off: beat, ..sounding.remove(at) });
                }
            }
            _ => {}
        }
    }
    song.notes.sort_by(|a, b| a.on.total_cmp(&b.on));
    if song.tempo.is_empty() {
        song.tempo.push((0.0, 120.0));
    }
    if song.metres.is_empty() {
        song.metres.push((0.0, 4, 4));
    }
    song
}
