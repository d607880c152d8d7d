//! Labelled solos in 4/4 as takes on their true beats.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::anchors::Anchors;
use overbar_core::input::event::Event;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::TempoMap;
use overbar_core::time::{Beat, Second};
use serde::Deserialize;
use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

/// Beats are scored for this long after beat one, in seconds.
const LONGEST: f64 = 90.0;

#[derive(Deserialize)]
struct Label {
    id: String,
    file: String,
    metre: String,
    #[serde(default)]
    lead_in_beats: u32,
}

/// A solo on its true beats. The count-in is the bar before beat one.
pub struct Take {
    /// Its name.
    pub name: String,
    /// Its number in the collection, from 1.
    pub number: u64,
    take: Arc<Performance>,
    /// The file's beat that is beat one after the count-in.
    one: i32,
    /// The time of each beat, from beat one on.
    pub beats: Vec<f64>,
    /// The class of each start, by its first note.
    classes: HashMap<usize, PositionClass>,
}

/// Starts, and how many have the same class as on the true beats.
#[derive(Debug, Clone, Copy, Default)]
pub struct Classes {
    pub starts: usize,
    pub same: usize,
}

/// Every n-th of a folder's solos in 4/4, in the order of its list.
///
/// # Errors
/// A line that names the file.
pub fn read(folder: &Path, from: usize, every: usize) -> Result<Vec<Take>, String> {
    let path = folder.join("labels.jsonl");
    let text =
        std::fs::read_to_string(&path).map_err(|why| format!("{}: {why}", path.display()))?;
    let mut takes = Vec::new();
    for (index, line) in text.lines().enumerate().skip(from).step_by(every.max(1)) {
        let label: Label =
            serde_json::from_str(line).map_err(|why| format!("{}: {why}", path.display()))?;
        if label.metre == "4/4" {
            takes.push(Take::of(folder, label, index as u64 + 1)?);
        }
    }
    Ok(takes)
}

/// The notes within these seconds.
fn played(events: &[Event], within: std::ops::Range<f64>) -> Option<Arc<Performance>> {
    let mut session = Session::of_whole_takes(Settings::default());
    let is_within = |event: &&Event| match event {
        Event::On(on) => within.contains(&on.at.0),
        _ => true,
    };
    events.iter().filter(is_within).for_each(|event| session.push(*event));
    session.finish();
    session.takes().last().map(|take| take.performance.clone())
}

impl Take {
    fn of(folder: &Path, label: Label, number: u64) -> Result<Self, String> {
        let named = |why: String| format!("{}: {why}", label.file);
        let bytes = std::fs::read(folder.join(&label.file)).map_err(|e| named(e.to_string()))?;
        let file = MidiFile::read(&bytes).map_err(|why| named(why.to_string()))?;
        let line = file.line(Choice::default()).map_err(|why| named(why.to_string()))?;
        let settings = Settings::default();
        let events = file.events(line);
        let take = played(&events, f64::NEG_INFINITY..f64::INFINITY)
            .ok_or_else(|| named("no notes".into()))?;
        let one = 4 * (label.lead_in_beats.div_ceil(4) as i32 + 1);
        let end = take.soloist.notes().last().map_or(0, |note| note.on.beat.0.ceil() as i32 + 1);
        let second = |beat: i32| take.tempo.second_at(Beat(f64::from(beat))).unwrap_or_default().0;
        let latest = second(one) + LONGEST;
        let beats: Vec<f64> = (one..end).map(second).take_while(|at| *at < latest).collect();
        // Outside the band's playing there are no beats to agree on.
        let from = (second(one - 1) + second(one)) / 2.0;
        let take = played(&events, from..beats.last().map_or(latest, |last| *last))
            .ok_or_else(|| named("no notes".into()))?;
        let analysis = TakeAnalysis::of(take.clone(), settings);
        let until = one + beats.len() as i32;
        let is_scored = |phrase: &&Phrase| {
            (f64::from(one) - 0.5..f64::from(until) - 0.5).contains(&phrase.entry.beat.0)
        };
        let scored = analysis.phrases().iter().filter(is_scored);
        let classes = scored.map(|phrase| (phrase.first_note, phrase.entry.class)).collect();
        Ok(Self { name: label.id, number, take, one, beats, classes })
    }

    /// The time of a beat, counted from beat one on.
    pub fn second_of(&self, beat: i32) -> f64 {
        self.take.tempo.second_at(Beat(f64::from(beat + self.one))).unwrap_or_default().0
    }

    /// Agreement of the take on another tempo map.
    pub fn on_map(&self, tempo: TempoMap) -> Classes {
        let metres = MetreMap::new(Metre::COMMON);
        let mut take = Performance { metres, ..Performance::clone(&self.take) };
        take.soloist.restamp(Second(f64::NEG_INFINITY), |second| tempo.beat_at(second));
        take.tempo = tempo;
        self.agreement(take)
    }

    /// Agreement on the grid of these anchors.
    pub fn on_anchors(&self, anchors: &Anchors) -> Classes {
        let mut take = Performance::clone(&self.take);
        take.set_grid(Some(anchors));
        self.agreement(take)
    }

    fn agreement(&self, take: Performance) -> Classes {
        let analysis = TakeAnalysis::of(take, Settings::default());
        let class = |phrase: &Phrase| (phrase.first_note, phrase.entry.class);
        let other: HashMap<usize, PositionClass> = analysis.phrases().iter().map(class).collect();
        let same = self.classes.iter().filter(|(note, class)| other.get(note) == Some(class));
        Classes { starts: self.classes.len(), same: same.count() }
    }
}
