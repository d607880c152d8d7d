//! An invented rehearsal without a click: the host plays at an unrelated tempo, the band speeds up and slows
//! down, and a foot taps the beat.

use crate::host::{Host, parameter_number};
use crate::song::{Song, SongNote};
use fastrand::Rng;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::{Knot, TempoMap};
use overbar_core::time::{Beat, Second, SecondSpan, Tempo};
use std::collections::BTreeSet;
use std::ops::Range;

/// The pedal's key, on channel 1.
pub const PEDAL: u8 = 24;

/// The host's tempo, in quarters a minute.
pub const HOST_TEMPO: f64 = 120.0;

/// Seconds from the start of the song to beat one.
const BEFORE: f64 = 4.0;

/// Relative deviation of the band's tempo, and the number of beats over which it goes up and down.
const STRAYS: f64 = 0.05;
const OVER: f64 = 48.0;

/// The scatter of taps: 12 ms or 3 % of a beat (Repp 2005 has 3 to 5 % for people who tap along).
const SCATTER: (f64, f64) = (0.012, 0.03);

/// A song as played by a band without a click.
pub struct Rehearsal {
    /// The song and the pedal, on the host's grid.
    pub song: Song,
    /// The time of each beat, from four before beat one, in seconds of the song.
    beats: Vec<f64>,
}

impl Rehearsal {
    /// `song` at the band's tempo, with a foot tapping every beat to the end except those in `silent`.
    #[must_use]
    pub fn of(song: &Song, silent: &Range<i32>, seed: u64) -> Self {
        let tempo = song.tempo.first().map_or(HOST_TEMPO, |(_, tempo)| *tempo);
        let end = song.notes.iter().map(|note| note.off).fold(0.0, f64::max).ceil() as i32 + 2;
        let mut beats = Vec::new();
        let mut second = BEFORE - 4.0 * 60.0 / tempo;
        for beat in -4..=end {
            beats.push(second);
            let turn = f64::from(beat.max(0)) / OVER * std::f64::consts::TAU;
            second += 60.0 / (tempo * (1.0 + STRAYS * turn.sin()));
        }
        let mut rehearsal = Self { song: Song::steady(HOST_TEMPO, 4, 4), beats };
        let mut dice = Rng::with_seed(seed);
        let on_host = |second: f64| second * HOST_TEMPO / 60.0;
        let mut notes: Vec<SongNote> = song
            .notes
            .iter()
            .map(|note| SongNote {
                on: on_host(rehearsal.second_of(note.on)),
                off: on_host(rehearsal.second_of(note.off)),
                ..*note
            })
            .collect();
        for beat in (-4..end).filter(|beat| !silent.contains(beat)) {
            let (at, next) =
                (rehearsal.second_of(beat.into()), rehearsal.second_of((beat + 1).into()));
            let scatter = SCATTER.0.max(SCATTER.1 * (next - at));
            let on = on_host(at + scatter * normal(&mut dice));
            let (key, channel, velocity) = (PEDAL, 0, 0.9);
            notes.push(SongNote { on, off: on + 0.2, key, channel, velocity });
        }
        rehearsal.song.notes = notes;
        rehearsal
    }

    /// The time of a beat, in seconds of the song.
    #[must_use]
    pub fn second_of(&self, beat: f64) -> f64 {
        let place = (beat + 4.0).clamp(0.0, (self.beats.len() - 2) as f64);
        let index = place.floor() as usize;
        let (one, next) = (self.beats[index], self.beats[index + 1]);
        one + (beat + 4.0 - index as f64) * (next - one)
    }

    /// The take on the band's true beats.
    #[must_use]
    pub fn on_true_beats(&self, heard: &Performance) -> Performance {
        let mut take = heard.clone();
        take.set_grid(None);
        let shift = self.clock(&take);
        let knots = self.beats.windows(2).zip(-4_i32..).filter_map(|(pair, beat)| {
            let tempo = Tempo::new(60.0 / (pair[1] - pair[0]))?;
            Some(Knot { second: Second(pair[0]) + shift, beat: Beat(beat.into()), tempo })
        });
        take.tempo = TempoMap::of(knots.collect()).unwrap_or_default();
        take.metres = MetreMap::new(Metre::COMMON);
        take.restamp_all();
        take
    }

    /// Offset of the take's clock from the song's.
    #[must_use]
    pub fn clock(&self, on_host: &Performance) -> SecondSpan {
        let note = on_host.soloist.notes().first();
        let by_host = note.map_or(0.0, |note| note.on.beat.0 * 60.0 / HOST_TEMPO);
        SecondSpan(note.map_or(0.0, |note| note.on.second.0 - by_host))
    }
}

/// Box–Muller transform.
fn normal(dice: &mut Rng) -> f64 {
    let radius = (-2.0 * (1.0 - dice.f64()).ln()).sqrt();
    radius * (std::f64::consts::TAU * dice.f64()).cos()
}

/// Sets the beat source to taps on [`PEDAL`].
///
/// # Panics
/// If the plugin has no such parameters.
pub fn use_taps(host: &mut dyn Host) {
    let note = f64::from(PEDAL + 1) / 128.0;
    for (id, fraction) in [("beat_source", 0.5), ("tap_note", note)] {
        let number = parameter_number(id);
        let found = host.parameters().into_iter().find(|p| p.id == number);
        let value = found.expect("a parameter of Overbar's").at(fraction);
        host.set_parameter(number, value);
    }
}

/// The number of phrases that start in the same class in two takes of the same notes, and the number
/// compared. Only phrases in both are compared: phrases are segmented by the notes alone.
#[must_use]
pub fn alike(one: &Performance, other: &Performance) -> (usize, usize) {
    let starts = |take: &Performance| {
        let analysis = TakeAnalysis::of(take.clone(), Settings::default());
        let start = |phrase: &overbar_core::phrase::Phrase| {
            (phrase.first_note, format!("{:?}", phrase.entry.class))
        };
        analysis.phrases().iter().map(start).collect::<BTreeSet<_>>()
    };
    let (one, other) = (starts(one), starts(other));
    (one.intersection(&other).count(), other.len())
}
