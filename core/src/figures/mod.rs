//! The running figures of a take. Every share carries its count; nothing is graded.

pub mod alerts;
pub mod streaks;

use crate::figures::streaks::Streaks;
use crate::phrase::Phrase;
use crate::quantization::PositionClass;
use crate::settings::AlertSettings;
use crate::stats::ranks::Ranks;
use crate::stats::{Quartiles, Share};
use serde::Serialize;

/// Fewer phrases than this say little: figures made of less are marked as such. Origin: with 8,
/// a 95 % interval for a half still spans 57 points (Wilson); common practice, no source.
pub const FEW_PHRASES: u32 = 8;

/// How many phrases came in at one place of the bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct EntryCount {
    /// The pulse, from 1.
    pub pulse: u8,
    /// The class.
    pub class: PositionClass,
    /// How many.
    pub count: u32,
}

/// Lengths of the phrases that are over.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lengths {
    /// In bars.
    pub bars: Quartiles,
    /// In notes.
    pub notes: Quartiles,
    /// In seconds.
    pub seconds: Quartiles,
}

/// The figures of a take. Entries count from the first note of a phrase on; lengths and rests
/// only of phrases that are over.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Figures {
    /// Phrases begun.
    pub phrases: u32,
    /// Entries off the beat.
    pub off_beat_entries: Share,
    /// Entries on beat one.
    pub beat_one_entries: Share,
    /// Exits off the beat, of phrases that are over.
    pub off_beat_exits: Share,
    /// Phrases that sound over a bar line, of those that are over.
    pub over_the_bar: Share,
    /// Entries by place, in order of pulse and class.
    pub entries: Vec<EntryCount>,
    /// Lengths; `None` before the first phrase is over.
    pub lengths: Option<Lengths>,
    /// Share of time in rests between phrases, from the first attack to the last end, from 0
    /// to 1; `None` before the second phrase.
    pub rest_share: Option<f64>,
    /// What has gone on for how long.
    #[serde(skip)]
    pub streaks: Streaks,
}

/// The figures of `phrases`, in order.
#[must_use]
pub fn figures(phrases: &[Phrase], settings: &AlertSettings) -> Figures {
    let mut tally = Tally::default();
    phrases.iter().for_each(|phrase| tally.add(phrase, settings));
    tally.figures()
}

/// Phrases counted one by one, in order.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    counts: Counts,
    bars: Ranks,
    notes: Ranks,
    seconds: Ranks,
}

/// What is counted and summed.
#[derive(Debug, Clone, Default)]
struct Counts {
    /// All but what is read from sums and lengths.
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
        count_entry(&mut figures.entries, phrase);
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
    #[must_use]
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

    /// What the figures were if `phrases` came next.
    #[must_use]
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
    #[expect(clippy::cast_precision_loss, reason = "a count of notes")]
    let notes = phrase.notes as f64;
    [phrase.bars, notes, phrase.seconds.0]
}

fn count_entry(entries: &mut Vec<EntryCount>, phrase: &Phrase) {
    let place = (phrase.entry.pulse, phrase.entry.class);
    match entries.binary_search_by_key(&place, |e| (e.pulse, e.class)) {
        Ok(found) => {
            if let Some(entry) = entries.get_mut(found) {
                entry.count = entry.count.saturating_add(1);
            }
        }
        Err(gap) => {
            entries.insert(gap, EntryCount { pulse: place.0, class: place.1, count: 1 });
        }
    }
}
