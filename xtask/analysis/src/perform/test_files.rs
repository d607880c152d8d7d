//! A solo as tests see it: only its files, parsed independently of the writer.

use super::options::Options;
use super::{label, solos};
use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use serde_json::Value;
use std::ffi::OsString;

/// A note-on of the file.
#[derive(Debug, Clone, Copy)]
pub struct Heard {
    pub on: u32,
    /// When its note-off came; `None` if its key was struck again first, or it lasts to the end.
    pub off: Option<u32>,
    pub key: u8,
}

/// The files of a solo.
pub struct Files {
    pub midi: Vec<u8>,
    pub label: Value,
    pub heard: Vec<Heard>,
    /// Microseconds per quarter, by tick.
    pub tempos: Vec<(u32, u32)>,
}

/// The files that a command line would write, with simple timing unless it asks for another; the line omits
/// the folder.
pub fn perform(line: &str) -> Vec<Files> {
    let folder = ["unwritten", "--timing", "simple"].into_iter().chain(line.split_whitespace());
    let arguments: Vec<OsString> = folder.map(OsString::from).collect();
    let options = Options::parse(&arguments).unwrap();
    solos(&options)
        .map(|solo| {
            let midi = solo.midi();
            let label = serde_json::to_value(label::Label::of(&solo)).unwrap();
            let (heard, tempos) = read(&midi);
            Files { midi, label, heard, tempos }
        })
        .collect()
}

fn read(bytes: &[u8]) -> (Vec<Heard>, Vec<(u32, u32)>) {
    let smf = Smf::parse(bytes).unwrap();
    assert_eq!(smf.tracks.len(), 1);
    assert!(matches!(smf.header.timing, Timing::Metrical(ticks) if ticks.as_int() == 960));
    let (mut heard, mut tempos): (Vec<Heard>, _) = (Vec::new(), Vec::new());
    let mut sounding = [None; 128];
    let mut tick = 0;
    for event in &smf.tracks[0] {
        tick += event.delta.as_int();
        match event.kind {
            TrackEventKind::Midi { message: MidiMessage::NoteOn { key, .. }, .. } => {
                sounding[usize::from(key.as_int())] = Some(heard.len());
                heard.push(Heard { on: tick, off: None, key: key.as_int() });
            }
            TrackEventKind::Midi { message: MidiMessage::NoteOff { key, .. }, .. } => {
                let note = sounding[usize::from(key.as_int())].take().expect("no stray note-off");
                heard[note].off = Some(tick);
            }
            TrackEventKind::Meta(MetaMessage::Tempo(quarter)) => {
                tempos.push((tick, quarter.as_int()));
            }
            _ => {}
        }
    }
    (heard, tempos)
}

impl Files {
    pub fn number(&self, field: &str) -> f64 {
        self.label[field].as_f64().unwrap()
    }

    pub fn indices(&self, field: &str) -> Vec<usize> {
        let list = self.label[field].as_array().unwrap();
        list.iter().map(|index| index.as_u64().unwrap() as usize).collect()
    }

    /// Bar, beat, division and tatum of a note.
    pub fn place(&self, note: usize) -> [f64; 4] {
        ["bar", "beat", "division", "tatum"]
            .map(|field| self.label["notes"][field][note].as_f64().unwrap())
    }

    /// Lag of a note in milliseconds, at a constant tempo, against the position in its label, in a metre of
    /// `pulses` beats of `pulse` quarters.
    pub fn late(&self, note: usize, pulses: f64, pulse: f64) -> f64 {
        let [bar, beat, division, tatum] = self.place(note);
        let place = (bar - 1.0) * pulses + (beat - 1.0) + (tatum - 1.0) / division;
        let played = f64::from(self.heard[note].on) / 960.0 / pulse;
        (played - place) * 60_000.0 / self.number("tempo_bpm")
    }

    /// The second of a tick, at a constant tempo.
    pub fn seconds(&self, ticks: u32) -> f64 {
        assert_eq!(self.tempos.len(), 1);
        f64::from(ticks) / 960.0 * f64::from(self.tempos[0].1) / 1e6
    }
}
