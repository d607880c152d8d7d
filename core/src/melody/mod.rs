//! The melody line in what a soloist plays, before anything is said of phrases: chords are one
//! onset, a left hand or bass strings under the line are set apart, slips are passed over, grace
//! notes belong to their main note.
//!
//! # What is heard
//! 1. `strikes`: notes struck as one, without glitches and double triggers.
//! 2. `voices`: whether a strike is the line's or lies under it. A monophonic take is never
//!    divided, whatever its leaps.
//! 3. `ornaments`: short notes before a main note, which is then the onset.
//!
//! # Conventions
//! All is a function of the notes and their ends alone, whenever and however often
//! [`Follower::follow`] is called. A note is judged by what began or ended up to [`SETTLED`] after
//! it; from then on the judgement stands. While a note sounds it is taken to sound on. The first
//! [`OPENING`] strikes are judged together, as no register is known before.

mod channels;
mod ornaments;
mod recent;
mod registers;
mod strike;
mod strikes;
mod voices;

use crate::note::Note;
use crate::time::SecondSpan;
use core::ops::Range;
use recent::Recent;
use serde::{Deserialize, Serialize};
use strike::Strike;
use strikes::Step;
use voices::Voices;

/// How the line is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Melody {
    /// Which notes it may leave out.
    pub follow: Follow,
}

/// Which strikes are the line's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Follow {
    /// All of them, until notes are heard together in two registers: then the upper one's.
    #[default]
    Auto,
    /// All of them. A chord is one onset.
    All,
    /// The upper register's, from the first note on.
    Top,
}

/// What a note is to the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum NoteRole {
    /// It is one of the line's onsets.
    Main,
    /// A grace note of the onset after it.
    Ornament,
    /// Not meant: a slip, or a key's second trigger.
    Glitch,
    /// Accompaniment, or a chord's note under the line's.
    Under,
}

/// An onset of the line. Indices are those of notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineOnset {
    /// The line's note: its attack is the onset's place, its key the line's pitch.
    pub note: usize,
    /// The first note that belongs to it, grace notes and the chord under it among them.
    pub first: usize,
    /// The note whose end is the onset's: `note`, or its key's second trigger.
    pub held: usize,
    /// How many grace notes come before `note`.
    pub ornaments: u8,
}

/// The notes that a line sounds as: an onset's note, up to its end.
#[must_use]
pub fn line_notes(notes: &[Note], line: &[LineOnset]) -> Vec<Note> {
    let sounded = |onset: &LineOnset| {
        let off = notes.get(onset.held)?.off;
        Some(Note { off, ..*notes.get(onset.note)? })
    };
    line.iter().filter_map(sounded).collect()
}

/// A judgement stands when the newest note began this long after the note. Origin: the sum of
/// three grace notes, a main note twice as long, and what a strike waits for, rounded up.
pub const SETTLED: SecondSpan = SecondSpan(1.6);

/// The first strikes of a take may be judged anew until there are so many: when two voices show
/// among them, they are told apart from the first note on. Origin: four bars of eighths.
pub const OPENING: usize = 32;

/// The line of one take as it grows.
#[derive(Debug, Clone, Default)]
pub struct Follower {
    melody: Melody,
    /// The opening is over: where the settled state began is settled too.
    opened: bool,
    /// State before the first note that is not settled.
    settled: State,
    /// Strikes of the line, the settled ones first.
    strikes: Vec<Strike>,
    /// Strikes whose grace notes are settled, and the onsets made of them.
    folded: usize,
    onsets: usize,
    line: Vec<LineOnset>,
    roles: Vec<NoteRole>,
}

/// What is known up to a note.
#[derive(Debug, Clone, Default)]
struct State {
    /// Notes dealt with.
    notes: usize,
    /// Strikes of the line among them.
    strikes: usize,
    recent: Recent,
    voices: Voices,
}

impl Follower {
    /// A follower that has heard nothing.
    #[must_use]
    pub fn new(melody: Melody) -> Self {
        Self { melody, ..Self::default() }
    }

    /// The whole line of `notes`.
    #[must_use]
    pub fn line_of(notes: &[Note], melody: Melody) -> Vec<LineOnset> {
        let mut follower = Self::new(melody);
        follower.follow(notes);
        follower.line
    }

    /// The line so far.
    #[must_use]
    pub fn line(&self) -> &[LineOnset] {
        &self.line
    }

    /// What each note is to the line.
    #[must_use]
    pub fn roles(&self) -> &[NoteRole] {
        &self.roles
    }

    /// How many notes were not meant.
    #[must_use]
    pub fn glitches(&self) -> usize {
        self.roles.iter().filter(|role| **role == NoteRole::Glitch).count()
    }

