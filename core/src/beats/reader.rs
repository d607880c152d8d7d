//! Follows a line beat by beat.

use super::costs::{Ways, by_beat, by_player};
use super::divide::{MOST, together};
use super::habit::{Habit, is_exact};
use crate::place_model::Role;
use crate::reading::{Reading, Spot, alone};
use crate::room::make_room;
use crate::settings::Feel;
use crate::slot::Slot;
use crate::time::Beat;

/// Beats are one where they begin this close, in pulses.
const SAME: f64 = 0.05;

/// Notes of a beat that are followed; past them a beat is read as if it were over.
const FOLLOWED: usize = 32;

/// A steady player's beat of more notes than this is read by the beat.
const STEADY_MOST: usize = 8;

/// What was known of the player is kept before one beat of so many; to go back, the beats from there
/// on are read once more.
const KEPT_EVERY: usize = 4;

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
pub struct BeatReader {
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
    /// Where each fell, pulses on to its beat, and pulses from that beat.
    notes: Vec<(Spot, i8, f64)>,
    /// A note of another beat has come.
    over: bool,
}

impl Default for BeatReader {
    fn default() -> Self {
        Self::new(Feel::Auto)
    }
}

impl BeatReader {
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
        while let Some(group) = self.group(count, &spot) {
            let over = group.over || whole;
            self.push(&group, over, &begins);
            if !over {
                break;
            }
            if self.beats.is_multiple_of(KEPT_EVERY) {
                make_room(&mut self.stages);
                self.stages.push(Stage { onset: self.settled, habit: self.habit });
            }
            self.beats += 1;
            self.settled = self.readings.len();
            if let Some((first, ..)) = group.notes.first().filter(|note| together(note.0.division))
            {
                let onsets: Vec<f64> = group.notes.iter().map(|note| note.2).collect();
                self.habit.take(&onsets, first.seconds.0);
            }
        }
        let now = self.readings.get(settled..).unwrap_or_default();
        let same = now.iter().zip(&before).take_while(|(now, before)| now == before).count();
        (same < now.len().max(before.len())).then_some(settled + same)
    }

    /// The notes of the beat that the next onset belongs to.
    fn group(&self, count: usize, spot: impl Fn(usize) -> Option<Spot>) -> Option<Group> {
        let start = self.readings.len();
        let mut group = Group { start, notes: Vec::new(), over: false };
        let mut home: Option<Beat> = None;
        for onset in start..count {
            let spot = spot(onset)?;
            let position = spot.position();
            let ahead = 1.0 - position <= self.habit.ahead(spot.seconds.0);
            let from = if ahead { position - 1.0 } else { position };
            let beat = if ahead { spot.pulse + spot.length } else { spot.pulse };
            let another = home.is_some_and(|home| (beat - home).0.abs() > SAME * spot.length.0);
            if another || group.notes.len() == FOLLOWED {
                group.over = true;
                break;
            }
            home = Some(beat);
            group.notes.push((spot, i8::from(ahead), from));
        }
        (!group.notes.is_empty()).then_some(group)
    }

    /// Reads the notes of a beat.
    fn push(&mut self, group: &Group, over: bool, begins: impl Fn(usize) -> bool) {
        let Some((spot, ..)) = group.notes.first() else { return };
        let count = group.notes.len();
        if !together(spot.division) || count > MOST || (!over && count == 1) {
            for (index, (spot, ..)) in (group.start..).zip(&group.notes) {
                let role = if begins(index) { Role::PhraseStart } else { Role::Inside };
                make_room(&mut self.readings);
                self.readings.push(Reading { settled: over, ..alone(spot, role, self.feel) });
            }
            return;
        }
        let onsets: Vec<f64> = group.notes.iter().map(|note| note.2).collect();
        let feel = if spot.swings { self.feel } else { Feel::Straight };
        let steady = count <= STEADY_MOST && self.habit.reads(&onsets);
        let (ways, swings) = if steady {
            let and = if feel == Feel::Straight { 0.5 } else { self.habit.and() };
            (by_player(&onsets, spot.seconds.0, &self.habit, and), feel == Feel::Swing)
        } else {
            let swings = feel == Feel::Swing || (feel == Feel::Auto && self.habit.swings());
            (by_beat(&onsets), swings)
        };
        for (note, (spot, shift, from)) in group.notes.iter().enumerate() {
            make_room(&mut self.readings);
            let (slot, confidence) = likeliest(&ways, note, count, swings);
            // What lies exactly on a plain place is there, however the others lie.
            if slot == Slot::Other && is_exact(&[*from]) {
                let role =
                    if begins(group.start + note) { Role::PhraseStart } else { Role::Inside };
                self.readings.push(Reading { settled: over, ..alone(spot, role, self.feel) });
                continue;
            }
            self.readings.push(Reading { slot, shift: *shift, confidence, settled: over });
        }
    }
}

/// The spots of notes.
const SLOTS: [Slot; 7] = [
    Slot::On,
    Slot::Half,
    Slot::Third,
    Slot::TwoThirds,
    Slot::Quarter,
    Slot::ThreeQuarters,
    Slot::Other,
];

/// The likeliest spot of a note, with its probability: first whether it is on the beat, on the
/// "and" or elsewhere, then where.
fn likeliest(ways: &Ways, note: usize, notes: usize, swings: bool) -> (Slot, f32) {
    let most = ways.iter().map(|way| way.1).fold(f64::NEG_INFINITY, f64::max);
    let mut shares = [0.0_f64; SLOTS.len()];
    for (lying, likely) in ways {
        let slot = lying.slot(note, notes, swings);
        if let Some((_, share)) = SLOTS.iter().zip(&mut shares).find(|(s, _)| **s == slot) {
            *share += (likely - most).exp();
        }
    }
    let whole: f64 = shares.iter().sum();
    let [on, half, rest @ ..] = shares;
    let rest_sum: f64 = rest.iter().sum();
    let (from, to) = match () {
        () if on >= half && on >= rest_sum => (0, 1),
        () if half >= rest_sum => (1, 2),
        () => (2, SLOTS.len()),
    };
    let of_kind = SLOTS.iter().zip(shares).take(to).skip(from);
    let best = of_kind.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((&Slot::Other, 0.0));
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = if whole > 0.0 { (best.1 / whole) as f32 } else { 0.0 };
    (*best.0, confidence)
}
