//! Solos to render: invented ones, and labelled ones from a folder.

use crate::instruments::{INSTRUMENTS, Played};
use fastrand::Rng;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use overbar_core::time::Second;
use overbar_testkit::midi::{Track, with_division};
use overbar_testkit::soloist::line::{self, Page};
use overbar_testkit::soloist::{self, Bar, Clock, Gate, Manner, RESOLUTION, Timing, within};
use serde::{Deserialize, Serialize};
use std::path::Path;

/// A note, in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// Its note-on, or its attack as rendered.
    pub on: f64,
    /// Its end.
    pub off: f64,
    /// MIDI key.
    pub key: u8,
    /// From 1 to 127.
    pub velocity: u8,
    /// Its sample starts an octave lower, which counts as correct too.
    pub low: bool,
}

/// A solo with its ground truth.
#[derive(Clone)]
pub struct Solo {
    /// Its name.
    pub name: String,
    /// The instrument it is rendered with.
    pub played: Played,
    /// Its notes in order.
    pub notes: Vec<Note>,
    /// Notes that start phrases.
    pub starts: Vec<usize>,
    /// Tempo and metre.
    grid: Vec<Event>,
    /// Approximate tempo in BPM.
    pub tempo: f64,
    /// Random seed.
    pub seed: u64,
    /// So many seconds are the band alone.
    pub intro: f64,
}

/// Solos are cut after this many seconds.
const LONGEST: f64 = 40.0;

#[derive(Deserialize)]
struct Label {
    id: String,
    file: String,
    phrase_first_notes: Vec<usize>,
    tempo_bpm: Option<f64>,
}

impl Solo {
    fn of(
        name: String,
        midi: &[u8],
        starts: &[usize],
        played: Played,
        seed: u64,
    ) -> Result<Self, String> {
        let file = MidiFile::read(midi).map_err(|why| format!("{name}: {why}"))?;
        let line = file.line(Choice::default()).map_err(|why| format!("{name}: {why}"))?;
        let events = file.events(line);
        let mut session = Session::of_whole_takes(Settings::default());
        events.iter().for_each(|event| session.push(*event));
        session.finish();
        let take = session.takes().last().ok_or_else(|| format!("{name}: no notes"))?;
        let all = take.performance.soloist.notes();
        let keys: Vec<u8> = all.iter().map(|note| note.key).collect();
        let first = all.first().map_or(0.0, |note| note.on.second.0);
        let notes: Vec<Note> = all
            .iter()
            .zip(played.fit(&keys))
            .take_while(|(note, _)| note.on.second.0 < first + LONGEST)
            .map(|(note, key)| Note {
                on: note.on.second.0,
                off: note.off.map_or(note.on.second.0 + 0.2, |off| off.second.0),
                key,
                velocity: (note.velocity * 127.0) as u8,
                low: false,
            })
            .collect();
        let grid: Vec<Event> =
            events.into_iter().filter(|event| matches!(event, Event::Transport(_))).collect();
        let starts = starts.iter().copied().filter(|start| *start < notes.len()).collect();
        Ok(Self { name, played, notes, starts, grid, tempo: 120.0, seed, intro: 0.0 })
    }

    /// Every n-th solo in the folder's labels.jsonl, starting at `from`.
    ///
    /// # Errors
    /// A line that names the file.
    pub fn labelled(folder: &Path, from: usize, every: usize) -> Result<Vec<Self>, String> {
        let path = folder.join("labels.jsonl");
        let text =
            std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        let mut solos = Vec::new();
        for (number, line) in text.lines().enumerate().skip(from).step_by(every) {
            let label: Label =
                serde_json::from_str(line).map_err(|e| format!("{}: {e}", path.display()))?;
            let midi = std::fs::read(folder.join(&label.file))
                .map_err(|e| format!("{}: {e}", label.file))?;
            let played = INSTRUMENTS[(number / every) % INSTRUMENTS.len()];
            let mut solo =
                Self::of(label.id, &midi, &label.phrase_first_notes, played, number as u64)?;
            solo.tempo = label.tempo_bpm.unwrap_or(120.0);
            solos.push(solo);
        }
        Ok(solos)
    }

