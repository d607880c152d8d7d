//! Figures of all solos, and by tempo, feel and source.

use super::labels::Label;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// Bands of mean tempo in BPM, each from its value up to the next.
const BANDS: [(f64, &str); 6] = [
    (0.0, "< 100"),
    (100.0, "100-140"),
    (140.0, "140-180"),
    (180.0, "180-220"),
    (220.0, "220-270"),
    (270.0, "> 270"),
];

/// Figures that can be summed.
pub trait Absorb {
    /// Adds another's counts.
    fn absorb(&mut self, other: &Self);
}

/// Figures of all solos, by tempo, feel and source. Solos without a tempo are in no band.
#[derive(Debug, Default, Serialize)]
pub struct Parts<T> {
    /// Over all solos.
    pub pooled: T,
    /// By band of tempo, slowest first.
    #[serde(serialize_with = "bands")]
    pub by_tempo: BTreeMap<usize, T>,
    /// By labelled feel.
    pub by_feel: BTreeMap<String, T>,
    /// By source of the labels.
    pub by_source: BTreeMap<String, T>,
}

impl<T: Absorb + Default> Parts<T> {
    /// Adds the figures of a solo.
    pub fn add(&mut self, label: &Label, figures: &T) {
        self.pooled.absorb(figures);
        if let Some(band) = label.tempo_bpm.and_then(band) {
            self.by_tempo.entry(band).or_default().absorb(figures);
        }
        self.by_feel.entry(label.feel.clone()).or_default().absorb(figures);
        self.by_source.entry(label.source.clone()).or_default().absorb(figures);
    }

    /// Three lines, with each part formatted by `show`.
    pub fn lines(&self, show: impl Fn(&T) -> String) -> String {
        let tempo = self.by_tempo.iter().map(|(band, figures)| (name(*band), show(figures)));
        let named = |parts: &BTreeMap<String, T>| {
            joined(parts.iter().map(|(name, figures)| (name.as_str(), show(figures))))
        };
        let (feel, source) = (named(&self.by_feel), named(&self.by_source));
        format!("  by tempo:{}\n  by feel: {feel}\n  by source:{source}\n", joined(tempo))
    }
}

fn joined<'a>(parts: impl Iterator<Item = (&'a str, String)>) -> String {
    parts.map(|(name, figures)| format!("  {name} {figures}")).collect()
}

fn band(tempo: f64) -> Option<usize> {
    BANDS.iter().rposition(|(from, _)| tempo >= *from)
}

fn name(band: usize) -> &'static str {
    BANDS.get(band).map_or("", |(_, name)| name)
}

fn bands<T: Serialize, S: Serializer>(
    by_tempo: &BTreeMap<usize, T>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.collect_map(by_tempo.iter().map(|(band, figures)| (name(*band), figures)))
}
