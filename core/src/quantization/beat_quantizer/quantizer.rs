//! Quantizes a growing melody beat by beat.

use super::costs::{ByPlayer, Candidates, by_beat, by_player};
use super::grid_assignment::together;
use super::mixture_weight;
use super::packed_indices::MAX_NOTES;
use super::player_timing::{HomeBeat, PlayerTiming, is_exact};
use super::posterior::{Posterior, add, likeliest};
use crate::quantization::note_quantizer::{PhraseRole, quantize_single};
use crate::quantization::pulse_position::PulsePosition;
use crate::quantization::quantized_onset::QuantizedOnset;
use crate::quantization::subdivision::PulseSubdivision;
use crate::stats::vec_growth::reserve_one;
use crate::take::settings::Feel;
use arrayvec::ArrayVec;
use core::ops::Range;

/// Most notes grouped into one beat; with more, the beat is quantized as if it were over.
const MAX_GROUP: usize = 32;

/// Beats between checkpoints; a rewind quantizes the beats from a checkpoint on again.
const CHECKPOINT_EVERY: usize = 4;

/// Onsets from which the player's timing is learned before a whole take is quantized.
/// Origin: the timing forgets at about this rate ([`super::player_timing`]).
const LEARNED_FROM: usize = 1000;

/// A state to rewind to.
#[derive(Debug, Clone, Copy, Default)]
struct Checkpoint {
    /// The first onset after it.
    onset: usize,
    /// The player's timing before that onset.
    timing: PlayerTiming,
}

/// The quantized onsets of a melody as it grows.
#[derive(Debug, Clone)]
pub struct BeatQuantizer {
    feel: Feel,
    quantized: Vec<QuantizedOnset>,
    /// How many onsets belong to complete beats, and how many such beats there are.
    settled: usize,
    beats: usize,
    checkpoints: Vec<Checkpoint>,
    timing: PlayerTiming,
}

struct BeatGroup {
    start: usize,
    beat: HomeBeat,
    /// Where the first onset fell.
    first: PulsePosition,
    /// The position of each onset, in pulses from the beat.
    onsets: ArrayVec<f64, MAX_GROUP>,
    /// Pulses from the one that each onset fell in to the beat.
    shifts: ArrayVec<i8, MAX_GROUP>,
    /// A note of another beat has arrived.
    over: bool,
}

impl Default for BeatQuantizer {
    fn default() -> Self {
        Self::new(Feel::Auto)
    }
}

impl BeatQuantizer {
    /// A quantizer without an onset.
    pub fn new(feel: Feel) -> Self {
        let (quantized, checkpoints) = (Vec::new(), Vec::new());
        Self { feel, quantized, settled: 0, beats: 0, checkpoints, timing: PlayerTiming::default() }
    }

    /// The quantized onsets, in order.
    pub fn quantized(&self) -> &[QuantizedOnset] {
        &self.quantized
    }

    /// How many of the first onsets are final.
    pub fn settled(&self) -> usize {
        self.settled
    }

    /// Drops the onsets from `onset` on, and what was learned from them.
    pub fn rewind(&mut self, onset: usize) {
        if self.settled >= onset {
            let kept = self
                .checkpoints
                .partition_point(|checkpoint| checkpoint.onset < onset)
                .saturating_sub(1);
            let back = self.checkpoints.get(kept).copied();
            let Checkpoint { onset, timing } = back.unwrap_or_default();
            (self.settled, self.beats, self.timing) = (onset, kept * CHECKPOINT_EVERY, timing);
            self.checkpoints.truncate(kept);
        }
        self.quantized.truncate(onset);
    }

    /// Quantizes a melody of `count` onsets, the settled ones of which are unchanged; `whole` says that no
    /// more will come. `at` gives the position of an onset, `None` without a beat grid; `begins` tells whether
    /// a phrase starts there. Returns the first onset whose result has changed.
    pub fn quantize(
        &mut self,
        count: usize,
        whole: bool,
        at: impl Fn(usize) -> Option<PulsePosition>,
        begins: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        let settled = self.settled();
        let before = self.quantized.split_off(settled.min(self.quantized.len()));
        while let Some(group) =
            self.group(self.quantized.len()..count, self.timing.is_steady(), &at)
        {
            let over = group.over || whole;
            let away = self.push(&group, over, &at, &begins);
            if !over {
                break;
            }
            if self.beats.is_multiple_of(CHECKPOINT_EVERY) {
                reserve_one(&mut self.checkpoints);
                self.checkpoints.push(Checkpoint { onset: self.settled, timing: self.timing });
            }
            self.beats += 1;
            self.settled = self.quantized.len();
            self.learn_from(&group, &away);
        }
        let now = self.quantized.get(settled..).unwrap_or_default();
        let same = now.iter().zip(&before).take_while(|(now, before)| now == before).count();
        (same < now.len().max(before.len())).then_some(settled + same)
    }

    /// Quantizes a whole melody as [`Self::quantize`] does, with the player's timing learned from its
    /// first onsets before it begins.
    pub fn quantize_whole(
        &mut self,
        count: usize,
        at: impl Fn(usize) -> Option<PulsePosition>,
        begins: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        if self.settled >= count {
            return None;
        }
        *self = Self::new(self.feel);
        let first: Vec<Option<PulsePosition>> = (0..count.min(LEARNED_FROM)).map(&at).collect();
        self.learn(&first);
        self.timing = self.timing.lag_and_swing_only();
        self.learn(&first);
        self.timing.restart_line();
        let at = |onset: usize| first.get(onset).map_or_else(|| at(onset), |at| *at);
        self.quantize(count, true, at, begins)
    }

