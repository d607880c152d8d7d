//! Invented notes and the transport they are played to, event by event.

use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;

/// Tempo of every take, in quarters a minute.
const TEMPO: f64 = 120.0;
/// Quarters between two transport points.
const BLOCK: f64 = 0.125;
/// Quarters between two notes of a line.
const EIGHTH: f64 = 0.5;

/// Notes of a take and the transport they are played to.
pub struct Take {
    metre: (i32, i32),
    settings: Settings,
    recording: bool,
    notes: Vec<(f64, f64, u8)>,
}

impl Take {
    pub fn new(metre: (i32, i32), settings: Settings) -> Self {
        Self { metre, settings, recording: false, notes: Vec::new() }
    }

    pub fn recorded(mut self) -> Self {
        self.recording = true;
        self
    }

    /// Eighths from quarter `from` up to quarter `to`.
    pub fn line(&mut self, from: f64, to: f64) {
        self.eighths(from, to, 67);
    }

    /// Eighths up and down over two octaves.
    pub fn tune(&mut self, from: f64, to: f64) {
        let mut at = from;
        let mut degree = 0_u8;
        while at < to - 1e-9 {
            let key = 55 + degree * 7 % 25;
            self.notes.push((at, (at + EIGHTH * 0.9).min(to), key));
            degree = degree.wrapping_add(3) % 29;
            at += EIGHTH;
        }
    }

    /// The same, as a person plays them: late by turns, and now and then early.
    pub fn loose_tune(&mut self, from: f64, to: f64) {
        let first = self.notes.len();
        self.tune(from, to);
        for (index, (at, _, _)) in self.notes.iter_mut().enumerate().skip(first) {
            *at += [0.01, 0.06, -0.015, 0.04, 0.03, 0.055, 0.0][index % 7];
        }
    }

    /// The same, low.
    pub fn bass(&mut self, from: f64, to: f64) {
        self.eighths(from, to, 40);
    }

    fn eighths(&mut self, from: f64, to: f64, key: u8) {
        let mut at = from;
        while at < to - 1e-9 {
            self.notes.push((at, (at + EIGHTH * 0.9).min(to), key));
            at += EIGHTH;
        }
    }

    pub fn point(&self, beat: f64) -> TransportPoint {
        TransportPoint {
            at: second(beat),
            block_before: Some(second(beat - BLOCK)),
            beat: Some(beat),
            tempo: Some(TEMPO),
            metre: Some(self.metre),
            rolling: true,
            recording: self.recording,
            ..TransportPoint::default()
        }
    }

    /// A note of so many quarters.
    pub fn note(&mut self, from: f64, length: f64) {
        self.notes.push((from, from + length, 67));
    }

    /// The session when the song is at quarter `end`.
    pub fn heard_until(&self, end: f64) -> Session {
        let mut session = Session::new(self.settings);
        self.play_to(&mut session, end);
        session
    }

    /// Plays it to a session up to quarter `end`.
    pub fn play_to(&self, session: &mut Session, end: f64) {
        self.events(0.0, end).into_iter().for_each(|event| session.push(event));
    }

    /// What comes from quarter `start` to quarter `end`.
    pub fn events(&self, start: f64, end: f64) -> Vec<Event> {
        let mut events = Vec::new();
        let mut block = start;
        while block <= end {
            events.push((block, 0, Event::Transport(self.point(block))));
            block += BLOCK;
        }
        for (from, to, key) in &self.notes {
            let (at, until) = (second(*from), second(*to));
            events.push((*from, 2, on(at, Some(*key))));
            events.push((*to, 1, off(until, Some(*key))));
        }
        events.retain(|(beat, _, _)| (start..=end).contains(beat));
        events.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        events.into_iter().map(|(_, _, event)| event).collect()
    }
}

pub fn second(beat: f64) -> Second {
    Second(beat * 60.0 / TEMPO)
}

pub fn on(at: Second, key: Option<u8>) -> Event {
    let key = key.or(Some(60));
    Event::On(NoteOn { at, beat: None, key, channel: Some(0), velocity: 0.8 })
}

pub fn off(at: Second, key: Option<u8>) -> Event {
    Event::Off(NoteOff { at, beat: None, key: key.or(Some(60)), channel: Some(0) })
}
