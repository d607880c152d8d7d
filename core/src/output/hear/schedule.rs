//! A stretch of a take as note-ons, note-offs and clicks in time.

use super::stretch::{Bounds, Stretch, played};
use crate::quantization::BarLines;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Second};
use std::collections::BTreeMap;

/// The shortest note, in seconds: two samples at the slowest sample rate that hosts use.
const SHORTEST: f64 = 0.002;

/// The shortest loop, in seconds.
const SHORTEST_LOOP: f64 = 0.05;

/// Most clicks, more than any take has: ten hours of eighths at 160 BPM.
const MAX_CLICKS: usize = 200_000;

/// An event of a schedule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HearEvent {
    /// A note ends.
    Off {
        /// Its key.
        key: u8,
        /// Its channel.
        channel: u8,
    },
    /// A felt beat.
    Click {
        /// It is beat one.
        beat_one: bool,
    },
    /// A note begins.
    On {
        /// Its key.
        key: u8,
        /// Its channel.
        channel: u8,
        /// Above 0, up to 1.
        velocity: f32,
    },
}

/// An event and its second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Timed {
    pub at: f64,
    pub event: HearEvent,
}

/// A stretch of a take as timed events.
#[derive(Debug, Clone)]
pub struct Schedule {
    /// In order; at equal times ends come first and attacks last.
    pub(super) events: Vec<Timed>,
    /// The first attack.
    pub(super) first_on: f64,
    /// The last end.
    pub(super) ends: f64,
    /// The length of a loop.
    pub(super) length: f64,
    tempo: TempoMap,
    start: Second,
}

/// A note of a schedule.
#[derive(Debug, Clone, Copy)]
struct ScheduledNote {
    on: f64,
    off: f64,
    key: u8,
    channel: u8,
    velocity: f32,
}

impl Schedule {
    /// The schedule of `stretch`; `None` if nothing was played there, or for bars without a beat grid.
    pub fn of(take: &Performance, stretch: Stretch, settings: &Settings) -> Option<Self> {
        let bounds = stretch.bounds(take, settings)?;
        let length = (bounds.end - bounds.start).0.max(SHORTEST_LOOP);
        if !length.is_finite() {
            return None;
        }
        let notes = heard(&bounds, length, settings);
        let first_on = notes.first()?.on;
        let ends = notes.iter().map(|note| note.off).fold(0.0, f64::max);
        let mut events = Vec::with_capacity(2 * notes.len());
        for ScheduledNote { on, off, key, channel, velocity } in notes {
            events.push(Timed { at: on, event: HearEvent::On { key, channel, velocity } });
            events.push(Timed { at: off, event: HearEvent::Off { key, channel } });
        }
        clicks(take, &bounds, settings, &mut events);
        events.retain(|timed| timed.at.is_finite());
        let rank = |event: &HearEvent| match event {
            HearEvent::Off { .. } => 0,
            HearEvent::Click { .. } => 1,
            HearEvent::On { .. } => 2,
        };
        events.sort_by(|a, b| {
            a.at.total_cmp(&b.at).then_with(|| rank(&a.event).cmp(&rank(&b.event)))
        });
        let (tempo, start) = (take.tempo.clone(), bounds.start);
        Some(Self { events, first_on, ends, length, tempo, start })
    }

    /// All events in order, with their seconds.
    pub fn events(&self) -> impl Iterator<Item = (f64, HearEvent)> {
        self.events.iter().map(|timed| (timed.at, timed.event))
    }

    /// The length of a loop in seconds, up to a bar line if there is a beat grid.
    pub fn length(&self) -> f64 {
        self.length
    }

    /// The song position at a second of the schedule; `None` without a beat grid.
    pub fn beat_at(&self, second: f64) -> Option<Beat> {
        self.tempo.beat_at(Second(self.start.0 + second))
    }
}

/// The notes in order of attack. Notes of one key never overlap.
fn heard(bounds: &Bounds<'_>, length: f64, settings: &Settings) -> Vec<ScheduledNote> {
    let mut heard: Vec<ScheduledNote> = Vec::with_capacity(bounds.notes.len());
    // The last note of each key.
    let mut last: BTreeMap<(u8, u8), usize> = BTreeMap::new();
    for note in bounds.notes {
        let on = (played(note, settings) - bounds.start).0.max(0.0);
        if on >= length - SHORTEST {
            continue;
        }
        let off = note.off.map(|off| off.second.0 - settings.latency.0 - bounds.start.0);
        let off = off.unwrap_or((bounds.release - bounds.start).0);
        let off = off.max(on + SHORTEST).min(length);
        let (key, channel) = (note.key.min(127), note.channel.min(15));
        // Written so that a NaN is the softest.
        let velocity =
            if note.velocity > 1.0 / 127.0 { note.velocity.min(1.0) } else { 1.0 / 127.0 };
        if let Some(before) = last.get(&(channel, key)).and_then(|index| heard.get_mut(*index)) {
            if on - before.on < SHORTEST {
                // Struck twice at once.
                before.velocity = before.velocity.max(velocity);
                before.off = before.off.max(off);
                continue;
            }
            before.off = before.off.min(on);
        }
        last.insert((channel, key), heard.len());
        heard.push(ScheduledNote { on, off, key, channel, velocity });
    }
    heard
}

/// Adds the felt beats from the start of the schedule to the end of a loop.
fn clicks(take: &Performance, bounds: &Bounds<'_>, settings: &Settings, events: &mut Vec<Timed>) {
    let lines = BarLines::new(&take.metres, settings);
    let Some(first) = take.tempo.beat_at(bounds.start) else { return };
    let bars = (lines.bar_at(first).number..).map(|number| lines.bar(number));
    let beats = bars.flat_map(|bar| {
        let (pulse, _) = lines.pulse_of(bar.metre);
        let pulses = 0..lines.pulses_in(bar.metre);
        pulses.map(move |number| (bar.start + BeatSpan(f64::from(number) * pulse.0), number == 0))
    });
    let timed = beats.map_while(|(beat, beat_one)| {
        let at = (take.tempo.second_at(beat)? - bounds.start).0;
        // Rounding must not let the same beat sound at both ends of a loop.
        let is_inside = at < (bounds.end - bounds.start).0 - 1e-6;
        is_inside.then_some(Timed { at, event: HearEvent::Click { beat_one } })
    });
    events.extend(
        timed
            .filter(|timed| timed.at > -1e-6)
            .take(MAX_CLICKS)
            .map(|timed| Timed { at: timed.at.max(0.0), ..timed }),
    );
}
