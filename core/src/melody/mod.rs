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
mod clusters;
mod onset_cluster;
pub mod onsets;
mod ornaments;
mod recent;
mod registers;
mod voices;

use crate::input::note::Note;
use crate::stats::vec_growth::make_room;
use crate::time::{Moment, SecondSpan};
use clusters::Step;
use core::ops::Range;
use onset_cluster::OnsetCluster;
use recent::Recent;
use serde::{Deserialize, Serialize};
use voices::Voices;

/// Which of the soloist's notes are the line's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Melody {
    /// All that were meant, until notes are heard together in two registers: then the upper one's.
    #[default]
    Auto,
    /// The upper register's, from the first note on.
    Top,
    /// Every note, as it came. Those struck at the same moment are one onset.
    All,
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

/// An onset of the line. Indices are those of notes; `first` is the least of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct MelodyOnset {
    /// The line's note: its attack is the onset's place, its key the line's pitch.
    pub note: usize,
    /// The first note that belongs to it, grace notes and the chord under it among them.
    pub first: usize,
    /// The note whose end is the onset's: `note`, or its key's second trigger.
    pub held: usize,
    /// How many grace notes come before `note`.
    pub ornaments: u8,
}

impl MelodyOnset {
    /// When it ends; `None` while it sounds.
    #[must_use]
    pub fn off(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.held)?.off
    }

    /// When it is struck: where its place is.
    #[must_use]
    pub fn on(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.note).map(|note| note.on)
    }

    /// When the silence before it ends: with its first grace note, or as it is struck.
    #[must_use]
    pub fn opens(&self, notes: &[Note]) -> Option<Moment> {
        let first = if self.ornaments > 0 { self.first } else { self.note };
        notes.get(first).map(|note| note.on)
    }

    /// How many of the line's notes it is, with its grace notes.
    #[must_use]
    pub fn notes(&self) -> usize {
        1 + usize::from(self.ornaments)
    }
}

/// How many notes are what to the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct RoleCounts {
    /// Onsets of the line.
    pub main: usize,
    /// Grace notes.
    pub ornaments: usize,
    /// Slips and second triggers, which are left out.
    pub glitches: usize,
    /// Accompaniment, and notes of a chord under the line's.
    pub under: usize,
}

impl RoleCounts {
    fn add(&mut self, role: NoteRole) {
        let count = match role {
            NoteRole::Main => &mut self.main,
            NoteRole::Ornament => &mut self.ornaments,
            NoteRole::Glitch => &mut self.glitches,
            NoteRole::Under => &mut self.under,
        };
        *count += 1;
    }
}

/// A judgement stands when the newest note began this long after the note. Origin: the sum of
/// three grace notes, a main note twice as long, and what a strike waits for, rounded up.
pub const SETTLED: SecondSpan = SecondSpan(1.6);

/// The first strikes of a take may be judged anew until there are so many: when two voices show
/// among them, they are told apart from the first note on. Origin: four bars of eighths.
pub const OPENING: usize = 32;

/// Notes are heard, and strikes forgotten, so many at a time.
const STRETCH: usize = 1_024;

/// More strikes than [`ornaments`] looks back over.
const LOOK_BACK: usize = 16;

/// The line of one take as it grows.
#[derive(Debug, Clone, Default)]
pub struct Follower {
    melody: Melody,
    /// The opening is over: where the settled state began is settled too.
    opened: bool,
    /// State before the first note that is not settled.
    settled: State,
    /// Strikes of the line, the settled ones first; those far back are forgotten.
    strikes: Vec<OnsetCluster>,
    /// Strikes whose grace notes are settled, of those there are, and the onsets made of them and of
    /// those that were forgotten.
    folded: usize,
    onsets: usize,
    line: Vec<MelodyOnset>,
    roles: Vec<NoteRole>,
    /// The first roles, which will not change, counted.
    counted: (usize, RoleCounts),
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
    pub fn line_of(notes: &[Note], melody: Melody) -> Vec<MelodyOnset> {
        let mut follower = Self::new(melody);
        follower.follow(notes);
        follower.line
    }

    /// The line so far.
    #[must_use]
    pub fn line(&self) -> &[MelodyOnset] {
        &self.line
    }

    /// What each note is to the line.
    #[must_use]
    pub fn roles(&self) -> &[NoteRole] {
        &self.roles
    }

