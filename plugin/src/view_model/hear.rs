//! What the user can ask to hear, and what is playing.

use overbar_core::take::TakeId;
use overbar_core::time::Beat;

/// The view.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HearView {
    /// What is playing, if anything.
    pub playing: Option<NowHeard>,
    /// Why the last request failed, as a sentence.
    pub failure: Option<String>,
    /// The host is playing, so Hear cannot.
    pub blocked: bool,
}

/// What is playing.
#[derive(Debug, Clone, PartialEq)]
pub struct NowHeard {
    /// The request.
    pub request: HearRequest,
    /// Its position in the song; `None` before its first block, or without a beat grid.
    pub beat: Option<Beat>,
    /// The same as bar and felt beat, both counted from 1.
    pub position: Option<(i64, u8)>,
}

/// Something to hear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HearRequest {
    /// What.
    pub what: HearWhat,
    /// The same in words, such as "phrase 3" or "bars 9–12 of take 2".
    pub called: String,
}

/// What is to be heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HearWhat {
    /// A phrase.
    Phrase {
        /// Its take.
        take: TakeId,
        /// The index of its first note in the take.
        first_note: usize,
        /// The index of its last note.
        last_note: usize,
    },
    /// A whole take.
    Take(TakeId),
    /// Bars of a take, both included.
    Bars {
        /// The take.
        take: TakeId,
        /// The first bar.
        from: i64,
        /// The last bar.
        to: i64,
    },
    /// A chorus of a take whose tune has a form.
    Chorus {
        /// The take.
        take: TakeId,
        /// The chorus, from 1.
        chorus: i64,
    },
    /// Some bars before and after an edit of the comp.
    Edit {
        /// Which edit, in their order from 0.
        index: usize,
    },
    /// The whole comp.
    Comp,
}
