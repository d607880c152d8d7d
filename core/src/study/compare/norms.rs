//! Norms of recorded soloists by style, and a take against them.
//!
//! Source: the Weimar Jazz Database (Pfleiderer and others 2017; open data, ODbL): phrases marked
//! by people, positions in the bar by its own quantizer. They describe what is common, not what is
//! good.

use crate::phrase::figures::Figures;
use crate::stats::Share;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use serde::Serialize;

/// The source of every norm.
pub const NORM_SOURCE: &str = "Weimar Jazz Database: 456 recorded solos, phrases marked by people (Pfleiderer and others 2017)";

/// A style of the recorded solos.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Style {
    /// All solos in 4/4.
    All,
    /// Traditional jazz.
    Traditional,
    /// Swing.
    Swing,
    /// Bebop.
    Bebop,
    /// Cool jazz.
    Cool,
    /// Hard bop.
    Hardbop,
    /// Postbop.
    Postbop,
    /// Fusion.
    Fusion,
}

/// The norm of a style.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StyleNorm {
    /// Share of phrases that start on beat one, from 0 to 1.
    pub beat_one: f64,
    /// Share that start on another beat.
    pub other_beat: f64,
    /// Lower quartile, median and upper quartile of the length in bars.
    pub bars: [f64; 3],
}

impl Style {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::All,
        Self::Traditional,
        Self::Swing,
        Self::Bebop,
        Self::Cool,
        Self::Hardbop,
        Self::Postbop,
        Self::Fusion,
    ];

    /// Its name: `all`, `traditional`, `swing`, `bebop`, `cool`, `hardbop`, `postbop`, `fusion`.
    pub fn name(self) -> &'static str {
        match self {
            Self::All => "all",
            Self::Traditional => "traditional",
            Self::Swing => "swing",
            Self::Bebop => "bebop",
            Self::Cool => "cool",
            Self::Hardbop => "hardbop",
            Self::Postbop => "postbop",
            Self::Fusion => "fusion",
        }
    }

    /// The style of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|style| style.name() == name)
    }

    /// The name of its solos in a sentence.
    pub fn solos(self) -> String {
        match self {
            Self::All => "recorded solos in 4/4".to_owned(),
            _ => format!("recorded {} solos", self.name()),
        }
    }

    /// Its norm.
    pub fn norm(self) -> StyleNorm {
        let (beat_one, other_beat, bars) = match self {
            Self::All => (0.099, 0.248, [1.0, 1.7, 3.2]),
            Self::Traditional => (0.217, 0.236, [1.3, 1.8, 3.0]),
            Self::Swing => (0.081, 0.243, [1.1, 1.7, 2.8]),
            Self::Bebop => (0.101, 0.190, [1.2, 1.9, 3.3]),
            Self::Cool => (0.096, 0.236, [0.9, 1.8, 3.5]),
            Self::Hardbop => (0.086, 0.252, [1.0, 1.7, 3.0]),
            Self::Postbop => (0.101, 0.256, [1.0, 1.8, 3.5]),
            Self::Fusion => (0.103, 0.260, [0.7, 1.3, 2.0]),
        };
        StyleNorm { beat_one, other_beat, bars }
    }
}

impl StyleNorm {
    /// Share of phrases that start off the beat.
    pub fn off_beat(&self) -> f64 {
        1.0 - self.beat_one - self.other_beat
    }
}

/// A take against the norm of a style, one sentence per figure. Empty without phrases, or if any metre is
/// not 4/4, as the recorded solos are.
pub fn against_norm(figures: &Figures, metres: &MetreMap, style: Style) -> Vec<String> {
    let norm = style.norm();
    if figures.phrases == 0 || metres.stretches().iter().any(|s| s.metre != Metre::COMMON) {
        return Vec::new();
    }
    let solos = style.solos();
    let mut lines = vec![
        share("off-beat starts", &figures.off_beat_entries, norm.off_beat(), &solos),
        share("starts on beat one", &figures.beat_one_entries, norm.beat_one, &solos),
    ];
    lines.extend(figures.lengths.map(|lengths| length(lengths.bars.median, norm.bars, &solos)));
    lines
}

fn share(what: &str, own: &Share, norm: f64, solos: &str) -> String {
    let value = own.share().unwrap_or(0.0) * 100.0;
    let beside = share_beside(own, norm);
    format!("{what}: {value:.0} %, {beside} {solos} ({:.0} %)", norm * 100.0)
}

/// A share compared with that of recorded solos, in words that precede their name. It differs clearly if
/// theirs is outside the 95 % interval.
pub fn share_beside(share: &Share, norm: f64) -> &'static str {
    let (low, high) = share.interval().unwrap_or((0.0, 1.0));
    if norm < low {
        "clearly more than in"
    } else if norm > high {
        "clearly fewer than in"
    } else {
        "about as many as in"
    }
}

fn length(own: f64, norm: [f64; 3], solos: &str) -> String {
    let (beside, [lower, median, upper]) = (length_beside(own, norm), norm);
    format!(
        "typical length: {own:.1} bars, {beside} (middle 50 % of {solos}: \
         {lower:.1}\u{2013}{upper:.1}, median {median:.1})"
    )
}

/// A length in bars compared with the middle half of recorded phrases.
pub fn length_beside(bars: f64, [lower, _, upper]: [f64; 3]) -> &'static str {
    // Rounded as shown: the norms have one decimal.
    match (bars * 10.0).round() / 10.0 {
        b if b < lower => "shorter than 75 % of phrases on record",
        b if b > upper => "longer than 75 % of phrases on record",
        _ => "a usual length",
    }
}
