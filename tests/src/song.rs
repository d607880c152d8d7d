//! Songs to play to a plugin: notes in beats, and the tempo and metre changes under them.
//!
//! A beat is a quarter note. Beat 0 is at second 0, whatever the tempo map before it.

/// A note of a song.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SongNote {
    /// Its start, in beats.
    pub on: f64,
    /// Its end, in beats.
    pub off: f64,
    /// MIDI key, 0 to 127.
    pub key: u8,
    /// MIDI channel, 0 to 15.
    pub channel: u8,
    /// Velocity, 0 to 1.
    pub velocity: f32,
}

/// Notes over a tempo and metre map.
#[derive(Debug, Clone, PartialEq)]
pub struct Song {
    /// Tempo changes as (beat, BPM), in order. The first also applies before its beat.
    pub tempo: Vec<(f64, f64)>,
    /// Metre changes as (beat, upper figure, lower figure), in order; each begins a bar. The first also
    /// applies before its beat.
    pub metres: Vec<(f64, i32, i32)>,
    /// The notes, in any order.
    pub notes: Vec<SongNote>,
}

impl Song {
    /// An empty song in one tempo and one metre, with bar 1 at beat 0.
    #[must_use]
    pub fn steady(tempo: f64, upper: i32, lower: i32) -> Self {
        Self { tempo: vec![(0.0, tempo)], metres: vec![(0.0, upper, lower)], notes: Vec::new() }
    }

    /// Adds a note of `length` beats on channel 0, at velocity 0.8.
    #[must_use]
    pub fn with_note(mut self, on: f64, length: f64, key: u8) -> Self {
        self.notes.push(SongNote { on, off: on + length, key, channel: 0, velocity: 0.8 });
        self
    }

    /// Whether both maps are valid in a host: not empty, in order, and positive.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        !self.tempo.is_empty()
            && !self.metres.is_empty()
            && self.tempo.iter().all(|t| t.0.is_finite() && t.1.is_finite() && t.1 > 0.0)
            && self.metres.iter().all(|m| m.0.is_finite() && m.1 > 0 && m.2 > 0)
            && self.tempo.is_sorted_by(|a, b| a.0 < b.0)
            && self.metres.is_sorted_by(|a, b| a.0 < b.0)
            && self.notes.iter().all(|n| n.on.is_finite() && n.off >= n.on)
    }

    /// The bar that contains `beat`: its start, and its number, counted from 0 at beat 0 of a song whose
    /// first metre begins there. A metre change in mid-bar cuts that bar short.
    #[must_use]
    pub fn bar_at(&self, beat: f64) -> (f64, i32) {
        let after = self.metres.partition_point(|m| m.0 <= beat).max(1);
        let mut number = 0;
        for pair in self.metres[..after].windows(2) {
            number += ((pair[1].0 - pair[0].0) / bar_length(pair[0]) - 1e-9).ceil() as i32;
        }
        let metre = self.metres[after - 1];
        let bars = ((beat - metre.0) / bar_length(metre)).floor();
        (metre.0 + bars * bar_length(metre), number + bars as i32)
    }

    /// The song's tempo map as a function invertible in both directions.
    #[must_use]
    pub fn tempo_line(&self) -> TempoLine {
        let mut knots: Vec<Knot> = Vec::with_capacity(self.tempo.len());
        for &(beat, tempo) in &self.tempo {
            let second = knots.last().map_or(0.0, |knot| knot.seconds(beat));
            knots.push(Knot { beat, second, tempo });
        }
        let mut line = TempoLine { knots };
        let origin = line.seconds(0.0);
        for knot in &mut line.knots {
            knot.second -= origin;
        }
        line
    }
}

fn bar_length((_, upper, lower): (f64, i32, i32)) -> f64 {
    f64::from(upper) * 4.0 / f64::from(lower)
}

/// A point where a tempo begins.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Knot {
    beat: f64,
    second: f64,
    tempo: f64,
}

impl Knot {
    fn seconds(&self, beat: f64) -> f64 {
        self.second + (beat - self.beat) * 60.0 / self.tempo
    }
}

/// Beats to seconds and back, piecewise linear between tempo changes.
#[derive(Debug, Clone, PartialEq)]
pub struct TempoLine {
    knots: Vec<Knot>,
}

impl TempoLine {
    /// The time of `beat`, in seconds from beat 0.
    #[must_use]
    pub fn seconds(&self, beat: f64) -> f64 {
        let after = self.knots.partition_point(|knot| knot.beat <= beat).max(1);
        self.knots[after - 1].seconds(beat)
    }

    /// The position at `second`, in beats.
    #[must_use]
    pub fn beat(&self, second: f64) -> f64 {
        let after = self.knots.partition_point(|knot| knot.second <= second).max(1);
        let knot = &self.knots[after - 1];
        knot.beat + (second - knot.second) * knot.tempo / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_counted_through_changes_and_before_the_start() {
        let mut song = Song::steady(120.0, 4, 4);
        song.metres.extend([(8.0, 3, 4), (14.0, 7, 8), (16.0, 4, 4)]);
        for (beat, start, number) in [
            (-0.5, -4.0, -1),
            (0.0, 0.0, 0),
            (7.9, 4.0, 1),
            (8.0, 8.0, 2),
            (13.9, 11.0, 3),
            (15.0, 14.0, 4),
            (16.0, 16.0, 5),
            (20.5, 20.0, 6),
        ] {
            assert_eq!(song.bar_at(beat), (start, number), "at {beat}");
        }
    }

    #[test]
    fn the_tempo_line_is_invertible_with_its_origin_at_beat_0() {
        let mut song = Song::steady(60.0, 4, 4);
        song.tempo = vec![(-2.0, 60.0), (4.0, 120.0), (6.0, 30.0)];
        let line = song.tempo_line();
        for (beat, second) in
            [(-4.0, -4.0), (0.0, 0.0), (4.0, 4.0), (5.0, 4.5), (6.0, 5.0), (7.0, 7.0)]
        {
            assert_eq!(line.seconds(beat), second);
            assert_eq!(line.beat(second), beat);
        }
    }
}
