//! An invented player: intended notes, played with human timing.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::input::event::{Event, NoteOff, NoteOn};
use crate::phrase::Phrase;
use crate::practice::{Drill, DrillReport, Listener, NoteValue, built_in};
use crate::session::Session;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::metre::Metre;
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second};
use fastrand::Rng;
use overbar_testkit::soloist::{self, Bar, Hand, Intent};
use std::sync::Arc;

/// How notes are played: at a tempo with the simple timing of [`soloist::Timing`].
#[derive(Debug, Clone, Copy)]
pub struct Timing {
    pub tempo: f64,
    /// Milliseconds.
    pub lag: f64,
    /// Milliseconds, one standard deviation.
    pub jitter: f64,
    /// Long to short.
    pub swing: f64,
}

impl Timing {
    pub fn exact(tempo: f64) -> Self {
        Self { tempo, lag: 0.0, jitter: 0.0, swing: 1.0 }
    }

    /// Drawn from the range of human playing: lags from −20 to 60 ms but within a quarter of a beat, jitter
    /// of 20 ms, a third straight and the others with swing that is less at fast tempos.
    pub fn drawn(tempo: f64, random: &mut Rng) -> Self {
        let lag = (random.f64() * 80.0 - 20.0).min(0.25 * 60_000.0 / tempo);
        let most = 3.0 - ((tempo - 100.0) / 200.0).clamp(0.0, 1.0) * 1.8;
        let swing = if random.u8(0..3) == 0 { 1.0 } else { 1.0 + random.f64() * (most - 1.0) };
        Self { tempo, lag, jitter: 20.0, swing }
    }
}

/// A player and the notes so far.
pub struct Player {
    pub timing: Timing,
    pub metre: Metre,
    pub settings: Settings,
    hand: Hand,
    random: Rng,
    notes: Vec<(f64, f64)>,
}

impl Player {
    pub fn new(timing: Timing, seed: u64) -> Self {
        let Timing { lag, jitter, swing, .. } = timing;
        let hand = Hand::new(soloist::Timing::simple(lag, jitter, swing), Bar::COMMON);
        let random = Rng::with_seed(seed);
        let (metre, settings) = (Metre::COMMON, Settings::default());
        Self { timing, metre, settings, hand, random, notes: Vec::new() }
    }

    /// Plays a note meant for `beat` that is held for `length` beats.
    pub fn note(&mut self, beat: f64, length: f64) {
        self.sound(beat, length, false);
    }

    /// Plays an eighth, which swings if it is off the beat.
    pub fn eighth(&mut self, beat: f64) {
        let off_beat = (beat.rem_euclid(1.0) - 0.5).abs() < 1e-9;
        self.sound(beat, 0.42, off_beat);
    }

    fn sound(&mut self, place: f64, length: f64, swings: bool) {
        let intent = Intent { place, swings, accent: false };
        let on = self.hand.strike(intent, self.timing.tempo, &mut self.random);
        self.notes.push((on, on + length));
    }

    /// Plays a note value from one beat up to another, without the notes that `skips` selects.
    pub fn line(&mut self, value: NoteValue, from: f64, to: f64, skips: impl Fn(usize) -> bool) {
        let quarters = value.quarters();
        let count = ((to - from) / quarters).round() as usize;
        for place in (0..count).filter(|place| !skips(*place)) {
            let beat = from + place as f64 * quarters;
            match value {
                NoteValue::Eighth => self.eighth(beat),
                _ => self.note(beat, 0.85 * quarters),
            }
        }
    }

    /// Plays a phrase of eighths from a beat on.
    pub fn phrase(&mut self, from: f64, notes: usize) {
        (0..notes).for_each(|note| self.eighth(from + note as f64 * 0.5));
    }

    /// What was played, in order of time.
    pub fn events(&self) -> Vec<Event> {
        let tempo = self.timing.tempo;
        let at = |beat: f64| (Second((beat + 8.0) * 60.0 / tempo), Some(Beat(beat)));
        let first = Event::Transport(TransportPoint {
            at: Second(0.0),
            beat: Some(-8.0),
            tempo: Some(tempo),
            metre: Some(self.metre.into()),
            rolling: true,
            ..TransportPoint::default()
        });
        let mut events = vec![first];
        for (index, (on, off)) in self.notes.iter().enumerate() {
            let (key, channel) = (Some(50 + (index % 20) as u8), Some(0));
            let off = off.min(self.notes.get(index + 1).map_or(*off, |(next, _)| next - 1e-4));
            let ((at_on, beat_on), (at_off, beat_off)) = (at(*on), at(off));
            let velocity = 0.7;
            events.push(Event::On(NoteOn { at: at_on, beat: beat_on, key, channel, velocity }));
            events.push(Event::Off(NoteOff { at: at_off, beat: beat_off, key, channel }));
        }
        events.sort_by(|a, b| a.at().0.total_cmp(&b.at().0));
        events
    }

    pub fn take(&self) -> (Arc<Performance>, Vec<Phrase>) {
        take(&self.events(), self.settings)
    }

    /// The report of a drill from bar 1 without count-in, on all that was played.
    pub fn report(&self, drill: Drill) -> DrillReport {
        let (take, phrases) = self.take();
        report(drill, self.settings, &take, &phrases)
    }
}

pub fn take(events: &[Event], settings: Settings) -> (Arc<Performance>, Vec<Phrase>) {
    let mut session = Session::new(settings);
    events.iter().for_each(|event| session.push(*event));
    session.finish();
    let take = session.takes().last().unwrap().performance.clone();
    let phrases = TakeAnalysis::of(take.clone(), settings).phrases().to_vec();
    (take, phrases)
}

pub fn report(
    drill: Drill,
    settings: Settings,
    take: &Performance,
    phrases: &[Phrase],
) -> DrillReport {
    let mut listener = Listener::new(drill, &settings, None).unwrap();
    listener.evaluate_whole(take, phrases);
    listener.report()
}

/// A built-in drill over `bars` from bar 1 on.
pub fn drill(name: &str, bars: u32, choruses: u32) -> Drill {
    let mut drill = built_in(name).unwrap();
    drill.form.bars = bars;
    drill.form.first_bar = Some(1);
    drill.form.count_in = 0;
    drill.choruses = choruses;
    drill
}
