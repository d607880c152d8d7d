//! A take as it is saved: its notes, tempo and metres. What was made of them is not saved.

use overbar_core::corrections::Corrections;
use overbar_core::metre_map::MetreMap;
use overbar_core::note::{Note, Oddities};
use overbar_core::pairing::NoteLine;
use overbar_core::performance::Performance;
use overbar_core::tempo_map::TempoMap;
use overbar_core::time::{Beat, Moment, Second};
use serde::{Deserialize, Serialize};

/// See the module. Notes are rows of second and beat of the attack, second and beat of the end
/// or null, key, channel, velocity.
#[derive(Serialize, Deserialize)]
pub struct SavedTake {
    tempo: TempoMap,
    metres: MetreMap,
    heard: SavedLine,
    outside: SavedLine,
    #[serde(default)]
    corrections: Corrections,
}

#[derive(Serialize, Deserialize)]
struct SavedLine {
    notes: Vec<Row>,
    oddities: Oddities,
}

type Row = (f64, f64, Option<f64>, Option<f64>, u8, u8, f32);

impl SavedTake {
    /// For saving.
    pub fn of(take: &Performance) -> Self {
        Self {
            tempo: take.tempo.clone(),
            metres: take.metres.clone(),
            heard: SavedLine::of(&take.heard),
            outside: SavedLine::of(&take.outside),
            corrections: take.corrections.clone(),
        }
    }

    /// The take, checked.
    ///
    /// # Errors
    /// What is wrong, in a few words.
    pub fn open(self) -> Result<Performance, &'static str> {
        if !self.tempo.is_sound() {
            return Err("a tempo that cannot be");
        }
        if !self.metres.is_sound() {
            return Err("metres out of order");
        }
        if !self.corrections.are_sound() {
            return Err("corrections out of order");
        }
        let mut take = Performance::new(self.metres);
        take.tempo = self.tempo;
        take.heard = self.heard.open()?;
        take.outside = self.outside.open()?;
        take.corrections = self.corrections;
        Ok(take)
    }
}

impl SavedLine {
    fn of(line: &NoteLine) -> Self {
        let row = |n: &Note| {
            let off = n.off.map(|off| (off.second.0, off.beat.0)).unzip();
            (n.on.second.0, n.on.beat.0, off.0, off.1, n.key, n.channel, n.velocity)
        };
        Self { notes: line.notes().iter().map(row).collect(), oddities: *line.oddities() }
    }

    fn open(self) -> Result<NoteLine, &'static str> {
        let note = |(second, beat, off_second, off_beat, key, channel, velocity): Row| {
            let moment = |second, beat| Moment { beat: Beat(beat), second: Second(second) };
            let note = Note {
                on: moment(second, beat),
                off: off_second.zip(off_beat).map(|(s, b)| moment(s, b)),
                key,
                channel,
                velocity,
            };
            let numbers = [second, beat, off_second.unwrap_or(0.0), off_beat.unwrap_or(0.0)];
            let sound = numbers.iter().all(|n| n.is_finite()) && key < 128 && channel < 16;
            sound.then_some(note).ok_or("a note that cannot be")
        };
        let notes: Result<Vec<Note>, _> = self.notes.into_iter().map(note).collect();
        Ok(NoteLine::of(notes?, self.oddities))
    }
}

/// Whether two takes hold the same notes over the same grid.
pub fn are_the_same(one: &Performance, other: &Performance) -> bool {
    one.heard.notes() == other.heard.notes()
        && one.outside.notes() == other.outside.notes()
        && one.tempo == other.tempo
        && one.metres == other.metres
}
