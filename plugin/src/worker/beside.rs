//! Passes the soloist's sound on with the band's, from another instance or channel, so that the band can be removed
//! from the soloist's microphone.

use crate::audio::sound::{SOUND_CAPACITY, SoundBlock};
use crate::worker::band_sound::{BandSound, sample_at};
use crate::worker::bands::Band;
use overbar_core::input::sound_input::SoundInput;
use overbar_core::session::Session;
use overbar_core::time::{Second, SecondSpan};
use overbar_core::transcription::BandSamples;
use std::collections::VecDeque;

/// The soloist's sound waits no longer than this for the band's; what is missing by then counts as silence.
const LONGEST_WAIT: SecondSpan = SecondSpan(0.06);

/// Half a sample of the band's, in seconds: the middle of a sample is safe from rounding.
const HALF: f64 = 0.5 / BandSamples::RATE as f64;

/// Blocks for which late sound of the band is still counted: over two seconds at 48 kHz.
const MAX_OVERDUE: usize = SOUND_CAPACITY;

/// The soloist's sound while it waits for the band's.
#[derive(Default)]
pub struct Beside {
    waiting: VecDeque<(SoundBlock, Vec<f32>)>,
    /// Blocks that were passed on without the band: their ends on the host's grid, and lengths.
    overdue: VecDeque<(f64, SecondSpan)>,
    /// The length of the band's sound that came too late.
    late: SecondSpan,
    /// The band's sound on the other channel of the same track.
    channel: BandSound,
}

/// The host's position at the start and end of a block, in its beats.
pub fn beats_of(block: &SoundBlock, session: &Session) -> Option<(f64, f64)> {
    let from = session.beat_on_host(block.at)?;
    let to = session.beat_on_host(block.at + block.length())?;
    (to > from).then_some((from.0, to.0))
}

impl Beside {
    /// Adds the soloist's sound, to wait for that of a band's instance.
    pub fn add(&mut self, block: &SoundBlock, mono: &[f32]) {
        self.waiting.push_back((*block, mono.to_vec()));
    }

    /// Passes on the blocks for which the band's sound has come or that have waited long enough, or `all`.
    pub fn hear(&mut self, input: &mut SoundInput, band: &Band, session: &Session, all: bool) {
        while let Some((_, length)) = self.overdue.pop_front_if(|(to, _)| band.sound_reaches(*to)) {
            self.late.0 += length.0;
        }
        let newest = self.waiting.back().map_or(Second::default(), |(block, _)| end(block));
        let is_due = |waiting: &mut (SoundBlock, Vec<f32>)| {
            let waited = newest - end(&waiting.0);
            let span = beats_of(&waiting.0, session);
            all || waited.0 >= LONGEST_WAIT.0 || span.is_none_or(|(_, to)| band.sound_reaches(to))
        };
        while let Some((block, mono)) = self.waiting.pop_front_if(is_due) {
            let span = beats_of(&block, session);
            if let Some((_, to)) = span.filter(|(_, to)| !band.sound_reaches(*to)) {
                if self.overdue.len() == MAX_OVERDUE {
                    self.overdue.pop_front();
                }
                self.overdue.push_back((to, block.length()));
            }
            let stretches = span.map(|span| band.sound(span)).unwrap_or_default();
            let (from, to) = span.unwrap_or_default();
            let tempo = (to - from) / block.length().0;
            input.sound_beside(block.at, block.rate, &mono, &mut |at| {
                sample_at(&stretches, from + ((at - block.at).0 + HALF) * tempo)
            });
        }
    }

    /// The length of the band's sound that came too late, since the role was set.
    pub fn late(&self) -> SecondSpan {
        self.late
    }

    /// Passes on all blocks that wait for a band that is gone.
    pub fn hear_alone(&mut self, input: &mut SoundInput) {
        for (block, mono) in self.waiting.drain(..) {
            input.sound(block.at, block.rate, &mono);
        }
    }

    /// Passes on the soloist from one channel, with the band from the other.
    pub fn hear_channels(&mut self, input: &mut SoundInput, block: &SoundBlock) {
        let span = (block.at.0, end(block).0);
        self.channel.add(span, block.rate, block.channel(1));
        let stretches = self.channel.between(span);
        input.sound_beside(block.at, block.rate, block.channel(0), &mut |at| {
            sample_at(&stretches, at.0 + HALF)
        });
    }

    /// Clears everything.
    pub fn clear(&mut self) {
        *self = Self::default();
    }
}

fn end(block: &SoundBlock) -> Second {
    block.at + block.length()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audio::sound::FRAMES;
    use overbar_core::input::event::Event;
    use overbar_core::take::settings::Settings;
    use overbar_core::time::transport::TransportPoint;

    const RATE: u32 = 48_000;

    /// The host's beats at 120 BPM when a block starts.
    fn beat(block: usize) -> f64 {
        2.0 * (block * FRAMES) as f64 / f64::from(RATE)
    }

    fn at(block: usize) -> Second {
        Second((block * FRAMES) as f64 / f64::from(RATE))
    }

    #[test]
    fn sound_of_the_band_that_comes_too_late_is_counted() {
        let mut session = Session::new(Settings::default());
        session.push(Event::Transport(TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        }));
        let (band, mut input, mut beside) =
            (Band::default(), SoundInput::default(), Beside::default());
        let mut band_has = 0;
        // The band's sound comes with the soloist's, then 100 ms late, and at the end not at all.
        for block in 0..400_usize {
            let due = match block {
                ..100 => block + 1,
                100..300 => (block + 1).saturating_sub(75),
                _ => 0,
            };
            while band_has < due {
                let span = (beat(band_has), beat(band_has + 1));
                band.add_sound(span, RATE, &[0.1; FRAMES]);
                band_has += 1;
            }
            let sound = SoundBlock {
                at: at(block),
                rate: RATE,
                frames: FRAMES,
                stereo: false,
                samples: [[0.1; FRAMES]; 2],
            };
            beside.add(&sound, &[0.1; FRAMES]);
            beside.hear(&mut input, &band, &session, false);
            if block < 100 {
                assert_eq!(beside.late(), SecondSpan(0.0), "block {block}");
            }
        }
        // From block 100 to the last one that came, at 225: 125 blocks of 64 samples.
        assert!((beside.late().0 - at(125).0).abs() < 0.002, "{:?}", beside.late());
    }
}