    /// Invented solos, cycling through the instruments.
    ///
    /// # Errors
    /// Never, if the invented files can be read.
    pub fn invented(seed: u64, count: usize) -> Result<Vec<Self>, String> {
        (0..count).map(|number| Self::invent(seed + number as u64, number)).collect()
    }

    fn invent(seed: u64, number: usize) -> Result<Self, String> {
        let mut random = Rng::with_seed(seed);
        let tempo = within(&(100.0..=240.0), &mut random).round();
        let bars = (LONGEST * tempo / 60.0 / 4.0) as u32;
        let swing = within(&(1.0..=2.2), &mut random);
        let page = Page { bar: Bar::COMMON, bars, tempo, swings: swing > 1.0 };
        let written = line::write(page, &mut random);
        let gate = Gate::ALL[random.usize(0..3)];
        let manner = Manner {
            tempos: vec![tempo; bars as usize],
            timing: Timing::simple(15.0, 8.0, swing),
            gate,
            missed_offs: 0.0,
        };
        let clock = Clock { bar: Bar::COMMON, tempos: &manner.tempos };
        let sounds = soloist::play(&written, clock, &manner, &mut random);
        let mut track = Track::default().metre(0, (4, 4)).tempo(0, (6e7 / tempo).round() as u32);
        for sound in &sounds {
            track = track.on(sound.on.into(), 0, sound.key, sound.velocity);
            track = track.off(sound.off.unwrap_or(sound.on + 1).into(), 0, sound.key);
        }
        let midi = with_division(0, RESOLUTION, &[track]);
        let firsts = |sound: &soloist::Sound| sound.meant.is_some_and(|note| note.first);
        let starts: Vec<usize> =
            sounds.iter().enumerate().filter(|(_, s)| firsts(s)).map(|(index, _)| index).collect();
        let played = INSTRUMENTS[number % INSTRUMENTS.len()];
        let mut solo = Self::of(format!("invented {seed}"), &midi, &starts, played, seed)?;
        solo.tempo = tempo;
        Ok(solo)
    }

    /// The same, but the band plays alone for so many seconds before it.
    pub fn after_intro(mut self, seconds: f64) -> Self {
        self.intro = seconds;
        self.name += &format!(" after {seconds} s");
        for note in &mut self.notes {
            (note.on, note.off) = (note.on + seconds, note.off + seconds);
        }
        for event in &mut self.grid {
            if let Event::Transport(point) = event {
                point.at = Second(point.at.0 + seconds);
                point.block_before = point.block_before.map(|at| Second(at.0 + seconds));
            }
        }
        self
    }

    /// Its duration in seconds.
    pub fn seconds(&self) -> f64 {
        self.notes.iter().map(|note| note.off).fold(0.0, f64::max) + 1.0
    }

    /// The analysis of these notes on the solo's beats.
    pub fn analysed(&self, notes: &[Note]) -> Option<TakeAnalysis> {
        let settings = Settings::default();
        let mut plain = Session::of_whole_takes(settings);
        let mut events = self.grid.clone();
        for event in
            self.grid.iter().copied().chain(self.notes.iter().flat_map(|n| sounded(n, |_| None)))
        {
            plain.push(event);
        }
        plain.finish();
        let tempo = plain.takes().last()?.performance.tempo.clone();
        let beat = |second: f64| tempo.beat_at(Second(second));
        events.extend(notes.iter().flat_map(|note| sounded(note, beat)));
        events.sort_by(|a, b| a.at().0.total_cmp(&b.at().0));
        let mut session = Session::of_whole_takes(settings);
        events.into_iter().for_each(|event| session.push(event));
        session.finish();
        Some(TakeAnalysis::of(session.takes().last()?.performance.clone(), settings))
    }
}

fn sounded(note: &Note, beat: impl Fn(f64) -> Option<overbar_core::time::Beat>) -> [Event; 2] {
    let (key, channel) = (Some(note.key), Some(0));
    let velocity = f32::from(note.velocity.max(1)) / 127.0;
    [
        Event::On(NoteOn { at: Second(note.on), beat: beat(note.on), key, channel, velocity }),
        Event::Off(NoteOff { at: Second(note.off), beat: beat(note.off), key, channel }),
    ]
}
