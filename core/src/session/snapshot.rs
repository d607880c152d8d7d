//! A plain picture of what has been heard, for whoever draws or writes it.

use crate::analysis::detail::PhraseDetail;
use crate::figures::Figures;
use crate::figures::alerts::Alert;
use crate::input::note::Oddities;
use crate::melody::RoleCounts;
use crate::microtiming::TimeFeel;
use crate::phrase::Phrase;
use crate::quantization::BarLines;
use crate::session::own_beat::OwnBeat;
use crate::session::take_list::TakeRow;
use crate::settings::Pulse;
use crate::take::performance::Performance;
use crate::time::Beat;
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::MetreMap;
use crate::time::transport::NoGrid;

/// The beat grid at this moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GridState {
    /// Nothing has been said yet.
    #[default]
    Unknown,
    /// There is none.
    Missing(NoGrid),
    /// There is one, and the transport stands.
    Stopped,
    /// There is one, and the transport rolls.
    Rolling,
}

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Looking {
    /// The take, from 1; `None` is the current one, or the last when none is under way.
    pub take: Option<u32>,
    /// A note of it, by index: the phrase it is in is looked into.
    pub note: Option<usize>,
}

/// What the player's corrections taught.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taught {
    /// The setting; see [`crate::settings::Settings::finer`].
    pub finer: f64,
    /// How many corrections it was learnt from.
    pub corrections: usize,
}

/// A note as it came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceivedNote {
    /// Key from 0 to 127; 60 is middle C.
    pub key: u8,
    /// Channel from 0 to 15.
    pub channel: u8,
}

impl ReceivedNote {
    /// The newest of these performances, their ignored notes among them.
    pub(crate) fn newest<'a>(of: impl Iterator<Item = &'a Performance>) -> Option<Self> {
        let last = of.flat_map(|p| [p.soloist.notes().last(), p.ignored.notes().last()]).flatten();
        let newest = last.max_by(|a, b| a.on.second.0.total_cmp(&b.on.second.0))?;
        Some(Self { key: newest.key, channel: newest.channel })
    }
}

/// What has been heard of the take that is shown: the current one, or the last one when none is
/// under way, unless another is looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapshot {
    /// The beat grid of the host.
    pub grid: GridState,
    /// The beat; `None` while it comes from the host, or the transport stands.
    pub own_beat: Option<OwnBeat>,
    /// The host records.
    pub recording: bool,
    /// Number of the take, from 1; 0 before the first.
    pub take: u32,
    /// All takes, in order.
    pub takes: Vec<TakeRow>,
    /// What is looked at.
    pub looking: Looking,
    /// The phrase that is looked into.
    pub chosen: Option<PhraseDetail>,
    /// Its newest phrases, at most [`crate::analysis::overview::SHOWN_PHRASES`], in order. The
    /// last one may be open.
    pub phrases: Vec<Phrase>,
    /// How many older phrases are left out.
    pub phrases_before: usize,
    /// Its figures.
    pub figures: Figures,
    /// Its time feel.
    pub feel: TimeFeel,
    /// How many of the soloist's notes are what to the line: glitches and accompaniment, which are
    /// left out, among them.
    pub roles: RoleCounts,
    /// Alerts that stand.
    pub alerts: Vec<Alert>,
    /// Metres of the song, to tell bar and beat now.
    pub metres: MetreMap,
    /// What the player's corrections teach; `None` before the first.
    pub taught: Option<Taught>,
    /// See [`crate::settings::Settings::beat_one_offset`].
    pub beat_one_offset: i32,
    /// See [`crate::settings::Settings::pulse`].
    pub pulse: Pulse,
    /// The soloist's notes in this take.
    pub notes: usize,
    /// Notes in this take that the settings leave out.
    pub notes_outside: usize,
    /// Notes that came without a rolling beat grid, in all: kept, and not counted in figures.
    pub notes_without_grid: usize,
    /// The newest note that came in, whatever becomes of it.
    pub newest_note: Option<ReceivedNote>,
    /// Oddities of this take.
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
            notes_without_grid: 0,
            newest_note: None,
            oddities: Oddities::default(),
        }
    }
}

impl Snapshot {
    /// Bar lines and felt pulses, as positions are counted.
    fn bar_lines(&self) -> BarLines<'_> {
        BarLines { metres: &self.metres, beat_one_offset: self.beat_one_offset, pulse: self.pulse }
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

    /// How the felt pulse of `metre` divides.
    #[must_use]
    pub fn division_of(&self, metre: Metre) -> Division {
        self.bar_lines().pulse_of(metre).1
    }
}
