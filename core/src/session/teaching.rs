//! What a player's corrections teach: how finely their phrases are told apart from now on.
//!
//! It is worked out from whole takes, which takes long for long ones. Whoever works it out elsewhere
//! brings it by [`Session::learn`]; until then it stays in a snapshot as it was.

use super::Session;
use super::snapshot::Taught;
use crate::segmentation::teach::{Lesson, PLAYER_SPREAD, finer};
use crate::segmentation::{Hindsight, JudgedOnset, judge_onsets};
use crate::settings::Melody;
use crate::take::Take;
use crate::take::performance::Performance;
use std::sync::Arc;

/// What corrections teach, and how many times they had changed when that was worked out.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Teaching {
    pub taught: Option<Taught>,
    changes: u64,
    learnt: u64,
}

/// The takes that are over and have corrections: all that is needed to work out what they teach.
#[derive(Debug, Clone)]
pub struct CorrectedTakes {
    takes: Vec<Arc<Performance>>,
    melody: Melody,
    changes: u64,
}

impl CorrectedTakes {
    /// What these corrections teach together with those of the take under way. Takes time in
    /// proportion to the notes of all these takes.
    #[must_use]
    pub fn taught(&self, under_way: Option<&Performance>) -> Option<Taught> {
        let takes = || self.takes.iter().map(|take| &**take).chain(under_way);
        let corrections = takes().map(|take| take.corrections.all().len()).sum();
        let lessons: Vec<Lesson> = takes().flat_map(|take| lessons(take, self.melody)).collect();
        (corrections > 0).then(|| Taught { finer: finer(&lessons, PLAYER_SPREAD), corrections })
    }
}

impl Session {
    /// What the corrections of all takes teach together; `None` before the first. It is worked out
    /// here unless it is known.
    #[must_use]
    pub fn taught(&self) -> Option<Taught> {
        if self.has_to_learn() {
            let under_way = self.current().map(|take| &*take.performance);
            return self.corrected_takes().taught(under_way);
        }
        self.teaching.taught
    }

    /// Whether corrections have changed since it was worked out what they teach.
    #[must_use]
    pub fn has_to_learn(&self) -> bool {
        self.teaching.learnt != self.teaching.changes
    }

    /// The takes that it is worked out from, but for the one under way.
    #[must_use]
    pub fn corrected_takes(&self) -> CorrectedTakes {
        let corrected = self.takes.iter().filter(|take| is_corrected(take));
        let takes = corrected.map(|take| take.performance.clone()).collect();
        let changes = self.teaching.changes;
        CorrectedTakes { takes, melody: self.settings.melody, changes }
    }

    /// Takes in what `takes` teach; left aside where corrections have changed since. Whether it was
    /// taken in.
    pub fn learn(&mut self, takes: &CorrectedTakes, taught: Option<Taught>) -> bool {
        let is_new = takes.changes == self.teaching.changes;
        if is_new {
            (self.teaching.taught, self.teaching.learnt) = (taught, takes.changes);
        }
        is_new
    }

    /// Corrections have changed, or takes that have some.
    pub(super) fn corrections_changed(&mut self) {
        self.teaching.changes += 1;
        if !self.takes.iter().chain(self.current()).any(is_corrected) {
            (self.teaching.taught, self.teaching.learnt) = (None, self.teaching.changes);
        }
    }
}

fn is_corrected(take: &Take) -> bool {
    !take.performance.corrections.all().is_empty()
}

/// A take's onsets up to its last correction: what was said of them, or, where nothing was said,
/// what was seen when the next correction was made, and left alone.
fn lessons(take: &Performance, melody: Melody) -> Vec<Lesson> {
    let notes = take.soloist.notes();
    let untaught = if take.corrections.all().is_empty() {
        Vec::new()
    } else {
        judge_onsets(notes, Hindsight::After, 0.0, melody)
    };
    // What was seen, by the setting in force.
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
        let said = opening.onset.correction(&take.corrections, notes);
        Some(Lesson {
            logit: (probability / (1.0 - probability)).ln(),
            begins: said.map_or(seen, |said| said.begins),
        })
    };
    // A take's first onset begins a phrase whatever is said.
    untaught.iter().enumerate().skip(1).map_while(lesson).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::settings::Settings;
    use crate::time::Second;
    use crate::time::transport::TransportPoint;

    /// A take of notes at these seconds, 0.15 s long each.
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

    /// Twelve groups of six notes, 0.2 s apart; between groups the rest is longer than
    /// within by so much.
    fn take(rest: f64) -> Session {
        let group = |g: i32| (0..6).map(move |n| f64::from(g) * (1.2 + rest) + f64::from(n) * 0.2);
        session(&(0..12).flat_map(group).collect::<Vec<f64>>())
    }

    #[test]
    fn nothing_said_teaches_nothing() {
        assert_eq!(take(0.3).taught(), None);
    }

    #[test]
    fn who_joins_is_heard_more_coarsely_and_who_splits_more_finely() {
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
        // The next take of this player, heard so.
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
    fn what_was_left_alone_is_confirmed_as_it_was_seen() {
        let mut session = take(0.5);
        let phrases = session.phrases();
        let last = phrases.last().unwrap().first_note;
        let at = session.takes()[0].performance.soloist.notes()[last].on.second;
        session.correct(1, at, Some(false));
        let first = session.taught().unwrap();
        // Another setting, and the same word once more: what lies before was seen by the first.
        session.set(Settings { finer: 2.0, ..Settings::default() });
        assert_eq!(session.taught().unwrap(), first);
        let confirmed = lessons(&session.takes()[0].performance, Melody::Auto)
            .iter()
            .filter(|l| l.begins)
            .count();
        assert_eq!(confirmed, phrases.len() - 2);
        // It is in a snapshot once it has been brought; what is out of date is left aside.
        assert_eq!(session.snapshot().taught, None);
        let takes = session.corrected_takes();
        assert!(session.learn(&takes, takes.taught(None)));
        assert_eq!(session.snapshot().taught, Some(first));
        session.correct(1, at, None);
        assert!(!session.has_to_learn() && session.taught().is_none(), "there is none left");
        assert!(!session.learn(&takes, takes.taught(None)));
    }
}
