//! What drums and bass play along given beats: patterns drawn for each seed.

use super::normal;
use crate::render::Stroke;
use fastrand::Rng;
use overbar_testkit::soloist::{chance, within};

/// General MIDI channels: a plucked bass on the first, drums on the tenth.
const BASS: i32 = 0;
const DRUMS: i32 = 9;

/// A kind of accompaniment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Case {
    /// Time throughout.
    Plain,
    /// Each stroke off by 25 ms, as a standard deviation.
    Loose,
    /// Bass alone.
    NoDrums,
    /// Drums and bass at half the tempo.
    HalfTime,
    /// The last 4 of every 16 bars are for the soloist alone.
    Alone,
    /// The last 4 of every 16 bars are for the drummer alone, who does not keep time.
    Break,
}

impl Case {
    /// All scored cases.
    pub const ALL: [Self; 6] =
        [Self::Plain, Self::Loose, Self::NoDrums, Self::HalfTime, Self::Alone, Self::Break];

    /// Its name in reports.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Loose => "loose",
            Self::NoDrums => "no drums",
            Self::HalfTime => "half-time",
            Self::Alone => "soloist alone, 4 bars of 16",
            Self::Break => "drum break, 4 bars of 16",
        }
    }

    /// Standard deviation of a stroke, in seconds.
    fn jitter(self) -> f64 {
        if self == Self::Loose { 0.025 } else { 0.006 }
    }
}

/// How time is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Style {
    Swing,
    TwoBeat,
    Latin,
    Backbeat,
}

/// A band.
pub struct Band<'a> {
    /// The time of each beat from beat one on.
    beats: &'a [f64],
    case: Case,
    style: Style,
    /// The position of the off-beat within a beat.
    off_beat: f64,
    busy: f64,
    random: Rng,
    strokes: Vec<Stroke>,
    bass: i32,
}

