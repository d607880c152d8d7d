//! What was played in one pass, and the beat grid it was played to: everything that has to be
//! kept of a take. Phrases and figures are read from it anew whenever they are asked for.

use crate::input::note::Note;
use crate::input::pairing::NoteLine;
use crate::settings::Hearing;
use crate::take::corrections::Corrections;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;

/// The notes of one pass with its tempo and metres.
#[derive(Debug, Clone)]
pub struct Performance {
    /// The soloist's notes.
    pub heard: NoteLine,
    /// Notes that [`Hearing`] leaves out.
    pub outside: NoteLine,
    /// Tempo; empty where there was no beat grid.
    pub tempo: TempoMap,
    /// Metres.
    pub metres: MetreMap,
    /// Boundaries set by hand.
    pub corrections: Corrections,
}

impl Default for Performance {
    fn default() -> Self {
        Self::new(MetreMap::new(Metre::COMMON))
    }
}

impl Performance {
    /// An empty one, over the metres known so far.
    #[must_use]
    pub fn new(metres: MetreMap) -> Self {
        Self {
            heard: NoteLine::default(),
            outside: NoteLine::default(),
            tempo: TempoMap::default(),
            metres,
            corrections: Corrections::default(),
        }
    }

    /// Whether nothing was played, by the soloist or anyone else.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.heard.notes().is_empty() && self.outside.notes().is_empty()
    }

    /// The line that a note of this key and channel goes to.
    pub fn line_for(&mut self, hearing: &Hearing, key: u8, channel: u8) -> &mut NoteLine {
        if hearing.takes(key, channel) { &mut self.heard } else { &mut self.outside }
    }

    /// Keys whose note was cut short and whose note-off is still to come.
    pub fn hand_over_cut(&mut self) -> Vec<(u8, u8)> {
        let mut cut = self.heard.hand_over_cut();
        cut.extend(self.outside.hand_over_cut());
        cut
    }

    /// Releases unused capacity once the pass is over.
    pub fn shrink_to_fit(&mut self) {
        self.heard.shrink_to_fit();
        self.outside.shrink_to_fit();
    }

    /// Brings `copy` up to date, which is empty or has always been brought up to date by this: at
    /// most `most` notes at a time. Whether it is now the same.
    pub fn update_copy(&mut self, copy: &mut Self, most: usize) -> bool {
        let heard = self.heard.update_copy(&mut copy.heard, most);
        let outside = self.outside.update_copy(&mut copy.outside, most);
        let is_same = heard && outside;
        if is_same {
            copy.tempo.clone_from(&self.tempo);
            copy.metres.clone_from(&self.metres);
            copy.corrections.clone_from(&self.corrections);
        }
        is_same
    }

    /// A copy with room for so many more notes.
    #[must_use]
    pub fn copy_with_room(&self, more: usize) -> Self {
        let mut copy = self.clone();
        copy.heard.reserve(more);
        copy.outside.reserve(more);
        copy
    }

    /// Takes over what [`Performance::hand_over_cut`] of the one before gave.
    pub fn expect_offs(&mut self, cut: Vec<(u8, u8)>, hearing: &Hearing) {
        let (heard, outside) =
            cut.into_iter().partition(|(channel, key)| hearing.takes(*key, *channel));
        self.heard.expect_offs(heard);
        self.outside.expect_offs(outside);
    }

    /// Sorts all notes anew into the soloist's and the others. Notes that sound go on sounding.
    pub fn hear_again(&mut self, hearing: &Hearing) {
        let all = self.heard.notes().iter().chain(self.outside.notes()).copied();
        let (heard, outside): (Vec<Note>, Vec<Note>) =
            all.partition(|n| hearing.takes(n.key, n.channel));
        let cut = self.hand_over_cut();
        self.heard = NoteLine::of(heard, *self.heard.oddities());
        self.outside = NoteLine::of(outside, *self.outside.oddities());
        self.expect_offs(cut, hearing);
    }
}
