//! The counts of a take in few numbers, to be kept beside it: they are read again exactly.

use super::measures::Measures;
use crate::figures::EntryCount;
use crate::quantization::PositionClass;
use crate::stats::Share;
use crate::stats::sample::Sample;
use serde::{Deserialize, Serialize};

/// [`Measures`] as they are written down, each number in its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Counts(
    bool,
    Vec<(u8, PositionClass, u32)>,
    [(u32, u32); SHARES],
    [(u32, f64, f64); SAMPLES],
);

const SHARES: usize = 9;
const SAMPLES: usize = 2;

impl From<&Measures> for Counts {
    fn from(all: &Measures) -> Self {
        let pair = |share: Share| (share.count, share.of);
        let [first_half, second_half] = all.short_by_half;
        let entries = all.entries.iter().map(|entry| (entry.pulse, entry.class, entry.count));
        Self(
            all.other_metre,
            entries.collect(),
            [
                all.beat_one_entries,
                all.short_phrases,
                first_half,
                second_half,
                all.long_lines,
                all.over_the_bar,
                all.room,
                all.on_beat_exits,
                all.uneven_eighths,
            ]
            .map(pair),
            [all.lag_ms, all.lag_from_usual_ms].map(|sample| sample.parts()),
        )
    }
}

impl From<Counts> for Measures {
    fn from(Counts(other_metre, entries, shares, samples): Counts) -> Self {
        // Whatever was written there: no more are counted than there are.
        let share = |(count, of): (u32, u32)| Share { count: count.min(of), of };
        let [
            beat_one_entries,
            short_phrases,
            first_half,
            second_half,
            long_lines,
            over_the_bar,
            room,
            on_beat_exits,
            uneven_eighths,
        ] = shares.map(share);
        let [lag_ms, lag_from_usual_ms] = samples.map(Sample::of_parts);
        let mut all = Self {
            other_metre,
            entries: Vec::with_capacity(entries.len()),
            beat_one_entries,
            short_phrases,
            short_by_half: [first_half, second_half],
            long_lines,
            over_the_bar,
            room,
            on_beat_exits,
            uneven_eighths,
            lag_ms,
            lag_from_usual_ms,
        };
        for (pulse, class, count) in entries {
            all.absorb_entry(&EntryCount { pulse, class, count });
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again_exactly() {
        let mut all = Measures { other_metre: true, ..Measures::default() };
        for (pulse, class, count) in [(1, PositionClass::One, 3), (2, PositionClass::And, 9)] {
            all.absorb_entry(&EntryCount { pulse, class, count });
        }
        all.beat_one_entries = Share { count: 3, of: 12 };
        all.short_by_half = [Share { count: 1, of: 6 }, Share { count: 2, of: 6 }];
        all.uneven_eighths = Share { count: 0, of: 40 };
        [0.1, -7.25, 12.0 / 7.0].into_iter().for_each(|late| all.lag_ms.push(late));
        let text = serde_json::to_string(&Counts::from(&all)).unwrap();
        let read: Counts = serde_json::from_str(&text).unwrap();
        assert_eq!(Measures::from(read), all);
        assert!(text.len() < 300, "{text}");
    }

    #[test]
    fn what_cannot_have_been_counted_is_not_believed() {
        let text = r#"[false,[],[[9,3],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0]],
                      [[3,1e308,-1.0],[0,5.0,5.0]]]"#;
        let read = Measures::from(serde_json::from_str::<Counts>(text).unwrap());
        assert_eq!(read.beat_one_entries, Share { count: 3, of: 3 });
        assert_eq!((read.lag_ms, read.lag_from_usual_ms), (Sample::default(), Sample::default()));
    }
}
