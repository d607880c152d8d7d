//! Invented soloists: phrases of eighths at given places, with a person's timing.

use overbar_testkit::soloist::{Bar, Hand, Intent, Timing};
use overbar_tests::song::Song;

/// How a solo is played.
pub struct Solo<'a> {
    pub tempo: f64,
    pub metre: (i32, i32),
    /// From where to where, in quarters.
    pub beats: (f64, f64),
    /// Phrases begin so far apart, in quarters.
    pub apart: f64,
    /// How far from each beginning they enter, in turn.
    pub entries: &'a [f64],
    pub seed: u64,
}

impl Solo<'_> {
    /// Notes some 20 ms behind the beat, with a spread of 5 ms.
    pub fn song(&self) -> Song {
        let mut random = fastrand::Rng::with_seed(self.seed);
        let timing = Timing { off_beat_lag: 20.0, ..Timing::simple(20.0, 5.0, 1.0) };
        let mut hand = Hand::new(timing, Bar::COMMON);
        let mut song = Song::steady(self.tempo, self.metre.0, self.metre.1);
        let (from, to) = self.beats;
        let mut start = from;
        let mut phrase = 0;
        while start + self.apart <= to + 1e-9 {
            let entry = start + self.entries[phrase % self.entries.len()];
            // Rests of a quarter of the stretch and more stay between phrases.
            let room = (self.apart * 0.75 - self.entries[phrase % self.entries.len()]) / 0.5;
            let notes = random.usize(3..=(room as usize).max(4));
            for note in 0..notes {
                let place = entry + note as f64 * 0.5;
                let intent = Intent { place, swings: false, accent: false };
                let on = hand.strike(intent, self.tempo, &mut random);
                song = song.with_note(on, 0.42, 58 + random.u8(0..20));
            }
            start += self.apart;
            phrase += 1;
        }
        song
    }
}
