//! A snapshot for the panel and for export.

use crate::analysis::detail::PhraseDetail;
use crate::input::note::Oddities;
use crate::melody::RoleCounts;
use crate::microtiming::TimeFeel;
use crate::phrase::Phrase;
use crate::phrase::alerts::Alert;
use crate::phrase::figures::Figures;
use crate::quantization::BarLines;
use crate::session::own_beat::OwnBeat;
use crate::session::take_list::TakeRow;
use crate::take::performance::Performance;
use crate::take::settings::Pulse;
use crate::time::Beat;
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::MetreMap;
use crate::time::transport::NoGrid;

/// The state of the beat grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GridState {
    /// The host has reported nothing yet.
    #[default]
    Unknown,
    /// There is none.
    Missing(NoGrid),
    /// There is one, and the transport is stopped.
    Stopped,
    /// There is one, and the transport plays.
    Rolling,
}

/// The user's choice of what is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Looking {
    /// The take, from 1; `None` is the current one, or the last when nothing is being played.
    pub take: Option<u32>,
    /// The index of a note in it, whose phrase is open.
    pub note: Option<usize>,
}

/// What was learned from the player's corrections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taught {
    /// The setting; see [`crate::take::settings::Settings::finer`].
    pub finer: f64,
    /// How many corrections it was learned from.
    pub corrections: usize,
}

/// A note as received.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceivedNote {
    /// Key from 0 to 127; 60 is middle C.
    pub key: u8,
    /// Channel from 0 to 15.
    pub channel: u8,
}

impl ReceivedNote {
    /// The newest note of these performances, including ignored ones.
    pub(crate) fn newest<'a>(of: impl Iterator<Item = &'a Performance>) -> Option<Self> {
        let last = of.flat_map(|p| [p.soloist.notes().last(), p.ignored.notes().last()]).flatten();
        let newest = last.max_by(|a, b| a.on.second.0.total_cmp(&b.on.second.0))?;
        Some(Self { key: newest.key, channel: newest.channel })
    }
}

/// The shown take: the one the user chose, or else the current one, or the last when nothing is being
/// played.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapshot {
    /// The beat grid of the host.
    pub grid: GridState,
    /// The beat; `None` while it comes from the host, or while stopped.
    pub own_beat: Option<OwnBeat>,
    /// The host is recording.
    pub recording: bool,
    /// Number of the take, from 1; 0 before the first.
    pub take: u32,
    /// All takes, in order.
    pub takes: Vec<TakeRow>,
    /// The user's choice of what is shown.
    pub looking: Looking,
    /// The open phrase.
    pub chosen: Option<PhraseDetail>,
    /// Its newest phrases, at most [`crate::analysis::overview::SHOWN_PHRASES`], in order. The
    /// last one may be open.
    pub phrases: Vec<Phrase>,
    /// The number of older phrases.
    pub phrases_before: usize,
    /// Its figures.
    pub figures: Figures,
    /// Its time feel.
    pub feel: TimeFeel,
    /// The soloist's notes by role, including glitches and accompaniment, which are not analysed.
    pub roles: RoleCounts,
    /// Active alerts.
    pub alerts: Vec<Alert>,
    /// The song's metres, for the current bar and beat.
    pub metres: MetreMap,
    /// What was learned from corrections; `None` before the first.
    pub taught: Option<Taught>,
    /// See [`crate::take::settings::Settings::beat_one_offset`].
    pub beat_one_offset: i32,
    /// See [`crate::take::settings::Settings::pulse`].
    pub pulse: Pulse,
    /// The soloist's notes in this take.
    pub notes: usize,
    /// Notes in this take that the settings exclude.
    pub notes_outside: usize,
    /// Its notes that were bleed, before the soloist came in.
    pub bleed_notes: usize,
    /// All notes that came without a moving beat grid: kept, but not analysed.
    pub notes_without_grid: usize,
    /// The newest note received, used or not.
    pub newest_note: Option<ReceivedNote>,
    /// MIDI glitches in this take.
    pub oddities: Oddities,
}

impl Default for Snapshot {
    fn default() -> Self {
        Self {
            grid: GridState::Unknown,
            own_beat: None,
            recording: false,
            take: 0,
            takes: Vec::new(),
            looking: Looking::default(),
            chosen: None,
            phrases: Vec::new(),
            phrases_before: 0,
            figures: Figures::default(),
            feel: TimeFeel::default(),
            roles: RoleCounts::default(),
            alerts: Vec::new(),
            metres: MetreMap::new(crate::time::metre::Metre::COMMON),
            taught: None,
            beat_one_offset: 0,
            pulse: Pulse::Host,
            notes: 0,
            notes_outside: 0,
            bleed_notes: 0,
            notes_without_grid: 0,
            newest_note: None,
            oddities: Oddities::default(),
        }
    }
}

impl Snapshot {
    /// Bar lines and felt pulses as the settings count them.
    fn bar_lines(&self) -> BarLines<'_> {
        BarLines { metres: &self.metres, beat_one_offset: self.beat_one_offset, pulse: self.pulse }
    }

    /// All notes received in this take, and those that came without a beat grid.
    #[must_use]
    pub fn all_notes(&self) -> usize {
        self.notes + self.notes_outside + self.bleed_notes + self.notes_without_grid
    }

    /// Bar and felt pulse at `beat`, both from 1 at the song's start.
    #[must_use]
    pub fn bar_and_pulse(&self, beat: Beat) -> (i64, f64) {
        let lines = self.bar_lines();
        let bar = lines.bar_at(beat);
        (bar.number, 1.0 + (beat - bar.start).0 / lines.pulse_of(bar.metre).0.0)
    }

    /// Felt pulses in a bar of `metre`.
    #[must_use]
    pub fn pulses_in(&self, metre: Metre) -> u8 {
        self.bar_lines().pulses_in(metre)
    }

    /// How the felt pulse of `metre` is subdivided.
    #[must_use]
    pub fn division_of(&self, metre: Metre) -> Division {
        self.bar_lines().pulse_of(metre).1
    }
}
