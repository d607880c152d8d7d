//! A solo as a Standard MIDI File of type 0.

use super::player::Time;
use super::solo::{RESOLUTION, Solo};
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

/// Writes it. The tempo is told again where it changes.
pub fn write(solo: &Solo) -> Result<Vec<u8>, String> {
    let time = Time { metre: solo.metre, tempos: &solo.manner.tempos };
    let power = solo.metre.denominator().trailing_zeros() as u8;
    let signature = MetaMessage::TimeSignature(solo.metre.numerator(), power, 24, 8);
    // Order at one tick: metre, tempo, ends, beginnings.
    let mut events = vec![(0, 0, TrackEventKind::Meta(signature))];
    let mut told = None;
    for (bar, tempo) in solo.manner.tempos.iter().enumerate() {
        let quarter = quarter(*tempo * solo.metre.pulse().0);
        if told != Some(quarter) {
            told = Some(quarter);
            let at = time.tick(bar as f64 * f64::from(solo.metre.pulses()));
            events.push((at, 1, TrackEventKind::Meta(MetaMessage::Tempo(quarter))));
        }
    }
    let channel = u4::new(0);
    for sound in &solo.sounds {
        let (key, vel) = (u7::new(sound.key), u7::new(sound.velocity));
        let message = MidiMessage::NoteOn { key, vel };
        events.push((sound.on, 3, TrackEventKind::Midi { channel, message }));
        if let Some(off) = sound.off {
            let message = MidiMessage::NoteOff { key, vel: u7::new(0) };
            events.push((off, 2, TrackEventKind::Midi { channel, message }));
        }
    }
    events.sort_by_key(|(tick, order, _)| (*tick, *order));
    let end = TrackEventKind::Meta(MetaMessage::EndOfTrack);
    let bars_end = time.tick(solo.manner.tempos.len() as f64 * f64::from(solo.metre.pulses()));
    let last = events.last().map_or(0, |(tick, ..)| *tick);
    events.push((last.max(bars_end), 4, end));
    let mut at = 0;
    let track = events.into_iter().map(|(tick, _, kind)| {
        let delta = u28::new(tick - at);
        at = tick;
        TrackEvent { delta, kind }
    });
    let header = Header::new(Format::SingleTrack, Timing::Metrical(u15::new(RESOLUTION)));
    let mut bytes = Vec::new();
    let file = Smf { header, tracks: vec![track.collect()] };
    file.write_std(&mut bytes).map_err(|error| format!("solo {}: {error}", solo.number))?;
    Ok(bytes)
}

/// Microseconds in a quarter at so many quarters a minute.
fn quarter(tempo: f64) -> u24 {
    u24::new((6e7 / tempo).round() as u32)
}
