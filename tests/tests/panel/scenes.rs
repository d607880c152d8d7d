//! Invented takes, played into a session event by event, and the panel that shows them.

use egui::{Ui, Vec2};
use egui_kittest::{Harness, HarnessBuilder};
use overbar::panel::View;
use overbar_core::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::settings::{Hearing, Settings};
use overbar_core::snapshot::Snapshot;
use overbar_core::time::{Beat, Second};
use overbar_core::transport::TransportPoint;
use overbar_tests::picture;

/// Tempo of every take, in quarters a minute.
const TEMPO: f64 = 120.0;
/// Quarters between two transport points.
const BLOCK: f64 = 0.125;
/// Quarters between two notes of a line.
const EIGHTH: f64 = 0.5;

/// What a panel is to show.
pub struct Scene {
    pub name: &'static str,
    pub snapshot: Snapshot,
    pub playhead: Option<Beat>,
    pub dropped: u64,
    pub notices: Vec<String>,
}

impl Scene {
    fn new(name: &'static str, snapshot: Snapshot) -> Self {
        Self { name, snapshot, playhead: None, dropped: 0, notices: Vec::new() }
    }

    pub fn show(&self, ui: &mut Ui) {
        let view = View {
            snapshot: &self.snapshot,
            playhead: self.playhead,
            dropped: self.dropped,
            notices: &self.notices,
        };
        picture::fill(ui, &view);
    }

    /// A window of `size` points with nothing but the panel.
    pub fn harness(&self, size: Vec2, scale: f32) -> Harness<'_> {
        self.harness_from(Harness::builder(), size, scale)
    }

    pub fn harness_from<'a>(
        &'a self,
        builder: HarnessBuilder,
        size: Vec2,
        scale: f32,
    ) -> Harness<'a> {
        let mut harness =
            builder.with_size(size).with_pixels_per_point(scale).build_ui(move |ui| self.show(ui));
        harness.run();
        harness
    }
}

/// Every scene, from nothing to too much.
pub fn all() -> Vec<Scene> {
    vec![
        empty(),
        filtered(),
        no_grid(),
        few(),
        ordinary(),
        alert(),
        stopped(),
        triplets(),
        overfull("overfull_6_8", (6, 8)),
        overfull("overfull_7_8", (7, 8)),
        trouble(),
    ]
}

/// Nothing has come yet.
pub fn empty() -> Scene {
    Scene::new("empty", Session::default().snapshot())
}

/// Notes come, but on another channel than the chosen one.
pub fn filtered() -> Scene {
    let mut settings = Settings::default();
    settings.hearing = Hearing { channel: Some(5), ..settings.hearing };
    let mut take = Take::new((4, 4), settings);
    take.line(1.5, 7.0);
    let mut scene = Scene::new("filtered", take.heard_until(9.0).snapshot());
    scene.playhead = Some(Beat(9.0));
    scene
}

/// The host has no transport.
pub fn no_grid() -> Scene {
    let mut session = Session::default();
    session.push(Event::Transport(TransportPoint::default()));
    for note in 0..131 {
        let at = Second(f64::from(note) * 0.25);
        session.push(on(at, None));
        session.push(off(Second(at.0 + 0.2), None));
    }
    Scene::new("no_grid", session.snapshot())
}

/// Three phrases: too few to say much.
pub fn few() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    for (from, to) in [(3.5, 9.0), (12.0, 15.0), (17.5, 22.0)] {
        take.line(from, to);
    }
    let mut scene = Scene::new("few", take.heard_until(22.2).snapshot());
    scene.playhead = Some(Beat(22.2));
    scene
}

const TWELVE: [(f64, f64); 12] = [
    (7.5, 17.0),
    (20.5, 26.0),
    (28.0, 31.0),
    (33.5, 36.5),
    (38.0, 41.5),
    (43.5, 56.0),
    (60.5, 64.5),
    (67.5, 75.0),
    (78.5, 81.0),
    (84.0, 87.0),
    (90.0, 93.0),
    (95.5, 99.0),
];

/// A short take in 4/4, the last phrase still open.
pub fn ordinary() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let mut scene = Scene::new("ordinary", take.recorded().heard_until(98.8).snapshot());
    scene.playhead = Some(Beat(98.8));
    scene
}

/// The same, stopped after the last phrase.
pub fn stopped() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let mut session = take.heard_until(104.0);
    session.push(Event::Transport(TransportPoint { rolling: false, ..take.point(104.0) }));
    Scene::new("stopped", session.snapshot())
}

