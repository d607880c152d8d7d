//! A metronome: synthesised clicks on places of the bar, for practice where the host has no click.
//!
//! The host owns the time: from each block's position and tempo follows at which sample a click
//! falls, the one nearest to its place. The same song gives the same samples at any block size. A
//! host's position may wander a little from block to block ([`POSITION_TOLERANCE`]); no click is
//! lost or doubled by that. When the transport stands, there is silence.
//!
//! # Realtime safety
//! [`Metronome::render`] does not allocate, lock or panic, and costs time in proportion to the
//! block.
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
use crate::time::metre::Metre;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan, SecondSpan, Tempo};
use bars::Bars;
use sound::Sound;

/// To be shown where the level is set.
pub const LEVEL_CAUTION: &str = "Begin low. Clicks are short, so that they seem softer than they \
     are; over headphones, loud ones hurt your hearing in time.";

/// The peak of a click at full level: 6 dB under the loudest that can be played.
pub const LOUDEST: f32 = 0.5;

/// Where to click.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Places {
    /// On every felt beat, beat one higher.
    AllBeats,
    /// On 2 and 4: every second felt beat of a bar.
    TwoAndFour,
    /// On one place of each bar that has it, and nothing else.
    Target(BarPosition),
    /// On every felt beat of every second bar, the first with clicks.
    OneBarInTwo,
}

/// What is asked of a metronome.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clicks {
    /// Where to click.
    pub places: Places,
    /// Whole bars after a start in which every felt beat is clicked, whatever the places.
    pub count_in: u8,
    /// From 0 to 1, which is [`LOUDEST`].
    pub level: f32,
    /// See [`crate::settings::Settings::beat_one_offset`].
    pub beat_one_offset: i32,
}

/// A block as the host tells it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Position of its first sample.
    pub beat: Beat,
    /// Its tempo.
    pub tempo: Tempo,
    /// Its metre.
    pub metre: Metre,
    /// Samples a second.
    pub sample_rate: f64,
}

/// A metronome.
#[derive(Debug, Clone, Default)]
pub struct Metronome {
    bars: Bars,
    sound: Sound,
    /// While it rolls.
    rolls: Option<Rolls>,
}

#[derive(Debug, Clone, Copy)]
struct Rolls {
    /// Where the last block began.
    began: Beat,
    /// Where the next block is due.
    due: Beat,
    /// Up to where clicks have been looked for.
    looked_to: Beat,
    /// End of the count-in.
    counted_in: Beat,
}

/// Positions farther than this are taken for garbage, in quarter notes; see
/// [`crate::time::transport::TransportPoint::grid`].
const FARTHEST: f64 = 1e10;

/// A place this close behind the middle between two samples is put on the later one; where it lies
/// right in the middle, rounding would let the block size decide. In samples.
const TIE: f64 = 1e-5;

impl Block {
    fn is_sound(&self) -> bool {
        let rate = self.sample_rate.is_finite() && self.sample_rate > 0.0;
        rate && (-FARTHEST..=FARTHEST).contains(&self.beat.0)
    }
}

impl Metronome {
    /// Fills `out` with the clicks of a block. `clicks` is `None` where none are wanted; it is to be
    /// called for every block all the same, to know the bars. `block` is `None` while the transport
    /// stands or gives no beat grid.
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
        // A host that rolls without moving would click with every block.
        if self.rolls.is_some_and(|rolls| rolls.began == block.beat) {
            self.sound.stop();
            return;
        }
        let mut rolls = self.roll_on(clicks, block);
        let length = BeatSpan(Self::beats(block, out.len()));
        if let Some(clicks) = clicks {
            let mut from = 0;
            // What of the block lies before the first click still belongs to the one before.
            while let Some((at, accent, place)) = self.next(clicks, block, &rolls, out.len()) {
                let at = at.max(from);
                self.ring(out.get_mut(from..at), clicks, block);
                self.sound.strike(accent);
                rolls.looked_to = place;
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

    /// Where it stands at the start of a block.
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

    /// The first click behind what was looked at that falls into the block: its sample, whether it
    /// is a beat one, and its place.
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
            let place = self.bars.next_place(behind - BeatSpan(shift), clicks.places)?;
            let beat = place.beat + BeatSpan(shift);
            let counts_in = beat.0 < rolls.counted_in.0 - POSITION_TOLERANCE.0;
            let seconds = block.tempo.seconds(beat - block.beat);
            let sample = (seconds.0 * block.sample_rate + 0.5 + TIE).floor();
            let at = whole(sample, frames)?;
            let wanted = if counts_in { place.on_beat } else { place.chosen };
            // Before the block: only where it should have come in the one before.
            if wanted && (sample >= 0.0 || beat > rolls.due - POSITION_TOLERANCE) {
                return Some((at, place.beat_one, beat));
            }
            behind = beat;
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a block has far fewer than 2^52 samples")]
    fn beats(block: &Block, frames: usize) -> f64 {
        block.tempo.beats(SecondSpan(frames as f64 / block.sample_rate)).0
    }
}

/// The sample, at least 0, where it is one of the block.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "from 0 to the number of samples, which is far less than 2^52"
)]
fn whole(sample: f64, frames: usize) -> Option<usize> {
    (sample < frames as f64).then_some(sample.max(0.0) as usize)
}
