//! The report of `score`, as text and as JSON.
//!
//! # JSON
//! One object, of `"format": 1`; fields are only ever added to it.
//! - `solos`: how many. `gate_ms`, `legato_seconds`: how note ends were changed, or null.
//! - `heard.starts`: phrase starts as a user sees them. `heard.mean`: the mean over solos of
//!   `{precision, recall, f1}`.
//! - `entries.classes`: classes of entries after the take, of starts both found and labelled in 4/4:
//!   `of` is their number, `six_agree` in class and `three_agree` in beat, "and" or other;
//!   `labelled_then_heard` is the count by class as labelled, then by class as heard.
//!   `entries.settled`, `entries.at_onset`: the same as settled when a note of another beat has come,
//!   and as said at the onset. `entries.beat_one`, `.off_beat`: how
//!   far shares of a solo's entries are off: `{solos, mean_absolute_points, mean_points}`, the
//!   latter heard less labelled.
//! - `time_feel`: median beat-upbeat ratios (`swing`) and milliseconds behind the beat (`delay`), a
//!   list by `from_bpm`, the slowest tempo of a band.
//! - `models`: the boundary models as they ship, a list by `grade`: `starts`, and `calibration`:
//!   `error` over all onsets and `error_of_rests`; `bins` of a fifteenth each from 0 to 1 and
//!   `ruled_out` hold `count`, the sum `said` of probabilities, and how many `came` true.
//! - `held_out`: the same by models fitted without the solos they are scored on; null unless asked
//!   for.
//! - `taught`: what corrections are worth, null unless asked for: `weights` that were used
//!   (`shipped` or `held_out`) and `lessons`, a list by `grade` and what is `scored`: `rest after N
//!   corrections`, `second half`, or `on the way` the whole solo. Of each: `solos` and `onsets` that
//!   take part; starts `untaught`, `taught` and by `oracle`, the best setting of each solo; solos
//!   `better` and `worse`.
//!
//! Starts and classes come as `pooled`, `by_tempo` (bands of mean tempo; only those with solos),
//! `by_feel` and `by_source` (`exact` lines, `invented` ones, and those `labelled` by people). Starts are `{found, labelled, right, precision, recall, f1}`.

use super::confusion::Confusion;
use super::feel::TimeFeel;
use super::grades::Grade;
use super::note_ends::NoteEnds;
use super::parts::Parts;
use super::share_error::ShareError;
use super::solo::Solo;
use super::starts::{Rates, Starts};
use super::taught::Taught;
use overbar_core::quantization::PositionClass;
use serde::Serialize;

/// Raised only if a field changes its meaning.
const FORMAT: u32 = 1;

/// The report of `score`.
#[derive(Debug, Serialize)]
pub struct Report {
    format: u32,
    solos: usize,
    gate_ms: Option<f64>,
    legato_seconds: Option<f64>,
    heard: Heard,
    entries: Entries,
    time_feel: TimeFeel,
    models: Vec<Grade>,
    held_out: Option<Vec<Grade>>,
    taught: Option<Teaching>,
}

#[derive(Debug, Default, Serialize)]
struct Heard {
    starts: Parts<Starts>,
    mean: Rates,
}

#[derive(Debug, Default, Serialize)]
struct Entries {
    classes: Parts<Confusion>,
    settled: Parts<Confusion>,
    at_onset: Parts<Confusion>,
    beat_one: ShareError,
    off_beat: ShareError,
}

#[derive(Debug, Serialize)]
struct Teaching {
    weights: &'static str,
    lessons: Vec<Taught>,
}

/// Scores of the boundary models.
#[derive(Debug, Default)]
pub struct Models {
    /// The shipped ones.
    pub shipped: Vec<Grade>,
    /// Fitted without the scored solos.
    pub held_out: Option<Vec<Grade>>,
    /// Learning from corrections; with the held-out models, if there are any.
    pub taught: Option<Vec<Taught>>,
}