    /// How many of the first onsets will not change any more.
    #[must_use]
    pub fn firm(&self) -> usize {
        self.onsets
    }

    /// How many notes are what to the line.
    #[must_use]
    pub fn counts(&self) -> RoleCounts {
        let (firm, mut counts) = self.counted;
        self.roles.iter().skip(firm).for_each(|role| counts.add(*role));
        counts
    }

    /// Counts the roles that will not change any more.
    fn count_firm_roles(&mut self) {
        let open = self.strikes.get(self.folded).map_or(usize::MAX, |strike| strike.first);
        let firm = open.min(self.settled.notes);
        let (counted, counts) = &mut self.counted;
        for role in self.roles.get(*counted..firm).unwrap_or_default() {
            counts.add(*role);
        }
        *counted = firm.max(*counted);
    }

    /// Hears `notes`, the same as before and those that have come since, in order of onset and,
    /// at equal onsets, of key. Returns the index of the first onset of the line that changed or
    /// came anew: the line's length where none did. It costs as much as the notes of the last
    /// [`SETTLED`] and those since, and may be called as seldom as one likes.
    pub fn follow(&mut self, notes: &[Note]) -> usize {
        if self.melody == Melody::All {
            return self.take_all(notes);
        }
        // Many at once are heard bit by bit, so that they take no more memory than as they come.
        let bits = (self.roles.len()..notes.len()).step_by(STRETCH).skip(1);
        let known = self.line.len();
        let changed = bits.filter_map(|end| Some(self.hear_all(notes.get(..end)?))).min();
        changed.unwrap_or(known).min(self.hear_all(notes))
    }

    /// As [`Follower::follow`] says of `notes`.
    fn hear_all(&mut self, notes: &[Note]) -> usize {
        let kept = self.onsets;
        let old = self.line.split_off(kept.min(self.line.len()));
        self.strikes.truncate(self.settled.strikes);
        self.roles.truncate(self.settled.notes);
        let newest = notes.last().map_or(0.0, |n| n.on.second.0);
        let settled_until = newest - clusters::SETTLED;
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
        self.count_firm_roles();
        self.forget_strikes();
        let new = self.line.iter().skip(kept);
        kept + new.zip(&old).take_while(|(new, old)| new == old).count()
    }

    /// Forgets the strikes that nothing looks back to any more.
    fn forget_strikes(&mut self) {
        let old = self.folded.saturating_sub(LOOK_BACK);
        if old >= STRETCH {
            self.strikes.drain(..old);
            self.folded -= old;
            self.settled.strikes -= old;
        }
    }

    /// Takes every note that has come. Returns as [`Follower::follow`] does.
    fn take_all(&mut self, notes: &[Note]) -> usize {
        let mut changed = self.line.len();
        for (index, note) in notes.iter().enumerate().skip(self.roles.len()) {
            let newest = self.line.len().saturating_sub(1);
            match self.line.last_mut() {
                Some(last) if last.on(notes).is_some_and(|on| on.second == note.on.second) => {
                    (last.note, last.held) = (index, index);
                    changed = changed.min(newest);
                }
                _ => {
                    let struck =
                        MelodyOnset { note: index, first: index, held: index, ornaments: 0 };
                    make_room(&mut self.line);
                    self.line.push(struck);
                }
            }
            self.roles.push(NoteRole::Main);
            self.counted.1.main += 1;
        }
        self.counted.0 = self.roles.len();
        self.onsets = self.line.len().saturating_sub(1);
        changed
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
        match clusters::read(notes, state.notes, &mut self.roles, &state.recent) {
            Step::Glitch => {}
            Step::Again(before) => {
                if let Some(last) = self.strikes.last_mut().filter(|s| s.top == before) {
                    last.held = state.notes;
                }
            }
            Step::OnsetCluster(strike) => {
                state.recent.hear(notes, &strike);
                if state.voices.hear(notes, &strike, self.melody) {
                    self.enter(&strike);
                    state.strikes += 1;
                }
            }
        }
        state.notes = self.roles.len();
    }

    /// Puts a strike in the line.
    fn enter(&mut self, strike: &OnsetCluster) {
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
        let mut before: Option<MelodyOnset> = None;
        for index in strikes {
            let Some(strike) = self.strikes.get(index).copied() else { break };
            let mut onset = MelodyOnset {
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
                make_room(&mut self.line);
                self.line.push(onset);
            }
        }
    }
}

#[cfg(test)]
mod tests;
