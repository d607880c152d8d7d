//! The measures of a take in compact form, stored beside it without loss.

use super::measures::Measures;
use crate::phrase::figures::EntryCount;
use crate::quantization::PositionClass;
use crate::stats::Share;
use crate::stats::sample::Sample;
use serde::{Deserialize, Serialize};

/// [`Measures`] as stored, by position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StoredMeasures(
    bool,
    Vec<(u8, PositionClass, u32)>,
    [(u32, u32); 9],
    [(u32, f64, f64); 2],
    u32,
);

impl From<&Measures> for StoredMeasures {
    fn from(measures: &Measures) -> Self {
        let entries = measures.entries.iter().map(|entry| (entry.pulse, entry.class, entry.count));
        Self(
            measures.other_metre,
            entries.collect(),
            measures.shares().map(|share| (share.count, share.of)),
            [measures.lag_ms, measures.lag_from_usual_ms].map(|sample| sample.parts()),
            measures.approximate,
        )
    }
}

impl From<StoredMeasures> for Measures {
    fn from(
        StoredMeasures(other_metre, entries, shares, samples, approximate): StoredMeasures,
    ) -> Self {
        let [lag_ms, lag_from_usual_ms] = samples.map(Sample::of_parts);
        let mut measures =
            Self { other_metre, approximate, lag_ms, lag_from_usual_ms, ..Self::default() };
        for (own, (count, of)) in measures.shares_mut().into_iter().zip(shares) {
            // A damaged file may hold a count above its total.
            *own = Share { count: count.min(of), of };
        }
        for (pulse, class, count) in entries {
            EntryCount { pulse, class, count }.add_to(&mut measures.entries);
        }
        measures
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_round_trip_exactly() {
        let mut all = Measures { other_metre: true, approximate: 2, ..Measures::default() };
        for (pulse, class, count) in [(1, PositionClass::One, 3), (2, PositionClass::And, 9)] {
            EntryCount { pulse, class, count }.add_to(&mut all.entries);
        }
        all.beat_one_entries = Share { count: 3, of: 12 };
        all.short_by_half = [Share { count: 1, of: 6 }, Share { count: 2, of: 6 }];
        all.uneven_eighths = Share { count: 0, of: 40 };
        [0.1, -7.25, 12.0 / 7.0].into_iter().for_each(|late| all.lag_ms.push(late));
        let text = serde_json::to_string(&StoredMeasures::from(&all)).unwrap();
        let read: StoredMeasures = serde_json::from_str(&text).unwrap();
        assert_eq!(Measures::from(read), all);
        assert!(text.len() < 300, "{text}");
    }

    #[test]
    fn impossible_counts_are_corrected() {
        let text = r#"[false,[],[[9,3],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0],[0,0]],
                      [[3,1e308,-1.0],[0,5.0,5.0]],0]"#;
        let read = Measures::from(serde_json::from_str::<StoredMeasures>(text).unwrap());
        assert_eq!(read.beat_one_entries, Share { count: 3, of: 3 });
        assert_eq!((read.lag_ms, read.lag_from_usual_ms), (Sample::default(), Sample::default()));
    }
}
