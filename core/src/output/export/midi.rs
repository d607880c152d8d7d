//! A take or a comp as a Standard MIDI File (RP-001), to drop into a DAW at the song's start.
//!
//! Type 1. The first track has tempo, metres and a marker at each phrase, the second the notes.
//! Song positions are kept: beat 0 is tick 0. A take that begins earlier is moved later by whole bars of its
//! first metre. Notes without an end last to the end of the take, and notes without length one tick.

use crate::output::words;
use crate::phrase::Phrase;
use crate::take::approximate::Approximate;
use crate::take::performance::Performance;
use crate::time::Beat;
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

/// Ticks in a quarter: 960, as most DAWs count.
pub const RESOLUTION: u16 = 960;

/// Why a take can't be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ExportError {
    /// It has no beat grid.
    #[error("no tempo or bar positions to write")]
    NoGrid,
    /// It is further from the song's start than a file can hold.
    #[error("too far from the song's start for a MIDI file")]
    TooLong,
    /// A tempo too slow for a file: under 3.58 BPM.
    #[error("a MIDI file can't hold a tempo under 3.58 BPM")]
    TooSlow,
    /// A metre whose upper figure is too large for a file.
    #[error("a MIDI file can't hold this time signature")]
    Unwritable,
}

/// An event with its tick and rank: at equal ticks, changes of tempo and metre come first, then markers,
/// ends and attacks.
type Timed<'a> = (u32, u8, TrackEventKind<'a>);

/// The bytes of a file of `take`, named `name`, with its phrases as markers.
///
/// # Errors
/// [`ExportError`] if a file can't hold the take.
pub fn midi(name: &str, take: &Performance, phrases: &[Phrase]) -> Result<Vec<u8>, ExportError> {
    let ticks = Ticks::of(take)?;
    let markers = markers(phrases, &take.approximate());
    let mut grid = grid(take, &ticks)?;
    grid.push((0, 0, TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes()))));
    for (beat, text) in &markers {
        let marker = MetaMessage::Marker(text.as_bytes());
        grid.push((ticks.at(*beat)?, 1, TrackEventKind::Meta(marker)));
    }
    let mut notes = notes(take, &ticks)?;
    notes.push((0, 0, TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes()))));
    let timing = Timing::Metrical(u15::new(RESOLUTION));
    let header = Header::new(Format::Parallel, timing);
    let mut bytes = Vec::new();
    Smf { header, tracks: vec![track(grid), track(notes)] }
        .write_std(&mut bytes)
        .map_err(|_| ExportError::Unwritable)?;
    Ok(bytes)
}

/// The start of each phrase and its marker: "2: & of 4, 2.3 bars", or "2: about & of 4" if beats are
/// approximate. ASCII only, as RP-001 defines no other characters.
fn markers(phrases: &[Phrase], approximate: &Approximate) -> Vec<(Beat, String)> {
    let one = |(number, phrase): (usize, &Phrase)| {
        let (at, place) = (phrase.entry.beat, words::place(&phrase.entry));
        let about = approximate.word(at);
        (at, format!("{number}: {about}{place}, {:.1} bars", phrase.bars))
    };
    (1..).zip(phrases).map(one).collect()
}

fn grid(take: &Performance, ticks: &Ticks) -> Result<Vec<Timed<'static>>, ExportError> {
    let mut events = Vec::new();
    for (index, knot) in take.tempo.knots().iter().enumerate() {
        // The first tempo also holds before it.
        let tick = if index == 0 { 0 } else { ticks.at(knot.beat)? };
        let quarter = 6e7 / knot.tempo.quarters_a_minute();
        let quarter = whole(quarter).filter(|q| *q < 1 << 24).ok_or(ExportError::TooSlow)?;
        let tempo = MetaMessage::Tempo(u24::new(quarter.max(1)));
        events.push((tick, 0, TrackEventKind::Meta(tempo)));
    }
    for (index, stretch) in take.metres.stretches().iter().enumerate() {
        let tick = if index == 0 { 0 } else { ticks.at(stretch.start)? };
        let metre = stretch.metre;
        let power = u8::try_from(metre.denominator().trailing_zeros()).unwrap_or(2);
        // MIDI clocks per felt beat; a quarter has 24 (RP-001).
        let clocks = whole(24.0 * metre.pulse().0).and_then(|c| u8::try_from(c).ok()).unwrap_or(24);
        let signature = MetaMessage::TimeSignature(metre.numerator(), power, clocks.max(1), 8);
        events.push((tick, 0, TrackEventKind::Meta(signature)));
    }
    Ok(events)
}

fn notes(take: &Performance, ticks: &Ticks) -> Result<Vec<Timed<'static>>, ExportError> {
    let heard = take.soloist.notes();
    let last = heard.iter().map(|n| n.off.unwrap_or(n.on).beat).fold(Beat(0.0), Beat::later);
    let mut events = Vec::with_capacity(heard.len() * 2);
    for note in heard {
        let on = ticks.at(note.on.beat)?;
        let off = ticks.at(note.off.map_or(last, |off| off.beat))?.max(on.saturating_add(1));
        let channel = u4::new(note.channel.min(15));
        let key = u7::new(note.key.min(127));
        let velocity = whole(f64::from(note.velocity) * 127.0).unwrap_or(0).clamp(1, 127);
        let vel = u7::new(u8::try_from(velocity).unwrap_or(127));
        let attack = MidiMessage::NoteOn { key, vel };
        let end = MidiMessage::NoteOff { key, vel: u7::new(0) };
        events.push((on, 3, TrackEventKind::Midi { channel, message: attack }));
        events.push((off, 2, TrackEventKind::Midi { channel, message: end }));
    }
    Ok(events)
}

