//! A review of a file: the result of the same analysis as live, ready for export.
//!
//! The fields and their names are a format for other programs: fields are only ever added.

mod by_hand;
mod feel;
mod hear;
mod recording;
mod text;

pub use by_hand::{BarBeat, ByHand, CorrectionFile, Unplaced};
pub use feel::ReviewedFeel;
pub use hear::{ReviewError, take_of, take_of_recording};
pub use recording::{ReviewedNote, ReviewedRecording, Source};

use crate::analysis::take_analysis::TakeAnalysis;
use crate::grid::anchors::Anchors;
use crate::input::midi_file::{Choice, Line as Chosen, MidiError, MidiFile};
use crate::input::note::Oddities;
use crate::input::recording::{Beats, Recording};
use crate::melody::RoleCounts;
use crate::microtiming::TimeFeel;
use crate::phrase::Phrase;
use crate::phrase::alerts::{PastAlert, history};
use crate::phrase::figures::{FEW_PHRASES, Figures};
use crate::phrase::subdivision::NoteValue;
use crate::quantization::{MetricalPosition, PositionClass};
use crate::session::Session;
use crate::take::grid_summary::GridSummary;
use crate::take::settings::Settings;
use hear::heard;
use serde::Serialize;

/// The review of a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Review {
    /// The file's name, as given.
    pub file: String,
    /// Track of the line, from 1; null for all.
    pub track: Option<usize>,
    /// Channel of the line, from 1; null for all.
    pub channel: Option<u8>,
    /// Number of notes.
    pub notes: usize,
    /// Their roles.
    pub roles: RoleCounts,
    /// Its phrases.
    pub phrases: Vec<ReviewedPhrase>,
    /// Its figures.
    pub figures: ReviewedFigures,
    /// The alerts that were raised, in order.
    pub alerts: Vec<ReviewedAlert>,
    /// MIDI glitches.
    pub oddities: Oddities,
    /// What was learned from the corrections; null without any.
    pub taught: Option<ReviewedTaught>,
    /// Where its notes come from.
    pub source: Source,
    /// The recording they were transcribed from; null for MIDI.
    pub recording: Option<ReviewedRecording>,
    /// Its own beat grid; null on that of the file or host.
    pub grid: Option<GridSummary>,
}

/// What was learned from corrections.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedTaught {
    /// The setting for this player; see [`Settings::finer`].
    pub finer: f64,
    /// How many corrections it was learned from.
    pub corrections: usize,
}

/// A phrase. Notes are numbered from 0, in order of onset, then pitch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedPhrase {
    /// Its first note, which may be a grace note or part of a chord.
    pub first_note: usize,
    /// The last note before the next phrase, in any role.
    pub last_note: usize,
    /// The position of its first note, not counting grace notes.
    pub entry: ReviewedPlace,
    /// The position of its last note's attack.
    pub exit: ReviewedPlace,
    /// Number of notes of the line, including grace notes.
    pub notes: usize,
    /// Number of grace notes before its first note.
    pub ornaments: u8,
    /// Length in quarter notes, from the first attack to the last end.
    pub beats: f64,
    /// Length in bars.
    pub bars: f64,
    /// Length in seconds.
    pub seconds: f64,
    /// Prevailing note value.
    pub subdivision: &'static str,
    /// Notes in its longest unbroken run of eighths.
    pub eighth_run: u32,
    /// Rest before it in quarter notes and in seconds; null for the first.
    pub rest_before_beats: Option<f64>,
    /// See `rest_before_beats`.
    pub rest_before_seconds: Option<f64>,
    /// Its time feel.
    pub feel: ReviewedFeel,
}

/// A position in the bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedPlace {
    /// Bar, from 1.
    pub bar: i64,
    /// Felt beat as played, from 1 with decimals. A note ahead of its bar line is at 1.
    pub beat: f64,
    /// Class.
    pub class: PositionClass,
    /// Probability of the class, from 0 to 1.
    pub confidence: f64,
}

/// Figures of a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReviewedFigures {
    /// As in a live take.
    #[serde(flatten)]
    pub figures: Figures,
    /// The streak of starts on beat one at the end.
    pub beat_one_streak: u32,
    /// The longest such streak.
    pub longest_beat_one_streak: u32,
    /// The streak of short phrases at the end.
    pub short_streak: u32,
    /// Bars from the last long line, or the first note, to the last attack.
    pub bars_since_long_line: Option<f64>,
    /// There are too few phrases for reliable shares.
    pub few_phrases: bool,
    /// Time feel.
    pub feel: TimeFeel,
}

/// A past alert, with its sentence.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReviewedAlert {
    /// The alert.
    #[serde(flatten)]
    pub alert: PastAlert,
    /// Its sentence.
    pub heard: String,
}