impl Report {
    /// # Errors
    /// A line that names the label that is wrong.
    pub fn of(solos: &[Solo], note_ends: NoteEnds, models: Models) -> Result<Self, String> {
        let mut heard = Heard::default();
        let mut entries = Entries {
            beat_one: ShareError::of(solos, |class| class == PositionClass::One)?,
            off_beat: ShareError::of(solos, PositionClass::is_off_beat)?,
            ..Entries::default()
        };
        let mut rates = Vec::new();
        for solo in solos {
            let starts = starts(solo);
            heard.starts.add(&solo.label, &starts);
            rates.push(starts.rates());
            entries.classes.add(&solo.label, &Confusion::of(solo)?);
            entries.settled.add(&solo.label, &Confusion::settled(solo)?);
            entries.at_onset.add(&solo.label, &Confusion::at_onset(solo)?);
        }
        heard.mean = Rates::mean(&rates);
        let (gate_ms, legato_seconds) = match note_ends {
            NoteEnds::AsPlayed => (None, None),
            NoteEnds::Gate { milliseconds } => (Some(milliseconds), None),
            NoteEnds::Legato { seconds } => (None, Some(seconds)),
        };
        let weights = if models.held_out.is_some() { "held_out" } else { "shipped" };
        Ok(Self {
            format: FORMAT,
            solos: solos.len(),
            gate_ms,
            legato_seconds,
            heard,
            entries,
            time_feel: TimeFeel::of(solos),
            models: models.shipped,
            held_out: models.held_out,
            taught: models.taught.map(|lessons| Teaching { weights, lessons }),
        })
    }

    /// As text.
    pub fn text(&self) -> String {
        let (starts, mean) = (&self.heard.starts, &self.heard.mean);
        let Starts { found, labelled, right } = starts.pooled;
        let Rates { precision, recall, f1 } = starts.pooled.rates();
        let mut text = format!("solos {}{}\n", self.solos, self.note_ends());
        text += &format!(
            "phrase starts, pooled:          precision {precision:.4}  recall {recall:.4}  \
             F1 {f1:.4}  ({found} found, {labelled} labelled, {right} right)\n\
             phrase starts, mean over solos: precision {:.4}  recall {:.4}  F1 {:.4}\n",
            mean.precision, mean.recall, mean.f1
        );
        text += &starts.lines(|starts| format!("{:.3}", starts.rates().f1));
        let entries = &self.entries;
        text += &entry_lines("at the onset", &entries.at_onset);
        text += &entry_lines("settled", &entries.settled);
        text += &entry_lines("after the take", &entries.classes);
        for (what, gap) in
            [("on beat one", &self.entries.beat_one), ("off the beat", &self.entries.off_beat)]
        {
            text += &format!(
                "share of entries {what}: {:.1} points off in the mean of {} solos ({:+.1} \
                 with its sign)\n",
                gap.mean_absolute_points, gap.solos, gap.mean_points
            );
        }
        text += &self.time_feel.lines();
        for grade in &self.models {
            text += &grade.lines("model");
        }
        for grade in self.held_out.iter().flatten() {
            text += &grade.lines("held out");
        }
        if let Some(teaching) = &self.taught {
            let weights = teaching.weights.replace('_', " ");
            for lesson in &teaching.lessons {
                text += &lesson.line(&weights);
            }
        }
        text.trim_end().to_owned()
    }

    fn note_ends(&self) -> String {
        let gate = self.gate_ms.map(|ms| format!(", every note {ms} ms long"));
        let legato = self.legato_seconds.map(|s| format!(", rests under {s} s filled"));
        gate.or(legato).unwrap_or_default()
    }
}

/// A solo's first note begins a phrase by definition and is not counted.
fn starts(solo: &Solo) -> Starts {
    let found = solo.phrases.iter().filter(|p| p.first_note > 0);
    let labelled = solo.label.phrase_first_notes.iter().filter(|note| **note > 0).count();
    found.fold(Starts { labelled, ..Starts::default() }, |mut starts, phrase| {
        starts.found += 1;
        let begins = solo.label.begins_at(phrase.first_note..phrase.opening.note + 1);
        starts.right += usize::from(begins);
        starts
    })
}

/// Agreement on starts, as decided `when`.
fn entry_lines(when: &str, classes: &Parts<Confusion>) -> String {
    let share = |part: usize, of: usize| if of == 0 { 0.0 } else { part as f64 / of as f64 };
    let Parts { pooled, .. } = classes;
    let (six, three, of) = (pooled.six(), pooled.three(), pooled.of_all());
    let mut text = format!(
        "entry class {when}, six classes:        agreement {:.4}  ({six} of {of})\n\
         entry class {when}, beat / and / other: agreement {:.4}  ({three} of {of})\n",
        share(six, of),
        share(three, of),
    );
    text += &classes.lines(|part| {
        let of = part.of_all();
        format!("{:.3}/{:.3}", share(part.six(), of), share(part.three(), of))
    });
    text += &format!("entry classes {when}, labelled (rows) and heard (columns):\n");
    text + &pooled.table()
}
