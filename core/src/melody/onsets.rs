//! The onsets of a growing melody.

use super::clusters::{self, Found};
use super::onset::{MelodyOnset, TimedOnset};
use super::onset_cluster::OnsetCluster;
use super::ornaments;
use super::recent::Recent;
use super::role::{NoteRole, RoleCounts};
use super::voices::Voices;
use crate::input::note::Note;
use crate::stats::vec_growth::reserve_one;
use crate::take::settings::Melody;
use crate::time::SecondSpan;
use core::ops::Range;

/// A note's role is final when the newest note began this long after it. Origin: three grace notes, a
/// main note twice as long, and the time until a cluster settles, rounded up.
pub const SETTLED: SecondSpan = SecondSpan(1.6);

/// The first clusters of a take are judged again until there are this many: if two voices show among
/// them, they are separated from the first note on. Origin: four bars of eighths.
pub const OPENING: usize = 32;

/// Notes are processed, and old clusters dropped, this many at a time.
const STRETCH: usize = 1_024;

/// More clusters than [`ornaments`] looks back over.
const LOOK_BACK: usize = 16;

/// The melody of one take as it grows.
#[derive(Debug, Clone, Default)]
pub struct MelodyOnsets {
    melody: Melody,
    /// The opening is over: the initial state is final.
    opened: bool,
    /// State before the first unsettled note.
    settled: State,
    /// Clusters of the line, the settled ones first; old ones are dropped.
    clusters: Vec<OnsetCluster>,
    /// How many of them have settled grace notes, and the number of onsets made of these and dropped ones.
    folded: usize,
    onsets: usize,
    line: Vec<MelodyOnset>,
    roles: Vec<NoteRole>,
    /// How many of the first roles are final, and their counts.
    counted: (usize, RoleCounts),
}

/// The state before a note.
#[derive(Debug, Clone, Default)]
struct State {
    notes: usize,
    /// Clusters of the line among them.
    clusters: usize,
    recent: Recent,
    voices: Voices,
}

impl MelodyOnsets {
    /// No onsets yet.
    pub fn new(melody: Melody) -> Self {
        Self { melody, ..Self::default() }
    }

    /// The melody of all of `notes`.
    pub fn of(notes: &[Note], melody: Melody) -> Self {
        let mut onsets = Self::new(melody);
        onsets.follow(notes);
        onsets
    }

    /// All onsets, in order.
    pub fn all(&self) -> &[MelodyOnset] {
        &self.line
    }

    /// How many onsets there are.
    pub fn len(&self) -> usize {
        self.line.len()
    }

    /// Whether there is no onset.
    pub fn is_empty(&self) -> bool {
        self.line.is_empty()
    }

    /// Onset `index`, if there is one.
    pub fn get(&self, index: usize) -> Option<MelodyOnset> {
        self.line.get(index).copied()
    }

    /// How many of the first onsets are final.
    pub fn firm(&self) -> usize {
        self.onsets
    }

    /// The role of each note so far.
    pub fn roles(&self) -> &[NoteRole] {
        &self.roles
    }

    /// Note count per role.
    pub fn counts(&self) -> RoleCounts {
        let (firm, mut counts) = self.counted;
        self.roles.iter().skip(firm).for_each(|role| counts.add(*role));
        counts
    }

    /// Onset `index` in seconds.
    pub fn timed(&self, index: usize, notes: &[Note]) -> Option<TimedOnset> {
        let onset = self.get(index)?;
        let before = index.checked_sub(1).and_then(|before| self.get(before));
        let ended =
            before.map(|before| before.off(notes).map_or(f64::INFINITY, |off| off.second.0));
        Some(TimedOnset {
            at: onset.on(notes)?.second.0,
            opens: onset.opens(notes)?.second.0,
            key: f64::from(notes.get(onset.note)?.key),
            before_ended: ended.unwrap_or(f64::NEG_INFINITY),
        })
    }

    /// All onsets in seconds.
    pub fn all_timed<'a>(&'a self, notes: &'a [Note]) -> impl Iterator<Item = TimedOnset> + 'a {
        (0..self.len()).filter_map(|index| self.timed(index, notes))
    }

    /// Counts the roles that have become final.
    fn count_firm_roles(&mut self) {
        let open = self.clusters.get(self.folded).map_or(usize::MAX, |cluster| cluster.first);
        let firm = open.min(self.settled.notes);
        let (counted, counts) = &mut self.counted;
        for role in self.roles.get(*counted..firm).unwrap_or_default() {
            counts.add(*role);
        }
        *counted = firm.max(*counted);
    }

    /// Processes `notes`: those of the last call and any since, in order of onset, then key. Returns the
    /// index of the first onset that changed or is new, or else the number of onsets. The cost grows with the
    /// notes since [`SETTLED`] before the last call.
    pub fn follow(&mut self, notes: &[Note]) -> usize {
        if self.melody == Melody::All {
            return self.take_all(notes);
        }
        // Many at once are processed in chunks, to bound memory.
        let chunks = (self.roles.len()..notes.len()).step_by(STRETCH).skip(1);
        let known = self.line.len();
        let changed = chunks.filter_map(|end| Some(self.follow_some(notes.get(..end)?))).min();
        changed.unwrap_or(known).min(self.follow_some(notes))
    }

