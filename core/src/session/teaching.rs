//! Learns from a player's corrections how finely to split phrases from now on.
//!
//! This needs whole takes, so it is slow for long ones. A job can compute it and hand it in by
//! [`Session::learn`]; until then snapshots keep the old result.

use super::Session;
use super::snapshot::Taught;
use crate::segmentation::teach::{Lesson, PLAYER_SPREAD, finer};
use crate::segmentation::{Hindsight, JudgedOnset, judge_onsets};
use crate::take::Take;
use crate::take::performance::Performance;
use crate::take::settings::Melody;
use std::sync::Arc;

/// What was learned, and how often the corrections had changed by then.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Teaching {
    pub taught: Option<Taught>,
    changes: u64,
    learned: u64,
}

/// The finished takes with corrections, to learn from.
#[derive(Debug, Clone)]
pub struct CorrectedTakes {
    takes: Vec<Arc<Performance>>,
    melody: Melody,
    changes: u64,
}

impl CorrectedTakes {
    /// What these corrections and those of the current take teach. Takes time in proportion to all their
    /// notes.
    #[must_use]
    pub fn taught(&self, under_way: Option<&Performance>) -> Option<Taught> {
        let takes = || self.takes.iter().map(|take| &**take).chain(under_way);
        let corrections = takes().map(|take| take.corrections.all().len()).sum();
        let lessons: Vec<Lesson> = takes().flat_map(|take| lessons(take, self.melody)).collect();
        (corrections > 0).then(|| Taught { finer: finer(&lessons, PLAYER_SPREAD), corrections })
    }
}

impl Session {
    /// What the corrections of all takes teach; `None` before the first. Computed here unless known.
    #[must_use]
    pub fn taught(&self) -> Option<Taught> {
        if self.has_to_learn() {
            let under_way = self.current().map(|take| &*take.performance);
            return self.corrected_takes().taught(under_way);
        }
        self.teaching.taught
    }

    /// Whether corrections have changed since the last learning.
    #[must_use]
    pub fn has_to_learn(&self) -> bool {
        self.teaching.learned != self.teaching.changes
    }

    /// The finished takes to learn from.
    #[must_use]
    pub fn corrected_takes(&self) -> CorrectedTakes {
        let corrected = self.takes.iter().filter(|take| is_corrected(take));
        let takes = corrected.map(|take| take.performance.clone()).collect();
        let changes = self.teaching.changes;
        CorrectedTakes { takes, melody: self.settings.melody, changes }
    }

    /// Stores what `takes` taught, unless corrections have changed since. Returns whether it was stored.
    pub fn learn(&mut self, takes: &CorrectedTakes, taught: Option<Taught>) -> bool {
        let is_new = takes.changes == self.teaching.changes;
        if is_new {
            (self.teaching.taught, self.teaching.learned) = (taught, takes.changes);
        }
        is_new
    }

    /// To be called when corrections have changed, or the takes that have some.
    pub(super) fn corrections_changed(&mut self) {
        self.teaching.changes += 1;
        if !self.takes.iter().chain(self.current()).any(is_corrected) {
            (self.teaching.taught, self.teaching.learned) = (None, self.teaching.changes);
        }
    }
}

fn is_corrected(take: &Take) -> bool {
    !take.performance.corrections.all().is_empty()
}

