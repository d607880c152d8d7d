//! A summary of a take's own beat grid.

use super::performance::Performance;
use super::piece::{NAMED_FIRST, Piece, source_of};
use crate::grid::anchors::AnchorSource;
use crate::grid::beat_grid::Bridge;
use serde::Serialize;

/// A take's own beat grid, or those of a comp's takes, and how reliable it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GridSummary {
    /// `band` if any beat was heard in the band, else `tap` if any was tapped, else `hand`.
    pub source: AnchorSource,
    /// The sources of all grids, each once; `None` is the grid of a file or host. A take has one.
    #[serde(skip)]
    pub sources: Vec<Option<AnchorSource>>,
    /// How many beats were tapped or set by hand.
    pub anchors: usize,
    /// How far a beat is off, as a standard deviation in milliseconds.
    pub spread_ms: f64,
    /// Share of the beats that were bridged, from 0 to 1.
    pub bridged: f64,
    /// The number of beats is in doubt somewhere.
    pub count_in_doubt: bool,
    /// Bars and positions are approximate.
    pub about: bool,
    /// Where it was bridged or the count is in doubt, in order.
    pub bridges: Vec<BridgedBars>,
}

/// A stretch that was bridged or whose count is in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BridgedBars {
    /// Its first bar.
    pub from_bar: i64,
    /// Its last bar.
    pub to_bar: i64,
    /// It is long enough for its beats to be off.
    pub bridged: bool,
    /// The number of its beats is in doubt.
    pub count_in_doubt: bool,
}

impl GridSummary {
    /// The summary of a take; `None` on the grid of its file or host, and for a comp of such takes.
    #[must_use]
    pub fn of(take: &Performance) -> Option<Self> {
        let Some(own) = take.own_grid.as_deref() else { return Self::of_comp(take) };
        let certainty = take.certainty()?;
        let source = source_of(&own.anchors);
        Some(Self {
            source,
            sources: vec![Some(source)],
            anchors: own.anchors.all().len(),
            spread_ms: rounded(certainty.spread.0 * 1e3),
            bridged: rounded(certainty.bridged),
            count_in_doubt: certainty.count_in_doubt,
            about: certainty.is_approximate(),
            bridges: certainty.bridges.iter().map(|bridge| BridgedBars::of(bridge, take)).collect(),
        })
    }

    /// The summary of a comp's takes. The spread is that of the worst one.
    fn of_comp(comp: &Performance) -> Option<Self> {
        let pieces = &comp.pieces;
        let any = |source: &AnchorSource| pieces.iter().any(|piece| piece.source == Some(*source));
        let mut sources = Vec::new();
        for piece in pieces {
            if !sources.contains(&piece.source) {
                sources.push(piece.source);
            }
        }
        let bridges = || pieces.iter().flat_map(|piece| &piece.bridges);
        let spread = pieces.iter().map(|piece| piece.spread.0).fold(0.0, f64::max);
        let (bridged, of) = pieces
            .iter()
            .map(Piece::bridged)
            .fold((0.0, 0.0), |(bridged, of), piece| (bridged + piece.0, of + piece.1));
        Some(Self {
            source: NAMED_FIRST.into_iter().find(any)?,
            sources,
            anchors: pieces.iter().map(|piece| piece.anchors).sum(),
            spread_ms: rounded(spread * 1e3),
            bridged: rounded(if of > 0.0 { bridged / of } else { 0.0 }),
            count_in_doubt: bridges().any(|bridge| bridge.count_in_doubt),
            about: pieces.iter().any(|piece| piece.about),
            bridges: bridges().map(|bridge| BridgedBars::of(bridge, comp)).collect(),
        })
    }

    /// The summary in sentences without a full stop.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let from = self.sources.iter().map(|source| match source {
            Some(AnchorSource::Tap) => "from taps",
            Some(AnchorSource::Hand) => "from anchors",
            Some(AnchorSource::Band) => "from the band",
            None => "from the host",
        });
        let from = from.collect::<Vec<_>>().join(" and ");
        let mut lines =
            vec![format!("beat grid: {from}, beats within \u{b1}{:.0} ms", self.spread_ms)];
        let bars = |chosen: fn(&BridgedBars) -> bool| {
            let chosen = self.bridges.iter().filter(|bridge| chosen(bridge));
            let bars: Vec<String> = chosen.map(BridgedBars::bars).collect();
            bars.join(", ")
        };
        if self.bridged > 0.0 {
            let bars = bars(|bridge| bridge.bridged);
            lines
                .push(format!("bridged: {:.0} % of the beats (bars {bars})", self.bridged * 100.0));
        }
        if self.count_in_doubt {
            let bars = bars(|bridge| bridge.count_in_doubt);
            lines.push(format!("number of beats in doubt: bars {bars}"));
        }
        if self.about {
            lines.push("bars and positions are approximate".to_owned());
        }
        lines
    }
}

impl BridgedBars {
    fn of(bridge: &Bridge, take: &Performance) -> Self {
        let bar = |beat| take.metres.bar_at(beat).number;
        Self {
            from_bar: bar(bridge.from),
            to_bar: bar(bridge.to),
            bridged: bridge.bridged,
            count_in_doubt: bridge.count_in_doubt,
        }
    }

    fn bars(&self) -> String {
        let Self { from_bar, to_bar, .. } = self;
        if from_bar == to_bar {
            from_bar.to_string()
        } else {
            format!("{from_bar}\u{2013}{to_bar}")
        }
    }
}

/// To three decimals: a millisecond.
fn rounded(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
