//! Sends transcribed notes as MIDI, all with the same delay, so that their rhythm is kept.

use crate::audio::link::AudioEnd;
use crate::audio::sound::HeardMidi;
use nice_plug::midi::{Channel, Key, VoiceID};
use nice_plug::prelude::NoteEvent;
use overbar_core::time::{Second, SecondSpan};

/// Delay from playing a note to sending it. Origin: notes are reported up to 90 ms after their attack, the
/// worker polls every 4 ms, and two blocks of 1,024 samples at 48 kHz take 43 ms.
pub const DELAY: SecondSpan = SecondSpan(0.15);

/// The MIDI output. It is monophonic.
#[derive(Debug, Default)]
pub struct MidiOut {
    waiting: Option<HeardMidi>,
    sounding: Option<u8>,
}

/// The block being processed.
#[derive(Debug, Clone, Copy)]
pub struct MidiBlock {
    /// The time of its first sample.
    pub at: Second,
    /// Its length in samples.
    pub frames: usize,
    /// Samples per second.
    pub sample_rate: f64,
}

impl MidiOut {
    /// Sends the events due in a block or, if `on` is false, ends the sounding note. `send` returns whether
    /// the host took an event.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn play(
        &mut self,
        link: &AudioEnd,
        on: bool,
        block: MidiBlock,
        mut send: impl FnMut(NoteEvent<()>) -> bool,
    ) {
        if !on {
            self.end(0, &mut send);
        }
        loop {
            let Some(next) = self.waiting.take().or_else(|| link.pop_heard()) else { return };
            let Some(timing) = timing(&next, block) else {
                self.waiting = Some(next);
                return;
            };
            if !on {
                continue;
            }
            match next.velocity {
                Some(velocity) => {
                    self.end(timing, &mut send);
                    let taken = send(NoteEvent::NoteOn {
                        timing,
                        voice_id: VoiceID::Wildcard,
                        channel: Channel::Number(0),
                        key: Key::Number(next.key),
                        velocity,
                    });
                    self.sounding = taken.then_some(next.key);
                }
                None if self.sounding == Some(next.key) => self.end(timing, &mut send),
                None => {}
            }
        }
    }

    /// Ends the sounding note. It stays owed if the host does not take the note-off.
    fn end(&mut self, timing: u32, send: &mut impl FnMut(NoteEvent<()>) -> bool) {
        let Some(key) = self.sounding else { return };
        let ended = send(NoteEvent::NoteOff {
            timing,
            voice_id: VoiceID::Wildcard,
            channel: Channel::Number(0),
            key: Key::Number(key),
            velocity: 0.0,
        });
        if ended {
            self.sounding = None;
        }
    }
}

/// The sample at which the event is due; `None` if it is in a later block.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "from 0 to the number of samples of a block"
)]
fn timing(note: &HeardMidi, block: MidiBlock) -> Option<u32> {
    let sample = ((note.played + DELAY - block.at).0 * block.sample_rate).round();
    (sample < block.frames as f64).then_some(sample.max(0.0) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audio::link::AudioLink;

    const BLOCK: MidiBlock = MidiBlock { at: Second(0.0), frames: 480, sample_rate: 48_000.0 };

    /// The events sent in blocks of 10 ms, each as its time in seconds, whether it is a note-on, and its key.
    fn sent(notes: &[HeardMidi], is_on: impl Fn(usize) -> bool) -> Vec<(f64, bool, u8)> {
        let (_, audio, worker) = AudioLink::open(true);
        notes.iter().for_each(|note| assert!(worker.push_heard(*note)));
        let (mut out, mut all) = (MidiOut::default(), Vec::new());
        for index in 0..100 {
            let block = MidiBlock { at: Second(index as f64 * 0.01), ..BLOCK };
            out.play(&audio, is_on(index), block, |event| {
                let at = block.at.0 + f64::from(event.timing()) / block.sample_rate;
                all.push(match event {
                    NoteEvent::NoteOn { key, .. } => (at, true, key.number().unwrap()),
                    NoteEvent::NoteOff { key, .. } => (at, false, key.number().unwrap()),
                    other => panic!("{other:?}"),
                });
                true
            });
        }
        all
    }

    fn note(played: f64, key: u8, begins: bool) -> HeardMidi {
        HeardMidi { played: Second(played), key, velocity: begins.then_some(0.5) }
    }

    #[test]
    fn every_event_is_sent_with_the_same_delay() {
        let notes = [note(0.1, 60, true), note(0.203, 60, false), note(0.203, 62, true)];
        let all = sent(&notes, |_| true);
        let expected = [(0.25, true, 60), (0.353, false, 60), (0.353, true, 62)];
        for (sent, expected) in all.iter().zip(expected) {
            assert!((sent.0 - expected.0).abs() < 1e-4, "{all:?}");
            assert_eq!((sent.1, sent.2), (expected.1, expected.2));
        }
        assert_eq!(all.len(), 3);
    }

    #[test]
    fn switching_off_ends_the_note_and_drops_events_due_meanwhile() {
        let notes = [note(0.1, 60, true), note(0.6, 60, false), note(0.7, 64, true)];
        let all = sent(&notes, |block| !(30..80).contains(&block));
        assert_eq!(all.len(), 3, "{all:?}");
        assert_eq!((all[1].1, all[1].2), (false, 60));
        assert!((all[1].0 - 0.3).abs() < 1e-9);
        assert!((all[2].0 - 0.85).abs() < 1e-4);
    }
}
