//! Host events with their transport: every twelve bytes are one.

use overbar_core::input::event::{Event, NoteOff, NoteOn, Renamed, SoloistEntered};
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::Settings;
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Beat, Second};
use overbar_library::packed::{pack, unpack};

/// Values that hosts should not send, and a few that they should.
const TEMPI: [f64; 8] = [120.0, 60.0, 0.1, 960.0, 0.0, -1.0, f64::NAN, f64::INFINITY];
const FIGURES: [i32; 8] = [4, 3, 8, 7, 1, 32, 0, -1];

/// Steady notes, a loop, and a stop.
pub fn seeds() -> Vec<Vec<u8>> {
    let mut steady = Vec::new();
    for note in 0..40_u8 {
        // Half a beat at 120 BPM later: the transport, a note and its end.
        steady.extend([0, 25, 0, note, 0, 0, 0, 0, 1, 0, 0, 0]);
        steady.extend([1, 0, 0, 60 + note % 12, 0, 90, 0, 0, 0, 0, 0, 0]);
        steady.extend([2, 20, 0, 60 + note % 12, 0, 0, 0, 0, 0, 0, 0, 0]);
    }
    let mut looped = steady.clone();
    for (number, record) in looped.chunks_exact_mut(12).enumerate() {
        if record[0] == 0 {
            record[3] = ((number / 3) % 8) as u8;
            record[8] = 5;
            record[10] = 8;
        }
    }
    let mut stopped = steady.clone();
    stopped.extend([0, 25, 0, 40, 0, 0, 0, 0, 0, 0, 0, 0]);
    vec![steady, looped, stopped]
}

fn decode(input: &[u8]) -> Vec<Event> {
    let mut at = 0.0;
    let mut events = Vec::new();
    for record in input.chunks_exact(12) {
        let [kind, later, finer, a, b, c, tempo, metre, state, fine, cycle, odd] =
            <[u8; 12]>::try_from(record).expect("twelve bytes");
        let step = f64::from(later) * 0.01 + f64::from(finer) * 1e-6;
        // Occasionally time runs backwards.
        at += if odd == 255 { -step } else { step };
        let second = Second(at);
        let key = Some(a).filter(|key| *key < 128);
        let channel = Some(b).filter(|channel| *channel < 16);
        events.push(match kind % 4 {
            0 => {
                let beats = f64::from(a) * 0.5 + f64::from(b) * 0.01 + f64::from(fine) * 1e-5;
                Event::Transport(TransportPoint {
                    at: second,
                    block_before: (odd % 3 == 1).then_some(Second(at - step)),
                    beat: [Some(beats), Some(-beats), Some(f64::NAN), None]
                        [usize::from(odd >> 6) % 4],
                    tempo: Some(TEMPI[usize::from(tempo % 8)]),
                    metre: (metre < 200).then_some((
                        FIGURES[usize::from(metre % 8)],
                        FIGURES[usize::from(metre / 8 % 8)],
                    )),
                    rolling: state & 1 != 0,
                    recording: state & 2 != 0,
                    preroll: state & 8 != 0,
                    cycle: (state & 4 != 0).then_some((f64::from(c), f64::from(cycle))),
                })
            }
            1 | 3 => {
                let velocity = if c == 255 { f32::NAN } else { f32::from(c) / 127.0 };
                let beat = (odd == 1).then_some(Beat(f64::from(fine)));
                Event::On(NoteOn { at: second, beat, key, channel, velocity })
            }
            2 if odd % 16 == 7 => Event::Tap(second),
            2 if odd % 16 == 9 => {
                let pitch = (channel.unwrap_or(0), key.unwrap_or(0));
                Event::Renamed(Renamed { at: second, pitch, key: c })
            }
            2 if odd % 16 == 11 => Event::SoloistEntered(SoloistEntered {
                at: second,
                entry: Second(at - step * f64::from(c)),
            }),
            _ => Event::Off(NoteOff { at: second, beat: None, key, channel }),
        });
    }
    events
}

pub fn read(input: &[u8]) {
    let events = decode(input);
    let mut quiet = Session::new(Settings::default());
    let mut looked_at = Session::new(Settings::default());
    if input.last().is_some_and(|last| last % 2 == 1) {
        quiet.set_beat_source(BeatSource::Taps);
        looked_at.set_beat_source(BeatSource::Taps);
    }
    for (number, event) in events.iter().enumerate() {
        quiet.push(*event);
        looked_at.push(*event);
        if number % 7 == 0 {
            drop(looked_at.snapshot());
        }
    }
    quiet.finish();
    looked_at.finish();
    assert_eq!(quiet.snapshot().figures, looked_at.snapshot().figures, "looking changes nothing");
    let on = |event: &&Event| matches!(event, Event::On(_));
    let mut notes = quiet.loose().soloist.notes().len() + quiet.loose().ignored.notes().len();
    let mut ends = quiet.loose().soloist.oddities().velocity_zero_off;
    for take in quiet.takes() {
        let take = &take.performance;
        notes += take.soloist.notes().len() + take.ignored.notes().len();
        ends += take.soloist.oddities().velocity_zero_off;
        assert!(take.tempo.is_sound(), "a take that could not be opened again: {:?}", take.tempo);
        let opened = unpack(&pack(take));
        let kept = opened.as_ref().map(|opened| opened.soloist.notes().len());
        assert_eq!(kept, Ok(take.soloist.notes().len()), "a take is packed and unpacked");
    }
    assert_eq!(notes + ends as usize, events.iter().filter(on).count(), "no note is lost");
}