impl Review {
    /// Reviews the bytes of a file named `file`.
    ///
    /// # Errors
    /// [`MidiError`] if it can't be read.
    pub fn of(
        file: &str,
        bytes: &[u8],
        choice: Choice,
        settings: Settings,
    ) -> Result<Self, MidiError> {
        let midi = MidiFile::read(bytes)?;
        let line = midi.line(choice)?;
        Self::of_session(file, &heard(midi.events(line), settings, None), Some(line))
    }

    /// Reviews a file named `file` with its corrections, on its own grid or that of anchors.
    ///
    /// # Errors
    /// That it has no notes, or which correction has no onset.
    pub fn corrected(
        file: &str,
        midi: &MidiFile,
        choice: Choice,
        settings: Settings,
        by_hand: &[ByHand],
        grid: Option<&Anchors>,
    ) -> Result<Self, ReviewError> {
        let line = midi.line(choice)?;
        let mut session = heard(midi.events(line), settings, grid);
        by_hand::correct(&mut session, by_hand)?;
        Ok(Self::of_session(file, &session, Some(line))?)
    }

    /// Reviews a recording named `file` with its corrections.
    ///
    /// # Errors
    /// That it has no notes, or which correction has no onset.
    pub fn recorded(
        file: &str,
        recording: &Recording,
        beats: &Beats,
        settings: Settings,
        by_hand: &[ByHand],
        grid: Option<&Anchors>,
    ) -> Result<Self, ReviewError> {
        let mut session = heard(recording.events(beats), settings, grid);
        by_hand::correct(&mut session, by_hand)?;
        let review = Self::of_session(file, &session, None)?;
        Ok(Self { source: Source::Audio, recording: Some(recording.into()), ..review })
    }

    fn of_session(file: &str, session: &Session, line: Option<Chosen>) -> Result<Self, MidiError> {
        let take = session.takes().last().ok_or(MidiError::NoNotes)?;
        let mut review =
            Self::of_take(file, &TakeAnalysis::of(take.performance.clone(), *session.settings()));
        review.track = line.and_then(|line| line.track).map(|t| t + 1);
        review.channel = line.and_then(|line| line.channel).map(|c| c + 1);
        review.taught = session
            .taught()
            .map(|t| ReviewedTaught { finer: rounded(t.finer), corrections: t.corrections });
        Ok(review)
    }

    /// Reviews a take named `name`.
    #[must_use]
    pub fn of_take(name: &str, analysis: &TakeAnalysis) -> Self {
        let (take, phrases, feel) = (analysis.take(), analysis.phrases(), analysis.phrase_feel());
        Self {
            file: name.to_owned(),
            track: None,
            channel: None,
            notes: take.soloist.notes().len(),
            roles: analysis.roles(),
            figures: ReviewedFigures::of(analysis.figures(), feel.take),
            alerts: history(phrases, &analysis.settings().alerts)
                .into_iter()
                .map(|alert| ReviewedAlert { heard: alert.alert.heard(), alert })
                .collect(),
            oddities: *take.soloist.oddities(),
            taught: None,
            source: Source::Midi,
            recording: None,
            grid: GridSummary::of(take),
            phrases: phrases
                .iter()
                .zip(&feel.phrases)
                .map(|(phrase, feel)| ReviewedPhrase::of(phrase, feel))
                .collect(),
        }
    }
}

impl ReviewedFigures {
    fn of(figures: &Figures, feel: TimeFeel) -> Self {
        Self {
            beat_one_streak: figures.streaks.beat_one,
            longest_beat_one_streak: figures.streaks.longest_beat_one,
            short_streak: figures.streaks.short,
            bars_since_long_line: figures.streaks.bars_since_long_line,
            few_phrases: figures.phrases < FEW_PHRASES,
            feel,
            figures: figures.clone(),
        }
    }
}

impl ReviewedPhrase {
    /// The review of a phrase.
    #[must_use]
    pub fn of(phrase: &Phrase, feel: &TimeFeel) -> Self {
        Self {
            first_note: phrase.first_note,
            last_note: phrase.last_note,
            entry: ReviewedPlace::of(&phrase.entry),
            exit: ReviewedPlace::of(&phrase.exit),
            notes: phrase.notes,
            ornaments: phrase.opening.ornaments,
            beats: rounded(phrase.beats.0),
            bars: rounded(phrase.bars),
            seconds: rounded(phrase.seconds.0),
            subdivision: phrase.subdivision.map_or("mixed", NoteValue::name),
            eighth_run: phrase.eighth_run,
            rest_before_beats: phrase.rest_before.map(|r| rounded(r.beats.0)),
            rest_before_seconds: phrase.rest_before.map(|r| rounded(r.seconds.0)),
            feel: ReviewedFeel::of(feel),
        }
    }
}

impl ReviewedPlace {
    fn of(place: &MetricalPosition) -> Self {
        Self {
            bar: place.bar,
            beat: rounded(place.beat_in_bar()),
            class: place.class,
            confidence: rounded(place.confidence),
        }
    }
}

/// Rounded to three decimals: a millisecond, or two at 30 BPM; finer than anyone plays, and coarser than the
/// rounding of a host's samples.
fn rounded(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