    /// Hears `notes`, the same as before and those that have come since, in order of onset and,
    /// at equal onsets, of key. Returns the index of the first onset of the line that changed or
    /// came anew: the line's length where none did. It costs as much as the notes of the last
    /// [`SETTLED`] and those since, and may be called as seldom as one likes.
    pub fn follow(&mut self, notes: &[Note]) -> usize {
        let kept = self.onsets;
        let old = self.line.split_off(kept.min(self.line.len()));
        self.strikes.truncate(self.settled.strikes);
        self.roles.truncate(self.settled.notes);
        let newest = notes.last().map_or(0.0, |n| n.on.second.0);
        let settled_until = newest - strikes::SETTLED;
        if !self.opened {
            let (voices, until) = self.opening(notes);
            self.settled = State { voices, ..State::default() };
            self.opened = until < settled_until;
        }
        let mut state = core::mem::take(&mut self.settled);
        self.hear(&mut state, notes, if self.opened { settled_until } else { f64::NEG_INFINITY });
        self.settled = state.clone();
        self.hear(&mut state, notes, f64::INFINITY);
        self.settle_onsets(notes, newest - SETTLED.0);
        self.fold(notes, self.folded..self.strikes.len());
        let new = self.line.iter().skip(kept);
        kept + new.zip(&old).take_while(|(new, old)| new == old).count()
    }

    /// The voices at the first note, with what is learnt in the opening, and the second at which
    /// that was over.
    fn opening(&self, notes: &[Note]) -> (Voices, f64) {
        let mut trial = Self::new(self.melody);
        let mut state = State::default();
        for _ in 0..OPENING {
            trial.step(&mut state, notes);
        }
        let over = notes.get(state.notes).map_or(f64::INFINITY, |n| n.on.second.0);
        (state.voices.at_first(), over)
    }

    /// Deals with the notes that began before `until`, in seconds, and those struck with them.
    fn hear(&mut self, state: &mut State, notes: &[Note], until: f64) {
        while let Some(note) = notes.get(state.notes) {
            if note.on.second.0 >= until {
                break;
            }
            self.step(state, notes);
        }
    }

    /// Deals with the next strike.
    fn step(&mut self, state: &mut State, notes: &[Note]) {
        if state.notes >= notes.len() {
            return;
        }
        match strikes::read(notes, state.notes, &mut self.roles, &state.recent) {
            Step::Glitch => {}
            Step::Again(before) => {
                if let Some(last) = self.strikes.last_mut().filter(|s| s.top == before) {
                    last.held = state.notes;
                }
            }
            Step::Strike(strike) => {
                state.recent.hear(notes, &strike);
                if state.voices.hear(notes, &strike, self.melody.follow) {
                    self.enter(&strike);
                    state.strikes += 1;
                }
            }
        }
        state.notes = self.roles.len();
    }

    /// Puts a strike in the line.
    fn enter(&mut self, strike: &Strike) {
        let graces = (strike.first..strike.next).filter(|n| strike.graces.contains(*n));
        for (note, role) in
            graces.map(|grace| (grace, NoteRole::Ornament)).chain([(strike.top, NoteRole::Main)])
        {
            self.give(note, role);
        }
        self.strikes.push(*strike);
    }

    fn give(&mut self, note: usize, new: NoteRole) {
        if let Some(role) = self.roles.get_mut(note) {
            *role = new;
        }
    }

    /// Makes onsets of the strikes that began before `until`, for good.
    fn settle_onsets(&mut self, notes: &[Note], until: f64) {
        let mut end = self.folded;
        for index in self.folded..self.settled.strikes {
            let Some(strike) = self.strikes.get(index) else { break };
            if !notes.get(strike.top).is_some_and(|n| n.on.second.0 < until) {
                break;
            }
            if !ornaments::is_ornament(&self.strikes, notes, index) {
                end = index + 1;
            }
        }
        self.fold(notes, self.folded..end);
        (self.folded, self.onsets) = (end, self.line.len());
    }

    /// Makes onsets of these strikes.
    fn fold(&mut self, notes: &[Note], strikes: Range<usize>) {
        let mut before: Option<LineOnset> = None;
        for index in strikes {
            let Some(strike) = self.strikes.get(index).copied() else { break };
            let mut onset = LineOnset {
                note: strike.top,
                first: strike.first,
                held: strike.held,
                ornaments: strike.graces.count(),
            };
            if let Some(before) = before.take() {
                onset.first = before.first;
                onset.ornaments = onset.ornaments.saturating_add(before.ornaments);
            }
            if ornaments::is_ornament(&self.strikes, notes, index) {
                self.give(strike.top, NoteRole::Ornament);
                onset.ornaments = onset.ornaments.saturating_add(1);
                before = Some(onset);
            } else {
                self.give(strike.top, NoteRole::Main);
                self.line.push(onset);
            }
        }
    }
}

#[cfg(test)]
mod tests;
