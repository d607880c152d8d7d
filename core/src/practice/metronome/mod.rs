//! A metronome with synthesised clicks, for hosts without one.
//!
//! The host owns the time: the position and tempo of each block give the sample of a click. The same
//! song gives the same samples at any block size. Positions may jitter from block to block
//! ([`POSITION_TOLERANCE`]) without losing or doubling a click. While the transport is stopped, there is
//! silence.
//!
//! [`POSITION_TOLERANCE`]: crate::time::metre_map::POSITION_TOLERANCE

mod bars;
mod sound;
#[cfg(test)]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "counts and beats of invented takes are small"
)]
mod tests;

use crate::practice::BarPosition;
use crate::take::settings::Pulse;
use crate::time::metre::Metre;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::transport::FARTHEST_BEAT;
use crate::time::{Beat, BeatSpan, SecondSpan, Tempo};
use bars::Bars;
pub use sound::ClickSound;

/// Shown beside the level setting.
pub const LEVEL_CAUTION: &str = "Start low. Clicks are short, so they seem quieter than they are; \
     over headphones, loud clicks damage your hearing over time.";

/// The peak of a click at full level: 6 dB under full scale.
pub const LOUDEST: f32 = 0.5;

/// Where to click.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClickPattern {
    /// On every felt beat, beat one higher.
    AllBeats,
    /// On 2 and 4: every second felt beat of a bar.
    TwoAndFour,
    /// Only on one position, in each bar that has it.
    Target(BarPosition),
    /// On every felt beat of every second bar, from the first.
    OneBarInTwo,
}

/// The settings of a metronome.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clicks {
    /// Where to click.
    pub pattern: ClickPattern,
    /// Whole bars after a start with a click on every felt beat, whatever the pattern.
    pub count_in: u8,
    /// From 0 to 1, which is [`LOUDEST`].
    pub level: f32,
    /// See [`crate::take::settings::Settings::beat_one_offset`].
    pub beat_one_offset: i32,
    /// See [`crate::take::settings::Settings::pulse`].
    pub pulse: Pulse,
}

/// An audio block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Position of its first sample.
    pub beat: Beat,
    /// Its tempo.
    pub tempo: Tempo,
    /// Its metre.
    pub metre: Metre,
    /// Samples per second.
    pub sample_rate: f64,
}

/// A metronome.
#[derive(Debug, Clone, Default)]
pub struct Metronome {
    bars: Bars,
    sound: ClickSound,
    /// The state while the transport plays.
    rolls: Option<Rolls>,
}

#[derive(Debug, Clone, Copy)]
struct Rolls {
    /// Start of the last block.
    began: Beat,
    /// Expected start of the next block.
    due: Beat,
    /// Up to where clicks were searched.
    looked_to: Beat,
    counted_in: Beat,
}

/// A click this close to the middle between two samples goes to the later one, in samples: otherwise the
/// block size would decide by rounding.
const TIE: f64 = 1e-5;

impl Block {
    fn is_sound(&self) -> bool {
        let rate = self.sample_rate.is_finite() && self.sample_rate > 0.0;
        rate && self.beat.0.abs() < FARTHEST_BEAT
    }
}

impl Metronome {
    /// Fills `out` with the clicks of a block. `clicks` is `None` while the metronome is off; call it for
    /// every block all the same, to follow the bars. `block` is `None` while the transport is stopped or
    /// has no beat grid.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn render(&mut self, clicks: Option<&Clicks>, block: Option<&Block>, out: &mut [f32]) {
        out.fill(0.0);
        if out.is_empty() {
            return;
        }
        let Some(block) = block.filter(|block| block.is_sound()) else {
            self.rolls = None;
            self.sound.stop();
            return;
        };
        // A frozen host would click in every block.
        if self.rolls.is_some_and(|rolls| rolls.began == block.beat) {
            self.sound.stop();
            return;
        }
        let mut rolls = self.roll_on(clicks, block);
        let length = BeatSpan(Self::beats(block, out.len()));
        if let Some(clicks) = clicks {
            let mut from = 0;
            // Before the first click, the last one of the block before still sounds.
            while let Some((at, accent, beat)) = self.next(clicks, block, &rolls, out.len()) {
                let at = at.max(from);
                self.ring(out.get_mut(from..at), clicks, block);
                self.sound.strike(accent);
                rolls.looked_to = beat;
                from = at;
            }
            self.ring(out.get_mut(from..), clicks, block);
        } else {
            self.sound.stop();
        }
        rolls.began = block.beat;
        rolls.due = block.beat + length;
        rolls.looked_to = rolls.looked_to.later(rolls.due - POSITION_TOLERANCE);
        self.rolls = Some(rolls);
    }

    fn ring(&mut self, out: Option<&mut [f32]>, clicks: &Clicks, block: &Block) {
        self.sound.ring(out.unwrap_or_default(), clicks.level, block.sample_rate);
    }

    /// The state at the start of a block.
    fn roll_on(&mut self, clicks: Option<&Clicks>, block: &Block) -> Rolls {
        let offset = clicks.map_or(0, |clicks| clicks.beat_one_offset);
        let due =
            self.rolls.filter(|rolls| (block.beat - rolls.due).0.abs() <= POSITION_TOLERANCE.0);
        self.bars.observe(block.beat, block.metre, due.is_some());
        due.unwrap_or_else(|| {
            let count_in = clicks.map_or(0, |clicks| clicks.count_in);
            let shift = BeatSpan(f64::from(offset) * block.metre.written_beat().0);
            let first = self.bars.next_line(block.beat - shift - POSITION_TOLERANCE) + shift;
            let bars = BeatSpan(f64::from(count_in) * block.metre.bar().0);
            let before = block.beat - BeatSpan(Self::beats(block, 1));
            let counted_in = if count_in > 0 { first + bars } else { before };
            Rolls { began: block.beat, due: block.beat, looked_to: before, counted_in }
        })
    }

    /// The next click in the block: its sample, whether it is on beat one, and its position.
    fn next(
        &self,
        clicks: &Clicks,
        block: &Block,
        rolls: &Rolls,
        frames: usize,
    ) -> Option<(usize, bool, Beat)> {
        let shift = f64::from(clicks.beat_one_offset) * block.metre.written_beat().0;
        let mut behind = rolls.looked_to;
        loop {
            let position = self.bars.next_position(behind - BeatSpan(shift), clicks)?;
            let beat = position.beat + BeatSpan(shift);
            let counts_in = beat.0 < rolls.counted_in.0 - POSITION_TOLERANCE.0;
            let seconds = block.tempo.seconds(beat - block.beat);
            let sample = (seconds.0 * block.sample_rate + 0.5 + TIE).floor();
            let at = whole(sample, frames)?;
            let wanted = if counts_in { position.on_beat } else { position.chosen };
            // Before the block only if it was due in the one before.
            if wanted && (sample >= 0.0 || beat > rolls.due - POSITION_TOLERANCE) {
                return Some((at, position.beat_one, beat));
            }
            behind = beat;
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a block has far fewer than 2^52 samples")]
    fn beats(block: &Block, frames: usize) -> f64 {
        block.tempo.beats(SecondSpan(frames as f64 / block.sample_rate)).0
    }
}

/// The sample, at least 0, if it is in the block.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "from 0 to the number of samples, which is far less than 2^52"
)]
fn whole(sample: f64, frames: usize) -> Option<usize> {
    (sample < frames as f64).then_some(sample.max(0.0) as usize)
}
