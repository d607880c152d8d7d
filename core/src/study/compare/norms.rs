//! What recorded soloists do, by style, and how a take lies beside it.
//!
//! The figures are those of the Weimar Jazz Database (Pfleiderer and others 2017; open data,
//! ODbL): phrases marked by people, places in the bar as its own algorithm quantised them. They
//! say what is usual, not what is good.

use crate::figures::Figures;
use crate::stats::Share;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use core::fmt;
use serde::Serialize;

/// The source of every norm, as it stands beside them.
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

/// What is usual in a style.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Norm {
    /// How many phrases it was taken from.
    pub phrases: u32,
    /// Share of phrases that enter on beat one, from 0 to 1.
    pub beat_one: f64,
    /// Share that enter on another beat.
    pub other_beat: f64,
    /// Length in bars: lower quartile, median, upper quartile.
    pub bars: [f64; 3],
    /// Length in notes, likewise.
    pub notes: [f64; 3],
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
    #[must_use]
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
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|style| style.name() == name)
    }

    /// What the solos are called in a sentence.
    #[must_use]
    pub fn solos(self) -> &'static str {
        match self {
            Self::All => "recorded solos in 4/4",
            Self::Traditional => "recorded traditional solos",
            Self::Swing => "recorded swing solos",
            Self::Bebop => "recorded bebop solos",
            Self::Cool => "recorded cool solos",
            Self::Hardbop => "recorded hardbop solos",
            Self::Postbop => "recorded postbop solos",
            Self::Fusion => "recorded fusion solos",
        }
    }

    /// What is usual in it.
    #[must_use]
    pub fn norm(self) -> Norm {
        let row = |phrases, beat_one, other_beat, notes, bars| Norm {
            phrases,
            beat_one,
            other_beat,
            bars,
            notes,
        };
        match self {
            Self::All => row(10_411, 0.099, 0.248, [8.0, 13.0, 24.0], [1.0, 1.7, 3.2]),
            Self::Traditional => row(318, 0.217, 0.236, [8.0, 12.0, 17.0], [1.3, 1.8, 3.0]),
            Self::Swing => row(1_109, 0.081, 0.243, [9.0, 14.0, 21.0], [1.1, 1.7, 2.8]),
            Self::Bebop => row(934, 0.101, 0.190, [10.0, 16.0, 26.0], [1.2, 1.9, 3.3]),
            Self::Cool => row(1_211, 0.096, 0.236, [7.0, 13.0, 23.0], [0.9, 1.8, 3.5]),
            Self::Hardbop => row(2_098, 0.086, 0.252, [8.0, 13.0, 23.0], [1.0, 1.7, 3.0]),
            Self::Postbop => row(4_599, 0.101, 0.256, [7.0, 14.0, 27.0], [1.0, 1.8, 3.5]),
            Self::Fusion => row(592, 0.103, 0.260, [6.0, 11.0, 21.0], [0.7, 1.3, 2.0]),
        }
    }
}

impl Norm {
    /// Share of phrases that enter off the beat: those on no beat.
    #[must_use]
    pub fn off_beat(&self) -> f64 {
        1.0 - self.beat_one - self.other_beat
    }
}

/// A figure of a take beside the norm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AgainstNorm {
    /// A share: the take's, and the norm's.
    Share {
        /// What the share is of, as a verb: "enter off the beat".
        what: &'static str,
        /// The take's.
        own: Share,
        /// The norm's, from 0 to 1.
        norm: f64,
        /// The style.
        style: Style,
    },
    /// The length of phrases in bars: the take's median, and the norm's quartiles.
    Bars {
        /// The take's median.
        own: f64,
        /// Of how many phrases.
        phrases: u32,
        /// The norm's quartiles.
        norm: [f64; 3],
        /// The style.
        style: Style,
    },
}

/// A take's figures beside the norm of a style. Empty unless every metre of `metres` is 4/4,
/// which the recorded solos are in, and without phrases.
#[must_use]
pub fn against_norm(figures: &Figures, metres: &MetreMap, style: Style) -> Vec<AgainstNorm> {
    let norm = style.norm();
    if figures.phrases == 0 || metres.stretches().iter().any(|s| s.metre != Metre::COMMON) {
        return Vec::new();
    }
    let share = |what, own, norm| AgainstNorm::Share { what, own, norm, style };
    let mut lines = vec![
        share("enter off the beat", figures.off_beat_entries, norm.off_beat()),
        share("enter on beat one", figures.beat_one_entries, norm.beat_one),
    ];
    lines.extend(figures.lengths.as_ref().map(|lengths| AgainstNorm::Bars {
        own: lengths.bars.median,
        phrases: figures.phrases,
        norm: norm.bars,
        style,
    }));
    lines
}

impl fmt::Display for AgainstNorm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Share { what, own, norm, style } => {
                let (low, high) = own.interval().unwrap_or((0.0, 1.0));
                let phrases = if own.of == 1 { "phrase" } else { "phrases" };
                let side = if norm < low {
                    "more often than".to_owned()
                } else if norm > high {
                    "less often than".to_owned()
                } else {
                    format!("no clear difference, {} {phrases}, from", own.of)
                };
                write!(f, "{what}: {side} {} ({:.0} %)", style.solos(), norm * 100.0)
            }
            Self::Bars { own, norm: [lower, median, upper], style, .. } => {
                // As it is read: the norms have one decimal.
                let own = (own * 10.0).round() / 10.0;
                let side = if own < lower {
                    "shorter than three in four phrases"
                } else if own > upper {
                    "longer than three in four phrases"
                } else {
                    "within the middle half"
                };
                write!(
                    f,
                    "median length {own:.1} bars: {side} of {} ({lower:.1} to {upper:.1}, median \
                     {median:.1})",
                    style.solos()
                )
            }
        }
    }
}
