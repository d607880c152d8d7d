//! What was played in one pass, and its beat grid: everything that is stored of a take.

use crate::input::note::Note;
use crate::input::pairing::NoteLine;
use crate::take::corrections::Corrections;
use crate::take::own_grid::OwnGrid;
use crate::take::piece::Piece;
use crate::take::settings::Hearing;
use crate::time::Second;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;

/// The notes of one pass with their tempo and metres.
#[derive(Debug, Clone)]
pub struct Performance {
    /// The soloist's notes.
    pub soloist: NoteLine,
    /// Notes that [`Hearing`] excludes, and bleed from before the soloist came in.
    pub ignored: NoteLine,
    /// Tempo, that of its own grid if it has one; empty without a beat grid.
    pub tempo: TempoMap,
    /// Metres.
    pub metres: MetreMap,
    /// Phrase starts set by hand.
    pub corrections: Corrections,
    /// Its own beat grid; `None` on the host's. Set by [`Performance::set_grid`].
    pub own_grid: Option<Box<OwnGrid>>,
    /// For a comp, the stretches of takes that it is cut from, in order.
    pub pieces: Vec<Piece>,
}

impl Default for Performance {
    fn default() -> Self {
        Self::new(MetreMap::new(Metre::COMMON))
    }
}

impl Performance {
    /// An empty performance with these metres.
    pub fn new(metres: MetreMap) -> Self {
        Self {
            soloist: NoteLine::default(),
            ignored: NoteLine::default(),
            tempo: TempoMap::default(),
            metres,
            corrections: Corrections::default(),
            own_grid: None,
            pieces: Vec::new(),
        }
    }

    /// Whether it has no notes at all.
    pub fn is_silent(&self) -> bool {
        self.soloist.notes().is_empty() && self.ignored.notes().is_empty()
    }

    /// The line for notes of this key and channel.
    pub fn line_for(&mut self, hearing: &Hearing, key: u8, channel: u8) -> &mut NoteLine {
        if hearing.takes(key, channel) { &mut self.soloist } else { &mut self.ignored }
    }

    /// Keys whose note was cut off and whose note-off is still to come.
    pub fn hand_over_cut(&mut self) -> Vec<(u8, u8)> {
        let mut cut = self.soloist.hand_over_cut();
        cut.extend(self.ignored.hand_over_cut());
        cut
    }

    /// Releases unused capacity once the pass is over.
    pub fn shrink_to_fit(&mut self) {
        self.soloist.shrink_to_fit();
        self.ignored.shrink_to_fit();
    }

    /// Updates `copy`, which is empty or was only ever written by this method, by at most `limit`
    /// notes a line. Returns whether it is complete.
    pub fn update_copy(&mut self, copy: &mut Self, limit: usize) -> bool {
        let heard = self.soloist.update_copy(&mut copy.soloist, limit);
        let outside = self.ignored.update_copy(&mut copy.ignored, limit);
        let is_same = heard && outside;
        if is_same {
            copy.tempo.clone_from(&self.tempo);
            copy.metres.clone_from(&self.metres);
            copy.corrections.clone_from(&self.corrections);
            copy.own_grid.clone_from(&self.own_grid);
            copy.pieces.clone_from(&self.pieces);
        }
        is_same
    }

    /// A copy with capacity for `more` notes.
    #[must_use]
    pub fn copy_with_room(&self, more: usize) -> Self {
        let mut copy = self.clone();
        copy.soloist.reserve(more);
        copy.ignored.reserve(more);
        copy
    }

    /// Takes over the result of [`Performance::hand_over_cut`] from the pass before.
    pub fn expect_offs(&mut self, cut: Vec<(u8, u8)>, hearing: &Hearing) {
        let (heard, outside) =
            cut.into_iter().partition(|(channel, key)| hearing.takes(*key, *channel));
        self.soloist.expect_offs(heard);
        self.ignored.expect_offs(outside);
    }

    /// Whether [`Performance::apply_hearing`] would leave all notes where they are.
    pub fn fits_hearing(&self, hearing: &Hearing) -> bool {
        let takes = |note: &Note| is_soloist(note, hearing);
        self.soloist.notes().iter().all(takes) && !self.ignored.notes().iter().any(takes)
    }

    /// Marks all notes that began before `entry` as bleed, so that [`Performance::apply_hearing`] ignores them. Returns
    /// whether there are any.
    pub fn silence_before(&mut self, entry: Second) -> bool {
        self.soloist.silence_before(entry)
    }

    /// How many notes are ignored as bleed.
    #[must_use]
    pub fn bleed_notes(&self) -> usize {
        self.ignored.notes().iter().filter(|note| note.velocity <= 0.0).count()
    }

    /// Sorts all notes into the soloist's and the others'. Sounding notes keep sounding.
    pub fn apply_hearing(&mut self, hearing: &Hearing) {
        let all = self.soloist.notes().iter().chain(self.ignored.notes()).copied();
        let (heard, outside): (Vec<Note>, Vec<Note>) =
            all.partition(|note| is_soloist(note, hearing));
        let cut = self.hand_over_cut();
        self.soloist = NoteLine::of(heard, *self.soloist.oddities());
        self.ignored = NoteLine::of(outside, *self.ignored.oddities());
        self.expect_offs(cut, hearing);
    }
}

/// Whether a note is the soloist's: not bleed, and not excluded.
fn is_soloist(note: &Note, hearing: &Hearing) -> bool {
    note.velocity > 0.0 && hearing.takes(note.key, note.channel)
}
