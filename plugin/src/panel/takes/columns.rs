//! The figures of takes and of their parts in columns.

use crate::panel::playing::OFF_BEAT_STARTS;
use crate::panel::state::takes::SortBy;
use crate::panel::widgets::{Column, ColumnLayout, Pen};
use crate::panel::words;
use egui::{Align2, Rangef, pos2};
use overbar_core::analysis::overview::TakeFigures;
use overbar_core::stats::Share;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::advice::norm::norm;

/// A figure in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// Duration; for a part, its bars.
    Time,
    /// Phrases.
    Phrases,
    /// Share of off-beat starts.
    OffBeat,
    /// Share of starts on beat one.
    BeatOne,
    /// Typical length.
    Length,
}

const TIME: &str = "time";
const BARS: &str = "at bars";
const PHRASES: &str = "phrases";
const OFF_BEAT: &str = "off-beat starts";
const BEAT_ONE: &str = "starts on beat one";
const LENGTH: &str = "typical length (bars)";
/// Where the values have their unit.
const PART_LENGTH: &str = "typical length";

/// Beside the name, in a narrow list.
const FEW: [Column; 2] = [(OFF_BEAT, "off beat", 0.44), (LENGTH, "bars", 0.13)];

/// In a wider list.
const SOME: [Column; 4] = [
    (TIME, "time", 0.12),
    (OFF_BEAT, "off beat", 0.25),
    (BEAT_ONE, "on one", 0.22),
    (LENGTH, "bars", 0.1),
];

/// For parts of a take.
pub const OF_PARTS: [Column; 5] = [
    (BARS, "at bars", 0.13),
    (PHRASES, "phr.", 0.085),
    (OFF_BEAT, "off beat", 0.24),
    (BEAT_ONE, "on one", 0.23),
    (PART_LENGTH, "length", 0.135),
];

/// A list this wide shows more figures. In points at the default size.
const WIDE: f32 = 340.0;

/// The columns of a list of takes of this width.
pub fn figures_of(pen: &Pen<'_>, width: f32) -> &'static [Column] {
    if width >= pen.len(WIDE) { &SOME } else { &FEW }
}

impl Figure {
    /// The figure with this column head.
    pub fn named(head: &str) -> Option<Self> {
        Some(match head {
            TIME | BARS => Self::Time,
            PHRASES => Self::Phrases,
            OFF_BEAT => Self::OffBeat,
            BEAT_ONE => Self::BeatOne,
            LENGTH | PART_LENGTH => Self::Length,
            _ => return None,
        })
    }

    /// The sort key of its column head.
    pub fn sorts(self) -> SortBy {
        match self {
            Self::Time => SortBy::Time,
            Self::Phrases => SortBy::Phrases,
            Self::OffBeat => SortBy::OffBeat,
            Self::BeatOne => SortBy::BeatOne,
            Self::Length => SortBy::Length,
        }
    }
}

/// The figures of a row, in their columns, whose middle is at `middle`; `time` in the first one.
pub fn figures(
    pen: &Pen<'_>,
    columns: &ColumnLayout,
    middle: f32,
    time: &str,
    figures: Option<&TakeFigures>,
) {
    for (number, (head, ..)) in columns.columns().iter().enumerate() {
        let x = columns.at(number);
        let put = |text: String| {
            pen.small(text).paint(pos2(x.min, middle), Align2::LEFT_CENTER);
        };
        match (Figure::named(head), figures) {
            (Some(Figure::Time), _) if time.is_empty() => {}
            (Some(Figure::Time), _) => {
                pen.soft(time).paint(pos2(x.min, middle), Align2::LEFT_CENTER);
            }
            (Some(Figure::OffBeat), None) => {
                pen.soft(words::ANALYSING).paint(pos2(x.min, middle), Align2::LEFT_CENTER);
            }
            (_, None) | (None, _) => {}
            (Some(Figure::Phrases), Some(of)) => put(of.phrases.to_string()),
            (Some(Figure::OffBeat), Some(of)) => {
                share(pen, x, middle, of.off_beat, OFF_BEAT_STARTS);
            }
            (Some(Figure::BeatOne), Some(of)) => {
                share(pen, x, middle, of.beat_one, beat_one_norm());
            }
            (Some(Figure::Length), Some(of)) => {
                let unit = if *head == PART_LENGTH { " bars" } else { "" };
                let text = |bars| format!("{}{unit}", words::bars(bars));
                put(of.median_bars.map_or_else(|| "–".to_owned(), text));
            }
        }
    }
}

/// The middle half of recorded solos' starts on beat one.
pub fn beat_one_norm() -> (f64, f64) {
    let norm = norm(Measure::BeatOneEntries);
    (norm.lower, norm.upper)
}

fn share(pen: &Pen<'_>, x: Rangef, middle: f32, of: Share, norm: (f64, f64)) {
    pen.share_beside(x, middle, of, (12.0, 3.2), Some(norm));
}

/// The figures for a screen reader.
pub fn figures_label(figures: &TakeFigures) -> String {
    let share = |share: &Share, what: &str| {
        share.interval().map_or_else(String::new, |interval| {
            let of = words::of_phrases(*share);
            format!(", {what}: {of}, likely range {}", words::range(interval))
        })
    };
    let mut label = share(&figures.off_beat, OFF_BEAT);
    label.push_str(&share(&figures.beat_one, BEAT_ONE));
    if let Some(bars) = figures.median_bars {
        label.push_str(&format!(", typical length {} bars", words::bars(bars)));
    }
    label
}
