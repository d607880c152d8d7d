//! The running figures of a take. Every share carries its count; nothing is graded.

use crate::phrase::Phrase;
use crate::phrase::streaks::Streaks;
use crate::quantization::PositionClass;
use crate::stats::ranks::Ranks;
use crate::stats::{Quartiles, Share, real};
use crate::take::settings::AlertSettings;
use serde::Serialize;

/// Figures of fewer phrases are marked as uncertain. Origin: with 8, the 95 % interval of a half
/// still spans 57 points (Wilson); common practice, no source.
pub const FEW_PHRASES: u32 = 8;

/// How many phrases start at one position in the bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct EntryCount {
    /// The pulse, from 1.
    pub pulse: u8,
    /// The class.
    pub class: PositionClass,
    /// How many.
    pub count: u32,
}

/// Lengths of the finished phrases.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lengths {
    /// In bars.
    pub bars: Quartiles,
    /// In notes.
    pub notes: Quartiles,
    /// In seconds.
    pub seconds: Quartiles,
}

/// The figures of a take. A start counts from the first note of a phrase on, lengths and endings
/// only once the phrase is over.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Figures {
    /// Phrase starts.
    pub phrases: u32,
    /// Starts off the beat.
    pub off_beat_entries: Share,
    /// Starts on beat one.
    pub beat_one_entries: Share,
    /// Endings off the beat.
    pub off_beat_exits: Share,
    /// Phrases that cross a bar line.
    pub over_the_bar: Share,
    /// Starts by position, in order of pulse and class.
    pub entries: Vec<EntryCount>,
    /// Lengths; `None` before the first phrase is over.
    pub lengths: Option<Lengths>,
    /// Share of time in rests between phrases, from 0 to 1; `None` before the second phrase.
    pub rest_share: Option<f64>,
    /// Current streaks.
    #[serde(skip)]
    pub streaks: Streaks,
}

/// The figures of `phrases`, in order.
pub fn figures(phrases: &[Phrase], settings: &AlertSettings) -> Figures {
    let mut tally = Tally::default();
    phrases.iter().for_each(|phrase| tally.add(phrase, settings));
    tally.figures()
}

/// Running figures, updated phrase by phrase.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    counts: Counts,
    bars: Ranks,
    notes: Ranks,
    seconds: Ranks,
}

#[derive(Debug, Clone, Default)]
struct Counts {
    /// Without `lengths` and `rest_share`.
    figures: Figures,
    rests: f64,
    sounding: f64,
}

impl Tally {
    /// Counts the next phrase.
    pub fn add(&mut self, phrase: &Phrase, settings: &AlertSettings) {
        let Counts { figures, rests, sounding } = &mut self.counts;
        figures.phrases = figures.phrases.saturating_add(1);
        figures.off_beat_entries.add(phrase.enters_off_beat());
        figures.beat_one_entries.add(phrase.entry.class == PositionClass::One);
        let (pulse, class) = (phrase.entry.pulse, phrase.entry.class);
        EntryCount { pulse, class, count: 1 }.add_to(&mut figures.entries);
        figures.streaks.push(phrase, settings);
        *rests += phrase.rest_before.map_or(0.0, |r| r.seconds.0);
        *sounding += phrase.seconds.0;
        if !phrase.open {
            figures.off_beat_exits.add(phrase.exit.class.is_off_beat());
            figures.over_the_bar.add(phrase.crosses_bar_line());
            for (ranks, length) in self.lengths().into_iter().zip(lengths(phrase)) {
                ranks.insert(length);
            }
        }
    }

    /// The figures so far.
    pub fn figures(&self) -> Figures {
        let Counts { figures, rests, sounding } = &self.counts;
        let lengths = [&self.bars, &self.notes, &self.seconds].map(Quartiles::of);
        let whole = rests + sounding;
        Figures {
            lengths: match lengths {
                [Some(bars), Some(notes), Some(seconds)] => Some(Lengths { bars, notes, seconds }),
                _ => None,
            },
            rest_share: (figures.phrases > 1 && whole > 0.0).then(|| rests / whole),
            ..figures.clone()
        }
    }

    /// What the figures would be if `phrases` came next.
    pub fn figures_with(&mut self, phrases: &[Phrase], settings: &AlertSettings) -> Figures {
        let counts = self.counts.clone();
        phrases.iter().for_each(|phrase| self.add(phrase, settings));
        let figures = self.figures();
        for phrase in phrases.iter().filter(|p| !p.open) {
            for (ranks, length) in self.lengths().into_iter().zip(lengths(phrase)) {
                ranks.remove(length);
            }
        }
        self.counts = counts;
        figures
    }

    fn lengths(&mut self) -> [&mut Ranks; 3] {
        [&mut self.bars, &mut self.notes, &mut self.seconds]
    }
}

/// Length in bars, notes and seconds.
fn lengths(phrase: &Phrase) -> [f64; 3] {
    [phrase.bars, real(phrase.notes), phrase.seconds.0]
}

impl EntryCount {
    /// Adds this count to `entries`, which are in order of pulse and class.
    pub(crate) fn add_to(self, entries: &mut Vec<Self>) {
        let position = |entry: &Self| (entry.pulse, entry.class);
        match entries.binary_search_by_key(&position(&self), position) {
            Ok(found) => {
                if let Some(entry) = entries.get_mut(found) {
                    entry.count = entry.count.saturating_add(self.count);
                }
            }
            Err(gap) => entries.insert(gap, self),
        }
    }
}
