//! Invented takes: a line of phrases, and what lies under it.

use overbar_core::input::note::Note;
use overbar_core::time::{Beat, Moment, Second};

/// A repeatable row of numbers: Knuth's linear congruential generator of MMIX.
pub struct Row(u64);

impl Row {
    pub fn new(seed: u64) -> Self {
        let mut row = Self(seed);
        row.upto(2);
        row
    }

    /// A whole number from 0 up to before `end`.
    pub fn upto(&mut self, end: u32) -> u32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((u64::from(end) * (self.0 >> 33)) >> 31).unwrap()
    }

    /// A number from `low` to `high`.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * f64::from(self.upto(1_000_000)) / 1e6
    }
}

/// A note of so many seconds.
pub fn note(at: f64, length: f64, key: u32) -> Note {
    let moment = |second| Moment { beat: Beat(2.0 * second), second: Second(second) };
    let (on, off) = (moment(at), Some(moment(at + length)));
    Note { on, off, key: u8::try_from(key).unwrap(), channel: 0, velocity: 0.7 }
}

/// In the order that the analysis keeps.
pub fn in_order(mut notes: Vec<Note>) -> Vec<Note> {
    notes.sort_by(|a, b| {
        a.on.second.0.total_cmp(&b.on.second.0).then((a.key, a.channel).cmp(&(b.key, b.channel)))
    });
    notes
}

/// Forty phrases of 4 to 20 eighths and sixteenths at about 150 beats a minute, rests of 2 to 5
/// beats between them, keys from 60 to 84. `held` is the share of its step that a note is held.
/// Also the first notes of phrases.
pub fn line(row: &mut Row, held: f64) -> (Vec<Note>, Vec<usize>) {
    let (mut notes, mut firsts) = (Vec::new(), Vec::new());
    let (mut at, mut key) = (1.6, 72);
    for _ in 0..40 {
        firsts.push(notes.len());
        for _ in 0..4 + row.upto(17) {
            let step = if row.upto(6) == 0 { 0.1 } else { 0.2 };
            let jitter = row.within(-0.01, 0.01);
            notes.push(note(at + jitter, held * step, key));
            at += step;
            key = (key + row.upto(9)).saturating_sub(4).clamp(60, 84);
        }
        at += 0.4 * f64::from(2 + row.upto(4));
    }
    (notes, firsts)
}

/// A left hand: chords of three or four notes around D3 in a rhythm of its own, spread over up
/// to 12 ms, through lines and rests alike, up to `end`.
pub fn left_hand(row: &mut Row, end: f64) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut beat = 0.4;
    while beat < end {
        let (root, length) = (46 + row.upto(4), row.within(0.15, 0.7));
        let chord: &[u32] = [&[0, 4, 7, 11][..], &[0, 3, 7], &[0, 5, 9]][row.upto(3) as usize];
        let at = beat + row.within(-0.015, 0.015);
        for above in chord {
            let late = row.within(0.0, 0.012);
            let end = length + row.within(-0.01, 0.01);
            notes.push(note(at + late, end - late, root + above));
        }
        beat += 0.2 * f64::from(2 + row.upto(5));
    }
    notes
}

/// Bass strings: single notes and fifths around C3, up to `end`.
pub fn bass(row: &mut Row, end: f64) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut beat = 0.8;
    while beat < end {
        let (key, length) = (40 + row.upto(9), row.within(0.2, 0.7));
        let at = beat + row.within(-0.015, 0.015);
        notes.push(note(at, length, key));
        if row.upto(4) == 0 {
            notes.push(note(at + 0.008, length, key + 7));
        }
        beat += 0.4 * f64::from(1 + row.upto(4));
    }
    notes
}

/// A channel a string, in standard tuning; a string's note ends where its next one begins.
pub fn on_strings(notes: &mut [Note]) {
    const OPEN: [u8; 6] = [40, 45, 50, 55, 59, 64];
    for note in &mut *notes {
        let string = OPEN.iter().rposition(|open| *open <= note.key).unwrap();
        note.channel = u8::try_from(string).unwrap();
    }
    for index in 0..notes.len() {
        let channel = notes[index].channel;
        let next = notes[index + 1..].iter().find(|n| n.channel == channel).map(|n| n.on);
        if let (Some(next), Some(off)) = (next, notes[index].off)
            && next.second < off.second
        {
            notes[index].off = Some(next);
        }
    }
}
