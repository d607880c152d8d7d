//! The truth of a solo, in the shape that `score` reads; told in [`super`].

use super::solo::Solo;
use serde::Serialize;

/// One line of `labels.jsonl`.
#[derive(Debug, Serialize)]
pub struct Label {
    pub id: String,
    pub file: String,
    pub feel: &'static str,
    pub metre: String,
    pub tempo_bpm: f64,
    pub drift_percent: f64,
    pub swing_ratio: f64,
    pub lag_ms: f64,
    pub jitter_ms: f64,
    pub gate: &'static str,
    pub phrase_first_notes: Vec<usize>,
    pub glitches: Vec<usize>,
    pub missed_offs: Vec<usize>,
    pub notes: Places,
}

/// The intended place of every sounded note.
#[derive(Debug, Default, Serialize)]
pub struct Places {
    pub bar: Vec<u32>,
    pub beat: Vec<u32>,
    pub division: Vec<u8>,
    pub tatum: Vec<u8>,
}

impl Label {
    /// The truth of a solo.
    pub fn of(solo: &Solo) -> Self {
        let id = format!("perf-{:03}", solo.number);
        let mut notes = Places::default();
        let pulses = u32::from(solo.metre.pulses());
        for sound in &solo.sounds {
            let place = sound.meant.map_or((0, 0, 0, 0), |note| {
                (note.beat / pulses + 1, note.beat % pulses + 1, note.division, note.step + 1)
            });
            notes.bar.push(place.0);
            notes.beat.push(place.1);
            notes.division.push(place.2);
            notes.tatum.push(place.3);
        }
        let which = |is: fn(&super::solo::Sound) -> bool| {
            let found = solo.sounds.iter().enumerate().filter(|(_, sound)| is(sound));
            found.map(|(index, _)| index).collect()
        };
        Self {
            file: format!("midi/{id}.mid"),
            id,
            feel: if solo.manner.swing == 1.0 { "STRAIGHT" } else { "SWING" },
            metre: solo.metre.to_string(),
            // A mean of bars is off in the last digits.
            tempo_bpm: (solo.tempo() * 1000.0).round() / 1000.0,
            drift_percent: solo.drift,
            swing_ratio: solo.manner.swing,
            lag_ms: solo.manner.lag,
            jitter_ms: solo.manner.jitter,
            gate: solo.manner.gate.name(),
            phrase_first_notes: which(|sound| sound.meant.is_some_and(|note| note.first)),
            glitches: which(|sound| sound.meant.is_none()),
            missed_offs: which(|sound| sound.off.is_none()),
            notes,
        }
    }
}
