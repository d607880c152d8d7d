//! Follows a line beat by beat.

use super::costs::{ByPlayer, Ways, by_beat, by_player};
use super::grid_assignment::{MOST, together};
use super::mixture_weight;
use super::player_timing::{Habit, HomeBeat, is_exact};
use super::posterior::{Shares, add, likeliest};
use crate::quantization::note_quantizer::Role;
use crate::quantization::pulse_position::Spot;
use crate::quantization::reading::{Reading, alone};
use crate::quantization::subdivision::PulseSubdivision;
use crate::settings::Feel;
use crate::stats::vec_growth::make_room;
use arrayvec::ArrayVec;
use core::ops::Range;

/// Notes of a beat that are followed; past them a beat is read as if it were over.
const FOLLOWED: usize = 32;

/// What was known of the player is kept before one beat of so many; to go back, the beats from there
/// on are read once more.
const KEPT_EVERY: usize = 4;

/// From so many onsets it is learnt, before a whole line is read, how its player plays.
/// Origin: what is known of a player fades about as fast ([`super::player_timing`]).
const LEARNT_FROM: usize = 1000;

/// A place to go back to.
#[derive(Debug, Clone, Copy, Default)]
struct Stage {
    /// The first onset that comes after it.
    onset: usize,
    /// What is known of the player before that.
    habit: Habit,
}

/// The places of a line as it grows.
#[derive(Debug, Clone)]
pub struct BeatQuantizer {
    feel: Feel,
    readings: Vec<Reading>,
    /// How many readings are of beats that are complete, and how many such beats there are.
    settled: usize,
    beats: usize,
    stages: Vec<Stage>,
    habit: Habit,
}

/// The notes of one beat.
struct Group {
    start: usize,
    beat: HomeBeat,
    /// Where the first fell.
    first: Spot,
    /// Where each fell, in pulses from the beat.
    onsets: ArrayVec<f64, FOLLOWED>,
    /// Pulses from where each fell on to the beat.
    shifts: ArrayVec<i8, FOLLOWED>,
    /// A note of another beat has come.
    over: bool,
}

impl Default for BeatQuantizer {
    fn default() -> Self {
        Self::new(Feel::Auto)
    }
}

impl BeatQuantizer {
    /// A reader that has heard nothing.
    #[must_use]
    pub fn new(feel: Feel) -> Self {
        let (readings, stages) = (Vec::new(), Vec::new());
        Self { feel, readings, settled: 0, beats: 0, stages, habit: Habit::default() }
    }

    /// The readings of the onsets, of the first on.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// How many of the first readings will not change any more.
    #[must_use]
    pub fn settled(&self) -> usize {
        self.settled
    }

    /// Forgets the onsets from `onset` on, and what they told of those before.
    pub fn rewind(&mut self, onset: usize) {
        if self.settled >= onset {
            let kept = self.stages.partition_point(|stage| stage.onset < onset).saturating_sub(1);
            let back = self.stages.get(kept).copied();
            let Stage { onset, habit } = back.unwrap_or_default();
            (self.settled, self.beats, self.habit) = (onset, kept * KEPT_EVERY, habit);
            self.stages.truncate(kept);
        }
        self.readings.truncate(onset);
    }

    /// Reads a line of `count` onsets, of which those settled are as they were; `whole` where no more
    /// will come. `spot` is where an onset fell, `None` without a beat grid; `begins` is whether a
    /// phrase begins there. Gives the first onset that is read otherwise than before.
    pub fn read(
        &mut self,
        count: usize,
        whole: bool,
        spot: impl Fn(usize) -> Option<Spot>,
        begins: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        let settled = self.settled();
        let before = self.readings.split_off(settled.min(self.readings.len()));
        while let Some(group) =
            self.group(self.readings.len()..count, self.habit.is_steady(), &spot)
        {
            let over = group.over || whole;
            let away = self.push(&group, over, &spot, &begins);
            if !over {
                break;
            }
            if self.beats.is_multiple_of(KEPT_EVERY) {
                make_room(&mut self.stages);
                self.stages.push(Stage { onset: self.settled, habit: self.habit });
            }
            self.beats += 1;
            self.settled = self.readings.len();
            self.learn_from(&group, &away);
        }
        let now = self.readings.get(settled..).unwrap_or_default();
        let same = now.iter().zip(&before).take_while(|(now, before)| now == before).count();
        (same < now.len().max(before.len())).then_some(settled + same)
    }

    /// Reads a whole line as [`Self::read`] does, by what its first beats tell of the player from its
    /// beginning on.
    pub fn read_whole(
        &mut self,
        count: usize,
        spot: impl Fn(usize) -> Option<Spot>,
        begins: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        if self.settled >= count {
            return None;
        }
        *self = Self::new(self.feel);
        let first: Vec<Option<Spot>> = (0..count.min(LEARNT_FROM)).map(&spot).collect();
        self.learn(&first);
        self.habit = self.habit.timing_only();
        self.learn(&first);
        self.habit.begin_anew();
        let spot = |onset: usize| first.get(onset).map_or_else(|| spot(onset), |spot| *spot);
        self.read(count, true, spot, begins)
    }