/// The last three phrases came in on beat one, and the last four were short.
pub fn alert() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE[..9].iter().for_each(|(from, to)| take.line(*from, *to));
    for from in [84.0, 88.0, 92.0, 96.0] {
        take.line(from, from + 2.0);
    }
    let mut scene = Scene::new("alert", take.recorded().heard_until(99.4).snapshot());
    scene.playhead = Some(Beat(99.4));
    scene
}

/// Entries on every kind of spot, so that no column may hide another.
pub fn triplets() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    let spots = [0.0, 0.25, 1.0 / 3.0, 0.5, 0.78, 0.5, 0.02, 0.5];
    for (index, bar) in (1..17).enumerate() {
        let spot = f64::from(bar) * 4.0 + f64::from(bar % 4) + spots[index % spots.len()];
        take.line(spot, spot + 1.5);
    }
    let mut scene = Scene::new("triplets", take.heard_until(72.0).snapshot());
    scene.playhead = Some(Beat(72.0));
    scene
}

/// Four hundred phrases, some far longer than the window is wide.
pub fn overfull(name: &'static str, metre: (i32, i32)) -> Scene {
    let bar = f64::from(metre.0) * 4.0 / f64::from(metre.1);
    let mut take = Take::new(metre, Settings::default());
    let mut at = bar;
    for phrase in 0..400 {
        // An invented order of entries and lengths, the same on every run.
        let entry = f64::from(phrase * 7 % 11) * if metre == (7, 8) { 0.25 } else { 0.5 };
        let bars = [0.8, 1.6, 2.4, 5.5, 1.1, 3.7][phrase as usize % 6];
        let bars = if phrase % 97 == 96 || phrase == 395 { 31.0 } else { bars };
        take.line(at + entry, at + entry + bars * bar);
        at += ((entry / bar + bars).ceil() + 1.0) * bar;
    }
    let mut scene = Scene::new(name, take.heard_until(at).snapshot());
    scene.playhead = Some(Beat(at));
    scene
}

/// Lost events, a state that could not be read, and notes left out.
pub fn trouble() -> Scene {
    let mut settings = Settings::default();
    settings.hearing.lowest_key = 50;
    let mut take = Take::new((4, 4), settings);
    TWELVE[..6].iter().for_each(|(from, to)| take.line(*from, *to));
    take.bass(4.0, 30.0);
    let mut scene = Scene::new("trouble", take.heard_until(57.0).snapshot());
    scene.playhead = Some(Beat(57.0));
    scene.dropped = 12;
    scene.notices = vec!["The saved takes could not be read and were left alone.".to_owned()];
    scene
}

/// Notes of a take and the transport they are played to.
struct Take {
    metre: (i32, i32),
    settings: Settings,
    recording: bool,
    notes: Vec<(f64, f64, u8)>,
}

impl Take {
    fn new(metre: (i32, i32), settings: Settings) -> Self {
        Self { metre, settings, recording: false, notes: Vec::new() }
    }

    fn recorded(mut self) -> Self {
        self.recording = true;
        self
    }

    /// Eighths from quarter `from` up to quarter `to`.
    fn line(&mut self, from: f64, to: f64) {
        self.eighths(from, to, 67);
    }

    /// The same, low.
    fn bass(&mut self, from: f64, to: f64) {
        self.eighths(from, to, 40);
    }

    fn eighths(&mut self, from: f64, to: f64, key: u8) {
        let mut at = from;
        while at < to - 1e-9 {
            self.notes.push((at, (at + EIGHTH * 0.9).min(to), key));
            at += EIGHTH;
        }
    }

    fn point(&self, beat: f64) -> TransportPoint {
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

    /// The session when the song is at quarter `end`.
    fn heard_until(&self, end: f64) -> Session {
        let mut events = Vec::new();
        let mut block = 0.0;
        while block <= end {
            events.push((block, 0, Event::Transport(self.point(block))));
            block += BLOCK;
        }
        for (from, to, key) in &self.notes {
            let (at, until) = (second(*from), second(*to));
            events.push((*from, 2, on(at, Some(*key))));
            events.push((*to, 1, off(until, Some(*key))));
        }
        events.retain(|(beat, _, _)| *beat <= end);
        events.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut session = Session::new(self.settings);
        events.into_iter().for_each(|(_, _, event)| session.push(event));
        session
    }
}

fn second(beat: f64) -> Second {
    Second(beat * 60.0 / TEMPO)
}

fn on(at: Second, key: Option<u8>) -> Event {
    let key = key.or(Some(60));
    Event::On(NoteOn { at, beat: None, key, channel: Some(0), velocity: 0.8 })
}

fn off(at: Second, key: Option<u8>) -> Event {
    Event::Off(NoteOff { at, beat: None, key: key.or(Some(60)), channel: Some(0) })
}
