//! The ground truth of a solo, in the format that `score` reads; described in [`super`].

use super::solo::Solo;
use overbar_testkit::soloist::Sound;
use serde::Serialize;

/// One line of `labels.jsonl`.
#[derive(Debug, Serialize)]
pub struct Label {
    pub id: String,
    pub file: String,
    pub source: &'static str,
    pub feel: &'static str,
    pub metre: String,
    pub tempo_bpm: f64,
    pub drift_percent: f64,
    pub swing_ratio: f64,
    pub swing_ratios: Vec<f64>,
    pub lag_ms: f64,
    pub off_beat_lag_ms: f64,
    pub lag_wander_ms: f64,
    pub accent_delay_ms: f64,
    pub jitter_ms: f64,
    pub correlated_jitter_ms: f64,
    pub gate: &'static str,
    pub phrase_first_notes: Vec<usize>,
    pub glitches: Vec<usize>,
    pub missed_offs: Vec<usize>,
    pub notes: Places,
}

/// The intended position of every sounded note.
#[derive(Debug, Default, Serialize)]
pub struct Places {
    pub bar: Vec<u32>,
    pub beat: Vec<u32>,
    pub division: Vec<u8>,
    pub tatum: Vec<u8>,
}

impl Label {
    /// The ground truth of a solo.
    pub fn of(solo: &Solo) -> Self {
        let id = format!("perf-{:03}", solo.number);
        let mut notes = Places::default();
        let pulses = solo.bar.beats;
        for sound in &solo.sounds {
            let place = sound.meant.map_or((0, 0, 0, 0), |note| {
                (note.beat / pulses + 1, note.beat % pulses + 1, note.division, note.step + 1)
            });
            notes.bar.push(place.0);
            notes.beat.push(place.1);
            notes.division.push(place.2);
            notes.tatum.push(place.3);
        }
        let timing = &solo.manner.timing;
        let which = |is: fn(&Sound) -> bool| {
            let found = solo.sounds.iter().enumerate().filter(|(_, sound)| is(sound));
            found.map(|(index, _)| index).collect()
        };
        Self {
            file: format!("midi/{id}.mid"),
            id,
            source: if timing.is_exact() { "exact" } else { "invented" },
            feel: if timing.swings.iter().all(|ratio| *ratio == 1.0) {
                "STRAIGHT"
            } else {
                "SWING"
            },
            metre: solo.metre.to_string(),
            // Averaging bars leaves noise in the last digits.
            tempo_bpm: (solo.tempo() * 1000.0).round() / 1000.0,
            drift_percent: solo.drift,
            swing_ratio: swing(solo),
            swing_ratios: timing.swings.clone(),
            lag_ms: late(solo, true),
            off_beat_lag_ms: late(solo, false),
            lag_wander_ms: timing.wander,
            accent_delay_ms: timing.accent_delay,
            jitter_ms: timing.jitter,
            correlated_jitter_ms: timing.correlated_jitter,
            gate: solo.manner.gate.name(),
            phrase_first_notes: which(|sound| sound.meant.is_some_and(|note| note.first)),
            glitches: which(|sound| sound.meant.is_none()),
            missed_offs: which(|sound| sound.off.is_none()),
            notes,
        }
    }
}

/// The median ratio of the eighths that swing.
fn swing(solo: &Solo) -> f64 {
    let timing = &solo.manner.timing;
    let swung = solo.sounds.iter().filter_map(|sound| sound.meant).filter(|note| note.swings());
    let mut ratios: Vec<f64> = swung.map(|n| timing.swing_at(n.place(), solo.bar)).collect();
    ratios.sort_by(f64::total_cmp);
    ratios.get(ratios.len() / 2).or(timing.swings.first()).copied().unwrap_or(1.0)
}

/// The mean intended lag of notes on a beat, or off it.
fn late(solo: &Solo, on_beat: bool) -> f64 {
    let timing = &solo.manner.timing;
    let lag = if on_beat { timing.lag } else { timing.off_beat_lag };
    let shift = |sound: &Sound| {
        let note = sound.meant.filter(|note| (note.step == 0) == on_beat)?;
        Some(timing.late(note.intent(sound.accent), solo.bar) - lag)
    };
    let shifts: Vec<f64> = solo.sounds.iter().filter_map(shift).collect();
    let mean = shifts.iter().sum::<f64>() / shifts.len().max(1) as f64;
    // Averaging leaves noise in the last digits; without wandering or accents nothing is added.
    lag + (mean * 1000.0).round() / 1000.0
}
