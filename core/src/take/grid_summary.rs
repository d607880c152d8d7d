//! What is said of a beat grid of the take's own.

use super::performance::Performance;
use crate::grid::anchors::AnchorSource;
use crate::grid::beat_grid::Bridge;
use serde::Serialize;

/// The beat grid of a take's own, and how far it can be gone by.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GridSummary {
    /// `band` if the band was heard to play any beat, `tap` if any was tapped, else `hand`.
    pub source: AnchorSource,
    /// How many beats were tapped or set by hand.
    pub anchors: usize,
    /// How far a beat is off, as a standard deviation in milliseconds.
    pub spread_ms: f64,
    /// Share of the beats that were bridged, from 0 to 1.
    pub bridged: f64,
    /// Some count of beats is in doubt.
    pub count_in_doubt: bool,
    /// Bars and positions are to be taken as approximate.
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
    /// It is so long that its beats may be off.
    pub bridged: bool,
    /// It is in doubt how many beats it has.
    pub count_in_doubt: bool,
}

impl GridSummary {
    /// What is said of a take; `None` on the grid of its file or host.
    #[must_use]
    pub fn of(take: &Performance) -> Option<Self> {
        let own = take.own_grid.as_deref()?;
        let certainty = take.certainty()?;
        let bar = |beat| take.metres.bar_at(beat).number;
        let bridge = |bridge: &Bridge| BridgedBars {
            from_bar: bar(bridge.from),
            to_bar: bar(bridge.to),
            bridged: bridge.bridged,
            count_in_doubt: bridge.count_in_doubt,
        };
        let anchors = own.anchors.all();
        let any = |source| anchors.iter().any(|anchor| anchor.source == source);
        let sources = [AnchorSource::Band, AnchorSource::Tap];
        let source = sources.into_iter().find(|source| any(*source));
        Some(Self {
            source: source.unwrap_or(AnchorSource::Hand),
            anchors: anchors.len(),
            spread_ms: rounded(certainty.spread.0 * 1e3),
            bridged: rounded(certainty.bridged),
            count_in_doubt: certainty.count_in_doubt,
            about: certainty.is_about(),
            bridges: certainty.bridges.iter().map(bridge).collect(),
        })
    }

    /// The same in sentences without a full stop.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let from = match self.source {
            AnchorSource::Tap => "from taps",
            AnchorSource::Hand => "from anchors",
            AnchorSource::Band => "from the band",
        };
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