/// A take's onsets up to its last correction: the correction of each, or what the user saw and left
/// alone when making the next correction.
fn lessons(take: &Performance, melody: Melody) -> Vec<Lesson> {
    let notes = take.soloist.notes();
    let untaught = if take.corrections.all().is_empty() {
        Vec::new()
    } else {
        judge_onsets(notes, Hindsight::After, 0.0, melody)
    };
    // What the user saw, by the setting at the time.
    let mut seen: Vec<(f64, Vec<JudgedOnset>)> = Vec::new();
    let lesson = |(index, opening): (usize, &JudgedOnset)| {
        let at = notes.get(opening.onset.first)?.on.second;
        let next = take.corrections.from(at)?;
        let known = seen.iter().position(|(finer, _)| *finer == next.finer);
        let known = known.unwrap_or_else(|| {
            seen.push((next.finer, judge_onsets(notes, Hindsight::After, next.finer, melody)));
            seen.len() - 1
        });
        let (_, openings) = seen.get(known)?;
        let seen = openings.get(index)?.judgement.begins;
        let probability = opening.judgement.probability;
        let correction = opening.onset.correction(&take.corrections, notes);
        Some(Lesson {
            logit: (probability / (1.0 - probability)).ln(),
            begins: correction.map_or(seen, |correction| correction.begins),
        })
    };
    // A take's first onset always starts a phrase.
    untaught.iter().enumerate().skip(1).map_while(lesson).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::take::settings::Settings;
    use crate::time::Second;
    use crate::time::transport::TransportPoint;

    /// A take of notes at these seconds, each 0.15 s long.
    fn session(onsets: &[f64]) -> Session {
        let mut session = Session::default();
        let point = TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        };
        session.push(Event::Transport(point));
        for onset in onsets {
            let (at, key, channel) = (Second(*onset), Some(60), Some(0));
            session.push(Event::On(NoteOn { at, beat: None, key, channel, velocity: 0.8 }));
            let at = Second(*onset + 0.15);
            session.push(Event::Off(NoteOff { at, beat: None, key, channel }));
        }
        session.finish();
        session
    }

    /// Twelve groups of six notes, 0.2 s apart; the gap between groups is longer by `rest`.
    fn take(rest: f64) -> Session {
        let group = |g: i32| (0..6).map(move |n| f64::from(g) * (1.2 + rest) + f64::from(n) * 0.2);
        session(&(0..12).flat_map(group).collect::<Vec<f64>>())
    }

    #[test]
    fn no_corrections_teach_nothing() {
        assert_eq!(take(0.3).taught(), None);
    }

    #[test]
    fn merging_teaches_coarser_phrases_and_splitting_finer_ones() {
        let mut joined = take(0.5);
        let phrases = joined.phrases();
        assert!(phrases.len() > 6, "{}", phrases.len());
        for phrase in phrases.iter().skip(1) {
            let at = joined.takes()[0].performance.soloist.notes()[phrase.first_note].on.second;
            joined.correct(1, at, Some(false));
        }
        assert_eq!(joined.phrases().len(), 1);
        let taught = joined.taught().unwrap();
        assert_eq!(taught.corrections, phrases.len() - 1);
        assert!(taught.finer < -0.3, "{taught:?}");
        // The next take of this player, with that setting.
        let mut next = take(0.5);
        next.set(Settings { finer: taught.finer, ..Settings::default() });
        assert!(next.phrases().len() < phrases.len());

        let mut split = take(0.3);
        assert!(split.phrases().len() < 6);
        let onsets: Vec<Second> = split.takes()[0]
            .performance
            .soloist
            .notes()
            .iter()
            .step_by(6)
            .map(|n| n.on.second)
            .collect();
        for at in onsets {
            split.correct(1, at, Some(true));
        }
        assert_eq!(split.phrases().len(), 12);
        assert!(split.taught().unwrap().finer > 0.3);
    }

    #[test]
    fn starts_left_alone_count_as_confirmed() {
        let mut session = take(0.5);
        let phrases = session.phrases();
        let last = phrases.last().unwrap().first_note;
        let at = session.takes()[0].performance.soloist.notes()[last].on.second;
        session.correct(1, at, Some(false));
        let first = session.taught().unwrap();
        // With another setting: the starts before were seen with the first one.
        session.set(Settings { finer: 2.0, ..Settings::default() });
        assert_eq!(session.taught().unwrap(), first);
        let confirmed = lessons(&session.takes()[0].performance, Melody::Auto)
            .iter()
            .filter(|l| l.begins)
            .count();
        assert_eq!(confirmed, phrases.len() - 2);
        // A snapshot has it once it is handed in; an outdated result is rejected.
        assert_eq!(session.snapshot().taught, None);
        let takes = session.corrected_takes();
        assert!(session.learn(&takes, takes.taught(None)));
        assert_eq!(session.snapshot().taught, Some(first));
        session.correct(1, at, None);
        assert!(!session.has_to_learn() && session.taught().is_none(), "there is none left");
        assert!(!session.learn(&takes, takes.taught(None)));
    }
}
