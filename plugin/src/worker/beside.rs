//! A soloist beside a band of which an instance, or another channel, has the track: what of it is in the soloist's
//! microphone is taken out.

use crate::audio::sound::SoundBlock;
use crate::worker::band_sound::{BandSound, sample_at};
use crate::worker::bands::Band;
use overbar_core::input::sound_input::SoundInput;
use overbar_core::session::Session;
use overbar_core::time::{Second, SecondSpan};
use overbar_core::transcription::BandSamples;
use std::collections::VecDeque;

/// The soloist waits for the band's sound no longer than this; what has not come by then is taken for silence.
const LONGEST_WAIT: SecondSpan = SecondSpan(0.06);

/// Half a sample of the band's, in seconds: the middle of one is nowhere near the next.
const HALF: f64 = 0.5 / BandSamples::RATE as f64;

/// The soloist's sound, some of which waits for the band's.
#[derive(Default)]
pub struct Beside {
    waiting: VecDeque<(SoundBlock, Vec<f32>)>,
    /// The band's sound on the other channel of the same track.
    channel: BandSound,
}

/// Where the host was as a block began and ended, in its beats.
pub fn beats_of(block: &SoundBlock, session: &Session) -> Option<(f64, f64)> {
    let from = session.beat_on_host(block.at)?;
    let to = session.beat_on_host(block.at + block.length())?;
    (to > from).then_some((from.0, to.0))
}

impl Beside {
    /// Takes in the soloist's sound beside an instance of the band's.
    pub fn add(&mut self, block: &SoundBlock, mono: &[f32]) {
        self.waiting.push_back((*block, mono.to_vec()));
    }

    /// Hears what the band's sound has come for or what has waited long enough, or all that waits.
    pub fn hear(&mut self, input: &mut SoundInput, band: &Band, session: &Session, all: bool) {
        let newest = self.waiting.back().map_or(Second::default(), |(block, _)| end(block));
        let is_due = |waiting: &mut (SoundBlock, Vec<f32>)| {
            let waited = newest - end(&waiting.0);
            let span = beats_of(&waiting.0, session);
            all || waited.0 >= LONGEST_WAIT.0 || span.is_none_or(|(_, to)| band.sound_reaches(to))
        };
        while let Some((block, mono)) = self.waiting.pop_front_if(is_due) {
            let span = beats_of(&block, session);
            let stretches = span.map(|span| band.sound(span)).unwrap_or_default();
            let (from, to) = span.unwrap_or_default();
            let tempo = (to - from) / block.length().0;
            input.sound_beside(block.at, block.rate, &mono, &mut |at| {
                sample_at(&stretches, from + ((at - block.at).0 + HALF) * tempo)
            });
        }
    }

    /// Hears all that waits for a band that is gone.
    pub fn hear_alone(&mut self, input: &mut SoundInput) {
        for (block, mono) in self.waiting.drain(..) {
            input.sound(block.at, block.rate, &mono);
        }
    }

    /// Hears the soloist on one channel, and the band on the other.
    pub fn hear_channels(&mut self, input: &mut SoundInput, block: &SoundBlock) {
        let span = (block.at.0, end(block).0);
        self.channel.add(span, block.rate, block.channel(1));
        let stretches = self.channel.between(span);
        input.sound_beside(block.at, block.rate, block.channel(0), &mut |at| {
            sample_at(&stretches, at.0 + HALF)
        });
    }

    /// Forgets all.
    pub fn clear(&mut self) {
        *self = Self::default();
    }
}

fn end(block: &SoundBlock) -> Second {
    block.at + block.length()
}