    /// [`MelodyOnsets::follow`] for a bounded number of new notes.
    fn follow_some(&mut self, notes: &[Note]) -> usize {
        let kept = self.onsets;
        let old = self.line.split_off(kept.min(self.line.len()));
        self.clusters.truncate(self.settled.clusters);
        self.roles.truncate(self.settled.notes);
        let newest = notes.last().map_or(0.0, |n| n.on.second.0);
        let settled_until = newest - clusters::SETTLED;
        if !self.opened {
            let (voices, until) = self.opening(notes);
            self.settled = State { voices, ..State::default() };
            self.opened = until < settled_until;
        }
        let mut state = core::mem::take(&mut self.settled);
        self.advance(
            &mut state,
            notes,
            if self.opened { settled_until } else { f64::NEG_INFINITY },
        );
        self.settled = state.clone();
        self.advance(&mut state, notes, f64::INFINITY);
        self.settle_onsets(notes, newest - SETTLED.0);
        self.fold(notes, self.folded..self.clusters.len());
        self.count_firm_roles();
        self.drop_old_clusters();
        let new = self.line.iter().skip(kept);
        kept + new.zip(&old).take_while(|(new, old)| new == old).count()
    }

    /// Drops clusters that are no longer needed.
    fn drop_old_clusters(&mut self) {
        let old = self.folded.saturating_sub(LOOK_BACK);
        if old >= STRETCH {
            self.clusters.drain(..old);
            self.folded -= old;
            self.settled.clusters -= old;
        }
    }

    /// Makes every note an onset. Returns as [`MelodyOnsets::follow`] does.
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
                    reserve_one(&mut self.line);
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

    /// The voices at the first note, learned from the opening, and the second at which that ends.
    fn opening(&self, notes: &[Note]) -> (Voices, f64) {
        let mut trial = Self::new(self.melody);
        let mut state = State::default();
        for _ in 0..OPENING {
            trial.step(&mut state, notes);
        }
        let over = notes.get(state.notes).map_or(f64::INFINITY, |n| n.on.second.0);
        (state.voices.at_first(), over)
    }

    /// Processes the notes that began before `until`, in seconds, and those struck with them.
    fn advance(&mut self, state: &mut State, notes: &[Note], until: f64) {
        while let Some(note) = notes.get(state.notes) {
            if note.on.second.0 >= until {
                break;
            }
            self.step(state, notes);
        }
    }

    /// Processes the next cluster.
    fn step(&mut self, state: &mut State, notes: &[Note]) {
        if state.notes >= notes.len() {
            return;
        }
        match clusters::next_cluster(notes, state.notes, &mut self.roles, &state.recent) {
            Found::Glitch => {}
            Found::Again(before) => {
                if let Some(last) = self.clusters.last_mut().filter(|s| s.top == before) {
                    last.held = state.notes;
                }
            }
            Found::Cluster(cluster) => {
                state.recent.add(notes, &cluster);
                if state.voices.assign(notes, &cluster, self.melody) {
                    self.add_cluster(&cluster);
                    state.clusters += 1;
                }
            }
        }
        state.notes = self.roles.len();
    }

    /// Adds a cluster to the line.
    fn add_cluster(&mut self, cluster: &OnsetCluster) {
        let graces = (cluster.first..cluster.next).filter(|n| cluster.graces.contains(*n));
        for (note, role) in
            graces.map(|grace| (grace, NoteRole::Ornament)).chain([(cluster.top, NoteRole::Main)])
        {
            self.set_role(note, role);
        }
        self.clusters.push(*cluster);
    }

    fn set_role(&mut self, note: usize, new: NoteRole) {
        if let Some(role) = self.roles.get_mut(note) {
            *role = new;
        }
    }

    /// Makes final onsets of the clusters that began before `until`.
    fn settle_onsets(&mut self, notes: &[Note], until: f64) {
        let mut end = self.folded;
        for index in self.folded..self.settled.clusters {
            let Some(cluster) = self.clusters.get(index) else { break };
            if !notes.get(cluster.top).is_some_and(|n| n.on.second.0 < until) {
                break;
            }
            if !ornaments::is_ornament(&self.clusters, notes, index) {
                end = index + 1;
            }
        }
        self.fold(notes, self.folded..end);
        (self.folded, self.onsets) = (end, self.line.len());
    }

    /// Makes onsets of these clusters.
    fn fold(&mut self, notes: &[Note], clusters: Range<usize>) {
        let mut before: Option<MelodyOnset> = None;
        for index in clusters {
            let Some(cluster) = self.clusters.get(index).copied() else { break };
            let mut onset = MelodyOnset {
                note: cluster.top,
                first: cluster.first,
                held: cluster.held,
                ornaments: cluster.graces.count(),
            };
            if let Some(before) = before.take() {
                onset.first = before.first;
                onset.ornaments = onset.ornaments.saturating_add(before.ornaments);
            }
            if ornaments::is_ornament(&self.clusters, notes, index) {
                self.set_role(cluster.top, NoteRole::Ornament);
                onset.ornaments = onset.ornaments.saturating_add(1);
                before = Some(onset);
            } else {
                self.set_role(cluster.top, NoteRole::Main);
                reserve_one(&mut self.line);
                self.line.push(onset);
            }
        }
    }
}