    /// Learns the player's timing from the first onsets of a line, which are not read. Beats are found
    /// as a steady player's: else who comes in early seems to come in late for the beat before.
    fn learn(&mut self, line: &[Option<Spot>]) {
        let mut heard = 0;
        let spot = |onset: usize| line.get(onset).copied().flatten();
        while let Some(group) = self.group(heard..line.len(), true, spot) {
            heard += group.onsets.len();
            let away = self.by_player(&group).map(|by_player| by_player.away);
            self.learn_from(&group, &away.unwrap_or_default());
        }
    }

    /// Takes in a beat that is complete, whose notes are so late by the player's timing, in spreads.
    fn learn_from(&mut self, group: &Group, away: &[f64]) {
        if together(group.first.division) {
            self.habit.take(&group.onsets, group.first.seconds.0, away, group.beat);
        }
    }

    /// The ways of a beat by the player's timing; `None` where its notes are not read together.
    fn by_player(&self, group: &Group) -> Option<ByPlayer> {
        let Group { first, onsets, .. } = group;
        if !together(first.division) || onsets.len() > MOST {
            return None;
        }
        let and = if self.feel_of(first) == Feel::Straight { 0.5 } else { self.habit.and() };
        Some(by_player(onsets, first.seconds.0, &self.habit, and))
    }

    /// The feel in which a beat is read: eighths of other pulses than quarters do not swing.
    fn feel_of(&self, spot: &Spot) -> Feel {
        if spot.swings { self.feel } else { Feel::Straight }
    }

    /// The first onsets of `line` that belong to one beat, of a player who is taken to be steady, or
    /// not.
    fn group(
        &self,
        line: Range<usize>,
        steady: bool,
        spot: impl Fn(usize) -> Option<Spot>,
    ) -> Option<Group> {
        let (start, mut rest) = (line.start, line);
        let first = spot(rest.next()?)?;
        let (beat, from, shift) = self.home(&first, steady);
        let (onsets, shifts) = (ArrayVec::from_iter([from]), ArrayVec::from_iter([shift]));
        let mut group = Group { start, beat, first, onsets, shifts, over: false };
        for onset in rest {
            let (beat, from, shift) = self.home(&spot(onset)?, steady);
            if !beat.is(group.beat.start) || group.onsets.try_push(from).is_err() {
                group.over = true;
                break;
            }
            group.shifts.push(shift);
        }
        Some(group)
    }

    /// The beat that a note belongs to, where it fell in pulses from there, and pulses on to it.
    fn home(&self, spot: &Spot, steady: bool) -> (HomeBeat, f64, i8) {
        let (start, length, position) = (spot.pulse, spot.length, spot.position());
        if 1.0 - position <= self.habit.ahead(spot.seconds.0, steady) {
            (HomeBeat { start: start + length, length }, position - 1.0, 1)
        } else {
            (HomeBeat { start, length }, position, 0)
        }
    }

    /// Reads the notes of a beat. Gives how late each is by the player's timing, in spreads, where
    /// they are read together.
    fn push(
        &mut self,
        group: &Group,
        over: bool,
        spot: impl Fn(usize) -> Option<Spot>,
        begins: impl Fn(usize) -> bool,
    ) -> ArrayVec<f64, MOST> {
        let Group { start, first, onsets, shifts, .. } = group;
        let by_itself = |index| {
            let role = if begins(index) { Role::PhraseStart } else { Role::Inside };
            spot(index).map(|spot| Reading { settled: over, ..alone(&spot, role, self.feel) })
        };
        // The first note of a beat is read by itself until another comes.
        let is_alone = onsets.len() == 1 && !over;
        let Some(by_player) = self.by_player(group).filter(|_| !is_alone) else {
            for index in (*start..).take(onsets.len()) {
                let reading = by_itself(index);
                make_room(&mut self.readings);
                self.readings.extend(reading);
            }
            return ArrayVec::new();
        };
        let feel = self.feel_of(first);
        let (by_beat, of_player) = if let Some(lying) = self.habit.exact(onsets) {
            (Ways::from_iter([(lying, 0.0)]), 0.0)
        } else {
            let by_beat = by_beat(onsets);
            let of_player =
                mixture_weight::of_player(&self.habit, first.seconds.0, &by_beat, &by_player);
            (by_beat, of_player)
        };
        let swings = feel == Feel::Swing || (feel == Feel::Auto && self.habit.swings());
        let mut likely = [Shares::default(); MOST];
        add(&mut likely, of_player, &by_player.ways, onsets.len(), feel == Feel::Swing);
        add(&mut likely, 1.0 - of_player, &by_beat, onsets.len(), swings);
        for (note, ((from, shift), likely)) in onsets.iter().zip(shifts).zip(likely).enumerate() {
            let (slot, confidence) = likeliest(likely);
            // What lies exactly on a plain place is there, however the others lie.
            let reading = if slot == PulseSubdivision::Other && is_exact(&[*from]) {
                by_itself(start + note)
            } else {
                Some(Reading { slot, shift: *shift, confidence, settled: over })
            };
            make_room(&mut self.readings);
            self.readings.extend(reading);
        }
        by_player.away
    }
}
