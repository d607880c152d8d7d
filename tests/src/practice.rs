//! An invented practice session: one soloist, three takes over a 16-bar tune in B flat at 138 BPM, with human
//! timing.

use crate::song::{Song, SongNote};
use fastrand::Rng;
use overbar_testkit::soloist::{Bar, Hand, Intent, Timing};

/// Quarters a minute.
pub const TEMPO: f64 = 138.0;

/// Bars of the tune.
pub const FORM: u32 = 16;

/// Timing of the invented soloist. Beat-upbeat ratio, lag and spread are close to those of recorded soloists
/// at this tempo (Weimar Jazz Database: 1.25, 40 ms, 21 ms), a little tighter.
const SWING: f64 = 1.25;
const LAG_MS: f64 = 25.0;
const SPREAD_MS: f64 = 14.0;

/// A take of the session.
pub struct Take {
    /// Its name.
    pub name: &'static str,
    /// How the soloist plays in it.
    pub story: &'static str,
    /// Twice through the form.
    pub song: Song,
}

/// A phrase idea: where in the bar it begins, in beats, its number of eighths, and the minimum rest after it
/// in beats.
type Idea = (f64, u32, f64);

/// The three takes.
#[must_use]
pub fn takes() -> [Take; 3] {
    let square: &[Idea] =
        &[(0.0, 5, 1.0), (0.0, 4, 1.0), (0.0, 4, 1.5), (0.0, 5, 1.0), (2.0, 4, 1.0), (0.0, 6, 1.0)];
    let better: &[Idea] = &[
        (0.5, 8, 1.5),
        (0.0, 6, 1.5),
        (3.5, 11, 2.0),
        (1.5, 7, 1.5),
        (2.0, 9, 2.0),
        (0.5, 5, 2.0),
    ];
    let flowing: &[Idea] = &[
        (3.5, 22, 2.5),
        (0.5, 13, 2.0),
        (1.5, 27, 3.0),
        (3.5, 8, 2.0),
        (2.5, 19, 2.5),
        (0.0, 15, 2.0),
        (3.5, 33, 3.0),
    ];
    [
        Take {
            name: "take 1",
            story: "short of breath, and square on the beat",
            song: play(square, 11),
        },
        Take { name: "take 2", story: "thinks before coming in", song: play(better, 12) },
        Take { name: "take 3", story: "lets the lines run", song: play(flowing, 13) },
    ]
}

/// Plays these ideas in rotation, twice through the form.
fn play(ideas: &[Idea], seed: u64) -> Song {
    let mut random = Rng::with_seed(seed);
    let timing = Timing { off_beat_lag: LAG_MS, ..Timing::simple(LAG_MS, SPREAD_MS, SWING) };
    let mut hand = Hand::new(timing, Bar::COMMON);
    let mut song = Song::steady(TEMPO, 4, 4);
    let end = f64::from(2 * FORM * 4);
    let mut free_from = 0.0_f64;
    let mut degree = 7_i32;
    for (entry, eighths, rest) in ideas.iter().cycle() {
        let bar = ((free_from - entry) / 4.0).ceil().max(0.0);
        let start = bar * 4.0 + entry;
        let length = f64::from(*eighths) * 0.5;
        if start + length > end {
            release_repeated_keys(&mut song);
            return song;
        }
        for eighth in 0..*eighths {
            degree = (degree + random.i32(-2..=2)).clamp(0, 15);
            let on = start + f64::from(eighth) * 0.5;
            let last = eighth + 1 == *eighths;
            song.notes.push(note(on, degree, last, &mut hand, &mut random));
        }
        free_from = start + length + rest;
    }
    song
}

/// A key must be released before it is struck again.
fn release_repeated_keys(song: &mut Song) {
    for next in 1..song.notes.len() {
        let struck = song.notes[next];
        let before = &mut song.notes[next - 1];
        if before.key == struck.key {
            before.off = before.off.min(struck.on - 0.03);
        }
    }
}

/// An eighth at `place`, with human timing.
fn note(place: f64, degree: i32, last: bool, hand: &mut Hand, random: &mut Rng) -> SongNote {
    let intent = Intent { place, swings: place.fract() != 0.0, accent: false };
    let on = hand.strike(intent, TEMPO, random).max(0.0);
    let held = if last { 0.4 } else { 0.46 };
    SongNote {
        on,
        off: on + held,
        key: key(degree),
        channel: 0,
        velocity: 0.6 + 0.3 * random.f32(),
    }
}

/// A key of B flat major, `degree` steps above the B flat below middle C.
fn key(degree: i32) -> u8 {
    let step = [0, 2, 4, 5, 7, 9, 11][degree.rem_euclid(7) as usize];
    (58 + 12 * degree.div_euclid(7) + step) as u8
}