    /// Learns the player's timing from the first onsets of a melody, without quantizing them. Assumes a steady
    /// player: otherwise early notes would count as late ones of the beat before.
    fn learn(&mut self, line: &[Option<PulsePosition>]) {
        let mut learned = 0;
        let at = |onset: usize| line.get(onset).copied().flatten();
        while let Some(group) = self.group(learned..line.len(), true, at) {
            learned += group.onsets.len();
            let away = self.by_player(&group).map(|by_player| by_player.away);
            self.learn_from(&group, &away.unwrap_or_default());
        }
    }

    /// Learns from a complete beat; `away` is the lateness of each note by the player's timing, in spreads.
    fn learn_from(&mut self, group: &BeatGroup, away: &[f64]) {
        if together(group.first.division) {
            self.timing.add(&group.onsets, group.first.seconds.0, away, group.beat);
        }
    }

    /// The candidates of a beat by the player's timing; `None` if its notes are quantized singly.
    fn by_player(&self, group: &BeatGroup) -> Option<ByPlayer> {
        let BeatGroup { first, onsets, .. } = group;
        if !together(first.division) || onsets.len() > MAX_NOTES {
            return None;
        }
        let and = if self.feel_of(first) == Feel::Straight { 0.5 } else { self.timing.and() };
        Some(by_player(onsets, first.seconds.0, &self.timing, and))
    }

    /// The feel for a beat: only eighths of a quarter pulse swing.
    fn feel_of(&self, at: &PulsePosition) -> Feel {
        if at.swings { self.feel } else { Feel::Straight }
    }

    /// The first onsets of `line` that belong to one beat; `steady` assumes a steady player.
    fn group(
        &self,
        line: Range<usize>,
        steady: bool,
        at: impl Fn(usize) -> Option<PulsePosition>,
    ) -> Option<BeatGroup> {
        let (start, mut rest) = (line.start, line);
        let first = at(rest.next()?)?;
        let (beat, from, shift) = self.home(&first, steady);
        let (onsets, shifts) = (ArrayVec::from_iter([from]), ArrayVec::from_iter([shift]));
        let mut group = BeatGroup { start, beat, first, onsets, shifts, over: false };
        for onset in rest {
            let (beat, from, shift) = self.home(&at(onset)?, steady);
            if !beat.is(group.beat.start) || group.onsets.try_push(from).is_err() {
                group.over = true;
                break;
            }
            group.shifts.push(shift);
        }
        Some(group)
    }

    /// The beat that a note belongs to, its position from there in pulses, and the pulses from the one it fell
    /// in to that beat.
    fn home(&self, at: &PulsePosition, steady: bool) -> (HomeBeat, f64, i8) {
        let (start, length, position) = (at.pulse, at.length, at.position());
        if 1.0 - position <= self.timing.ahead(at.seconds.0, steady) {
            (HomeBeat { start: start + length, length }, position - 1.0, 1)
        } else {
            (HomeBeat { start, length }, position, 0)
        }
    }

    /// Quantizes the notes of a beat. Returns the lateness of each by the player's timing, in spreads, if they
    /// are quantized together.
    fn push(
        &mut self,
        group: &BeatGroup,
        over: bool,
        at: impl Fn(usize) -> Option<PulsePosition>,
        begins: impl Fn(usize) -> bool,
    ) -> ArrayVec<f64, MAX_NOTES> {
        let BeatGroup { start, first, onsets, shifts, .. } = group;
        let single = |index| {
            let role = if begins(index) { PhraseRole::Start } else { PhraseRole::Inside };
            at(index)
                .map(|at| QuantizedOnset { settled: over, ..quantize_single(&at, role, self.feel) })
        };
        // The first note of a beat is quantized by itself until another comes.
        let is_alone = onsets.len() == 1 && !over;
        let Some(by_player) = self.by_player(group).filter(|_| !is_alone) else {
            for index in (*start..).take(onsets.len()) {
                let onset = single(index);
                reserve_one(&mut self.quantized);
                self.quantized.extend(onset);
            }
            return ArrayVec::new();
        };
        let feel = self.feel_of(first);
        let (by_beat, of_player) = if let Some(assignment) = self.timing.exact(onsets) {
            (Candidates::from_iter([(assignment, 0.0)]), 0.0)
        } else {
            let by_beat = by_beat(onsets);
            let of_player =
                mixture_weight::of_player(&self.timing, first.seconds.0, &by_beat, &by_player);
            (by_beat, of_player)
        };
        let swings = feel == Feel::Swing || (feel == Feel::Auto && self.timing.swings());
        let mut posteriors = [Posterior::default(); MAX_NOTES];
        add(&mut posteriors, of_player, &by_player.candidates, onsets.len(), feel == Feel::Swing);
        add(&mut posteriors, 1.0 - of_player, &by_beat, onsets.len(), swings);
        for (note, ((from, shift), posterior)) in
            onsets.iter().zip(shifts).zip(posteriors).enumerate()
        {
            let (subdivision, confidence) = likeliest(posterior);
            // A note exactly on a third or a quarter stays there, whatever the others do.
            let onset = if subdivision == PulseSubdivision::Other && is_exact(&[*from]) {
                single(start + note)
            } else {
                Some(QuantizedOnset { subdivision, shift: *shift, confidence, settled: over })
            };
            reserve_one(&mut self.quantized);
            self.quantized.extend(onset);
        }
        by_player.away
    }
}