impl<'a> Band<'a> {
    /// The strokes of a band along these beats.
    pub fn play(beats: &'a [f64], case: Case, seed: u64) -> Vec<Stroke> {
        let mut random = Rng::with_seed(seed);
        let drawn = random.f64();
        let style = match drawn {
            ..0.65 => Style::Swing,
            ..0.75 => Style::TwoBeat,
            ..0.88 => Style::Latin,
            _ => Style::Backbeat,
        };
        let swing = match style {
            Style::Swing | Style::TwoBeat => within(&(1.3..=2.2), &mut random),
            Style::Latin | Style::Backbeat => 1.0,
        };
        let busy = within(&(0.1..=0.5), &mut random);
        let off_beat = swing / (1.0 + swing);
        let bass = random.i32(33..46);
        let strokes = Vec::new();
        let mut band = Self { beats, case, style, off_beat, busy, random, strokes, bass };
        (0..beats.len()).for_each(|beat| band.beat(beat));
        band.strokes.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.3.cmp(&b.3)));
        band.strokes
    }

    /// The time of a position in a beat.
    fn at(&self, beat: usize, place: f64) -> f64 {
        let last = self.beats.len().saturating_sub(2);
        let from = beat.min(last);
        let period = self.beats[from + 1] - self.beats[from];
        self.beats[beat] + place * period
    }

    fn drum(&mut self, beat: usize, place: f64, key: i32, loud: std::ops::Range<i32>) {
        let at = self.at(beat, place) + self.case.jitter() * normal(&mut self.random);
        let loud = self.random.i32(loud);
        self.strokes.push((at.max(0.0), DRUMS, key, loud));
    }

    fn pluck(&mut self, beat: usize, place: f64, length: f64) {
        self.bass = (self.bass + self.random.i32(-4..=4)).clamp(28, 50);
        let at = self.at(beat, place) + self.case.jitter() * normal(&mut self.random);
        let loud = self.random.i32(75..105);
        let end = at + length * (self.at(beat, 1.0) - self.at(beat, 0.0));
        self.strokes.push((at.max(0.0), BASS, self.bass, loud));
        self.strokes.push((end.max(0.0), BASS, self.bass, 0));
    }

    fn beat(&mut self, beat: usize) {
        let bar = beat / 4;
        let in_last_four = bar % 16 >= 12;
        match self.case {
            Case::Alone if in_last_four => return,
            Case::Break if in_last_four => return self.solo_drums(beat),
            _ => {}
        }
        // At half-time a bar of the band is two of the take.
        let (count, half) = match self.case {
            Case::HalfTime if beat % 2 == 1 => return self.between(beat),
            Case::HalfTime => ((beat / 2) % 4, true),
            _ => (beat % 4, false),
        };
        self.bass_line(beat, count, half);
        if self.case != Case::NoDrums {
            self.drums(beat, count, half);
        }
    }

    /// The second half of a beat at half-time.
    fn between(&mut self, beat: usize) {
        if chance(0.7, &mut self.random) {
            self.drum(beat, 0.0, 51, 50..80);
        }
        if chance(self.busy * 0.5, &mut self.random) {
            self.pluck(beat, 0.0, 0.5);
        }
    }

    fn bass_line(&mut self, beat: usize, count: usize, half: bool) {
        let length = if half { 1.7 } else { 0.9 };
        let skip = |this: &mut Self| chance(this.busy * 0.6, &mut this.random);
        match self.style {
            Style::Swing => {
                self.pluck(beat, 0.0, length);
                if skip(self) && !half {
                    let off = self.off_beat;
                    self.pluck(beat, off, 0.3);
                }
            }
            Style::TwoBeat => {
                if count.is_multiple_of(2) || skip(self) {
                    self.pluck(beat, 0.0, length * 1.4);
                }
            }
            Style::Latin => {
                if count.is_multiple_of(2) {
                    self.pluck(beat, 0.0, 1.3);
                } else if !half {
                    self.pluck(beat, 0.5, 0.5);
                }
            }
            Style::Backbeat => {
                if count.is_multiple_of(2) || skip(self) {
                    self.pluck(beat, 0.0, 0.6);
                }
                if skip(self) && !half {
                    self.pluck(beat, 0.5, 0.4);
                }
            }
        }
    }

    fn drums(&mut self, beat: usize, count: usize, half: bool) {
        let off = if half { 1.0 } else { self.off_beat };
        let comp = chance(self.busy, &mut self.random);
        if beat.is_multiple_of(32) && chance(0.5, &mut self.random) {
            self.drum(beat, 0.0, 49, 80..115);
        }
        match self.style {
            Style::Swing | Style::TwoBeat => {
                self.drum(beat, 0.0, 51, 70..105);
                if count % 2 == 1 {
                    if !half && chance(0.9, &mut self.random) {
                        self.drum(beat, off, 51, 45..80);
                    }
                    self.drum(beat, 0.0, 44, 65..95);
                }
                if count == 0 && chance(0.8, &mut self.random) || chance(0.25, &mut self.random) {
                    self.drum(beat, 0.0, 36, 35..70);
                }
                if comp {
                    let key = if chance(0.7, &mut self.random) { 38 } else { 36 };
                    self.drum(beat, off, key, 40..105);
                }
                if chance(self.busy * 0.3, &mut self.random) {
                    self.drum(beat, 0.0, 38, 40..90);
                }
            }
            Style::Latin => {
                self.drum(beat, 0.0, 42, 60..90);
                self.drum(beat, 0.5, 42, 45..75);
                if count.is_multiple_of(2) {
                    self.drum(beat, 0.0, 36, 60..90);
                } else {
                    self.drum(beat, 0.5, 36, 55..85);
                }
                if matches!(count, 1 | 3) || comp {
                    let place = if comp { 0.5 } else { 0.0 };
                    self.drum(beat, place, 37, 60..95);
                }
            }
            Style::Backbeat => {
                self.drum(beat, 0.0, 42, 65..95);
                self.drum(beat, 0.5, 42, 45..80);
                if count % 2 == 1 {
                    self.drum(beat, 0.0, 38, 85..115);
                } else {
                    self.drum(beat, 0.0, 36, 75..110);
                }
                if comp {
                    self.drum(beat, 0.5, 36, 60..100);
                }
            }
        }
        if beat % 32 == 31 && chance(0.5, &mut self.random) {
            for place in [0.0, 0.25, 0.5, 0.75] {
                let key = [38, 48, 45, 41][self.random.usize(0..4)];
                self.drum(beat, place, key, 70..110);
            }
        }
    }

    /// Strokes on any third or half of the beat.
    fn solo_drums(&mut self, beat: usize) {
        let swung = matches!(self.style, Style::Swing | Style::TwoBeat);
        let places: &[f64] =
            if swung { &[0.0, 1.0 / 3.0, 2.0 / 3.0] } else { &[0.0, 0.25, 0.5, 0.75] };
        for place in places {
            if chance(0.5, &mut self.random) {
                let key = [38, 38, 48, 45, 41, 36, 51, 49][self.random.usize(0..8)];
                self.drum(beat, *place, key, 50..115);
            }
        }
        if beat % 2 == 1 && chance(0.5, &mut self.random) {
            self.drum(beat, 0.0, 44, 60..90);
        }
    }
}
