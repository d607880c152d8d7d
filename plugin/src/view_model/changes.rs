//! The changes of tempo and metre in a take.

use overbar_core::take::performance::Performance;
use overbar_core::time::Tempo;
use overbar_core::time::metre::Metre;

/// Tempo range and metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Changes {
    /// The slowest and the fastest tempo, in quarters a minute; `None` without a beat grid.
    pub tempi: Option<(f64, f64)>,
    /// Each metre with the bar where it starts, from the first note to the last.
    pub metres: Vec<(i64, Metre)>,
}

impl Changes {
    /// Those of a take.
    pub fn of(take: &Performance) -> Self {
        let notes = take.soloist.notes();
        let (Some(first), Some(last)) = (notes.first(), notes.last()) else {
            return Self::default();
        };
        let (first, last) = (first.on.beat, last.on.beat);
        let knots = take.tempo.knots().iter().filter(|knot| (first..=last).contains(&knot.beat));
        let at_first = take.tempo.tempo_at(first).map(Tempo::quarters_a_minute);
        let tempi = knots.map(|knot| knot.tempo.quarters_a_minute()).chain(at_first);
        let tempi = tempi
            .map(|tempo| (tempo, tempo))
            .reduce(|(least, most), (tempo, _)| (least.min(tempo), most.max(tempo)));
        let from = take.metres.bar_at(first);
        let stretches = take.metres.stretches().iter();
        let later = stretches.filter(|next| next.start > from.start && next.start <= last);
        let mut metres = vec![(from.number, from.metre)];
        metres.extend(later.map(|next| (next.bar, next.metre)));
        metres.dedup_by_key(|(_, metre)| *metre);
        Self { tempi, metres }
    }
}
