//! The events of a performance from a MIDI file.

use super::{Line, MidiFile};
use crate::input::event::{Event, NoteOff, NoteOn};
use crate::time::metre::Metre;
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second};

/// Microseconds per quarter until the file sets a tempo: 120 BPM (RP-001).
const FIRST_TEMPO: u32 = 500_000;

impl MidiFile {
    /// The events of one pass through the file, in order of time.
    pub fn events(&self, line: Line) -> Vec<Event> {
        let mut clock = Clock::of(self);
        let mut events = Vec::with_capacity(self.notes.len() + self.tempos.len() + 1);
        let mut points = Vec::new();
        clock.run_to(0, &mut points, true);
        events.extend(points.drain(..).map(Event::Transport));
        for note in self.notes.iter().filter(|n| line.takes(n)) {
            if clock.next <= note.tick {
                clock.run_to(note.tick, &mut points, false);
                events.extend(points.drain(..).map(Event::Transport));
            }
            let (at, beat) = (clock.second_at(note.tick), Some(self.beat_at(note.tick)));
            let (key, channel) = (Some(note.key), Some(note.channel));
            events.push(match note.velocity {
                Some(velocity) => {
                    let velocity = f32::from(velocity) / 127.0;
                    Event::On(NoteOn { at, beat, key, channel, velocity })
                }
                None => Event::Off(NoteOff { at, beat, key, channel }),
            });
        }
        events
    }

    /// Tempo and metre at the start of the file, and where one of them changes.
    #[must_use]
    pub fn grid(&self) -> Vec<TransportPoint> {
        let tempo = self.tempos.last().map_or(0, |(tick, _)| *tick);
        let metre = self.metres.last().map_or(0, |(tick, _)| *tick);
        let mut points = Vec::new();
        Clock::of(self).run_to(tempo.max(metre), &mut points, true);
        points
    }

    /// When each note-on is, on all tracks and channels, in order.
    #[must_use]
    pub fn attacks(&self) -> Vec<Second> {
        self.seconds(self.notes.iter().filter(|n| n.velocity.is_some()).map(|n| n.tick))
    }

    /// When each marker is, in order.
    #[must_use]
    pub fn markers(&self) -> Vec<Second> {
        self.seconds(self.markers.iter().copied())
    }

    /// The moments of ticks in order.
    fn seconds(&self, ticks: impl Iterator<Item = u64>) -> Vec<Second> {
        let mut clock = Clock::of(self);
        let mut points = Vec::new();
        let mut second = |tick| {
            clock.run_to(tick, &mut points, false);
            points.clear();
            clock.second_at(tick)
        };
        ticks.map(&mut second).collect()
    }

    fn beat_at(&self, tick: u64) -> Beat {
        Beat(real(tick) / f64::from(self.ticks_a_quarter))
    }
}

/// Steps through tempo and metre changes.
struct Clock<'a> {
    file: &'a MidiFile,
    /// How many changes of each lie at or before `tick`.
    tempo: usize,
    metre: usize,
    at: Second,
    tick: u64,
    /// The tick of the next change; `u64::MAX` without one.
    next: u64,
}

impl<'a> Clock<'a> {
    fn of(file: &'a MidiFile) -> Self {
        Self { file, tempo: 0, metre: 0, at: Second(0.0), tick: 0, next: 0 }
    }

    /// Emits every change up to `tick`, and the initial state if this is the start.
    fn run_to(&mut self, tick: u64, points: &mut Vec<TransportPoint>, mut start: bool) {
        loop {
            let tempo = self.file.tempos.get(self.tempo).map_or(u64::MAX, |(t, _)| *t);
            let metre = self.file.metres.get(self.metre).map_or(u64::MAX, |(t, _)| *t);
            self.next = tempo.min(metre);
            let due = (self.next <= tick).then_some(self.next);
            let Some(change) = due.or(start.then_some(0)) else { return };
            start = false;
            self.at = self.second_at(change);
            self.tick = change;
            self.tempo = count_until(&self.file.tempos, self.tempo, change);
            self.metre = count_until(&self.file.metres, self.metre, change);
            points.push(self.point());
        }
    }

    fn point(&self) -> TransportPoint {
        let metre = self
            .metre
            .checked_sub(1)
            .and_then(|m| self.file.metres.get(m))
            .map_or(Metre::COMMON, |(_, metre)| *metre);
        TransportPoint {
            at: self.at,
            block_before: Some(self.at),
            beat: Some(self.file.beat_at(self.tick).0),
            tempo: Some(6e7 / f64::from(self.quarter())),
            metre: Some(metre.into()),
            rolling: true,
            ..TransportPoint::default()
        }
    }

    fn quarter(&self) -> u32 {
        let tempo = self.tempo.checked_sub(1).and_then(|t| self.file.tempos.get(t));
        tempo.map_or(FIRST_TEMPO, |(_, tempo)| *tempo)
    }

    fn second_at(&self, tick: u64) -> Second {
        let ticks = real(tick.saturating_sub(self.tick));
        let quarters = ticks / f64::from(self.file.ticks_a_quarter);
        Second(self.at.0 + quarters * f64::from(self.quarter()) / 1e6)
    }
}

fn count_until<T>(changes: &[(u64, T)], from: usize, tick: u64) -> usize {
    from + changes.iter().skip(from).take_while(|(t, _)| *t <= tick).count()
}

#[expect(clippy::cast_precision_loss, reason = "a file's ticks stay far below 2^52")]
fn real(ticks: u64) -> f64 {
    ticks as f64
}