fn track(mut events: Vec<Timed<'_>>) -> Vec<TrackEvent<'_>> {
    events.sort_by_key(|(tick, order, _)| (*tick, *order));
    let mut at = 0;
    let mut track: Vec<TrackEvent<'_>> = events
        .into_iter()
        .map(|(tick, _, kind)| {
            let delta = u28::new(tick - at);
            at = tick;
            TrackEvent { delta, kind }
        })
        .collect();
    let end = TrackEventKind::Meta(MetaMessage::EndOfTrack);
    track.push(TrackEvent { delta: u28::new(0), kind: end });
    track
}

/// Beats as ticks of the file.
struct Ticks {
    /// How many quarters everything is moved later.
    later: f64,
}

impl Ticks {
    fn of(take: &Performance) -> Result<Self, ExportError> {
        if take.tempo.knots().is_empty() {
            return Err(ExportError::NoGrid);
        }
        let earliest =
            take.soloist.notes().iter().map(|n| n.on.beat).fold(Beat(0.0), Beat::earlier);
        let bar = take.metres.metre_at(earliest).bar().0;
        Ok(Self { later: (-earliest.0 / bar).ceil() * bar })
    }

    /// The nearest tick; 0 for anything before the file.
    fn at(&self, beat: Beat) -> Result<u32, ExportError> {
        let tick = (beat.0 + self.later).max(0.0) * f64::from(RESOLUTION);
        // A delta time has 28 bits (RP-001).
        whole(tick).filter(|tick| *tick < 1 << 28).ok_or(ExportError::TooLong)
    }
}

fn whole(value: f64) -> Option<u32> {
    let value = value.round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "in the range of the type, which is checked first"
    )]
    (0.0..=f64::from(u32::MAX)).contains(&value).then_some(value as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::take_analysis::TakeAnalysis;
    use crate::input::midi_file::{Choice, MidiFile};
    use crate::session::Session;
    use crate::take::invented::take as invented;
    use crate::take::settings::Settings;
    use crate::time::tempo_map::{Knot, TempoMap};
    use crate::time::{Second, Tempo};

    fn read(bytes: &[u8]) -> std::sync::Arc<Performance> {
        let file = MidiFile::read(bytes).unwrap();
        let mut session = Session::new(Settings::default());
        for event in file.events(file.line(Choice::default()).unwrap()) {
            session.push(event);
        }
        session.finish();
        session.takes().last().unwrap().performance.clone()
    }

    #[test]
    fn a_file_round_trips() {
        let take = invented(96.0, &[(2, 1.5, &[0.5; 12]), (6, 1.0, &[0.5; 6])]);
        let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        let bytes = midi("take 1", &take, &phrases).unwrap();
        let again = TakeAnalysis::of(read(&bytes).clone(), Settings::default()).phrases().to_vec();
        let summary = |phrases: &[Phrase]| -> Vec<_> {
            phrases.iter().map(|p| (p.entry.bar, p.entry.pulse, p.entry.class, p.notes)).collect()
        };
        assert_eq!(summary(&again), summary(&phrases));
        let text = String::from_utf8_lossy(&bytes).into_owned();
        assert!(text.contains("1: & of 1, 1.5 bars") && text.contains("2: 1, 0.8 bars"), "{text}");
    }

    #[test]
    fn a_take_from_before_the_song_is_moved_by_bars() {
        let mut take = invented(120.0, &[(1, 1.0, &[0.5; 4])]);
        let early = crate::time::BeatSpan(5.0);
        let notes = take.soloist.notes().iter().map(|n| crate::input::note::Note {
            on: crate::time::Moment { beat: n.on.beat - early, ..n.on },
            off: None,
            ..*n
        });
        take.soloist = crate::input::pairing::NoteLine::of(notes.collect(), Default::default());
        let again = read(&midi("x", &take, &[]).unwrap());
        // Five beats before the start is beat 4 of the second bar before it.
        assert_eq!(again.soloist.notes()[0].on.beat, Beat(3.0));
    }

    #[test]
    fn a_take_that_does_not_fit_a_file_is_an_error() {
        let mut take = invented(120.0, &[(80_000, 1.0, &[0.5; 4])]);
        assert_eq!(midi("x", &take, &[]), Err(ExportError::TooLong));
        take = invented(120.0, &[(1, 1.0, &[0.5; 4])]);
        take.tempo = TempoMap::default();
        assert_eq!(midi("x", &take, &[]), Err(ExportError::NoGrid));
        let tempo = Tempo::new(3.0).unwrap();
        take.tempo.push(Knot { second: Second(0.0), beat: Beat(0.0), tempo });
        assert_eq!(midi("x", &take, &[]), Err(ExportError::TooSlow));
    }
}
