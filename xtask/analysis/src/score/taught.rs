//! Scores learning from a player's corrections.
//!
//! A player goes through a solo in order and corrects each wrong start, found or missed. After each
//! correction the player's bias is learnt again from all past onsets ([`overbar_core::segmentation::teach`]),
//! and used for what follows. After a given number of corrections the rest of the solo is scored with and
//! without the learnt bias; solos that run out of errors or notes before that have no rest, and are left out
//! of both. Besides, the whole of every solo is scored as decided on the way: each wrong start there costs a
//! correction.

use super::examples::ScoredOnset;
use super::parts::Absorb;
use super::starts::Starts;
use overbar_core::segmentation::Hindsight;
use overbar_core::segmentation::teach::{Lesson, PLAYER_SPREAD, finer};
use serde::Serialize;

/// The scored part.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Scored {
    /// What follows this many corrections.
    Rest(usize),
    /// What follows the middle onset, whatever was corrected: every solo takes part.
    SecondHalf,
    /// Everything, as decided on the way.
    OnTheWay,
}

const SCORED: [Scored; 4] =
    [Scored::Rest(3), Scored::Rest(10), Scored::SecondHalf, Scored::OnTheWay];

/// Biases an oracle tries for each solo, in tenths of a logit either way.
const ORACLE: i32 = 40;

/// Scores of one part of the solos.
#[derive(Debug, Serialize)]
pub struct Taught {
    grade: &'static str,
    scored: String,
    /// The number of solos that take part, and of onsets scored in them.
    solos: usize,
    onsets: usize,
    /// Without learning, with learning, and with the best bias for each solo.
    untaught: Starts,
    taught: Starts,
    oracle: Starts,
    /// Solos with fewer wrong starts thanks to learning, and with more.
    better: usize,
    worse: usize,
}

impl Taught {
    /// For all solos and all parts.
    pub fn all(hindsight: Hindsight, solos: &[Vec<ScoredOnset>]) -> Vec<Self> {
        SCORED.into_iter().map(|scored| Self::of(hindsight, solos, scored)).collect()
    }

    fn of(hindsight: Hindsight, solos: &[Vec<ScoredOnset>], scored: Scored) -> Self {
        let mut sum = Self {
            grade: hindsight.name(),
            scored: scored.name(),
            solos: 0,
            onsets: 0,
            untaught: Starts::default(),
            taught: Starts::default(),
            oracle: Starts::default(),
            better: 0,
            worse: 0,
        };
        for (onsets, taught) in solos.iter().filter_map(|solo| scored.of(solo)) {
            let untaught = score(onsets, 0.0);
            sum.solos += 1;
            sum.onsets += onsets.len();
            sum.untaught.absorb(&untaught);
            sum.taught.absorb(&taught);
            sum.oracle.absorb(&oracle(onsets));
            sum.better += usize::from(taught.errors() < untaught.errors());
            sum.worse += usize::from(taught.errors() > untaught.errors());
        }
        sum
    }

    /// One line; `which` says which weights were used.
    pub fn line(&self, which: &str) -> String {
        format!(
            "taught, {which}, {}, {}: F1 {:.4} -> {:.4}, {} wrong starts -> {}, best setting of each \
             solo {:.4}  ({} onsets of {} solos; {} better, {} worse)\n",
            self.grade,
            self.scored,
            self.untaught.rates().f1,
            self.taught.rates().f1,
            self.untaught.errors(),
            self.taught.errors(),
            self.oracle.rates().f1,
            self.onsets,
            self.solos,
            self.better,
            self.worse,
        )
    }
}

impl Scored {
    fn name(self) -> String {
        match self {
            Self::Rest(corrections) => format!("rest after {corrections} corrections"),
            Self::SecondHalf => "second half".to_owned(),
            Self::OnTheWay => "on the way".to_owned(),
        }
    }

    /// The scored part of a solo, and its score with what was learnt; `None` if the solo does not take part.
    fn of(self, solo: &[ScoredOnset]) -> Option<(&[ScoredOnset], Starts)> {
        let (from, finer) = match self {
            Self::OnTheWay => return Some((solo, pass(solo, usize::MAX).decided)),
            Self::SecondHalf => (solo.len() / 2, learnt(solo.get(..solo.len() / 2)?)),
            Self::Rest(wanted) => {
                let pass = pass(solo, wanted);
                (pass.end?, pass.finer)
            }
        };
        let rest = solo.get(from..).filter(|rest| !rest.is_empty())?;
        Some((rest, score(rest, finer)))
    }
}

/// A player's pass through a solo.
struct Pass {
    /// Starts as decided on the way.
    decided: Starts,
    /// The onset after the last of the wanted corrections; `None` if fewer were needed.
    end: Option<usize>,
    /// The bias learnt by then.
    finer: f64,
}

fn pass(solo: &[ScoredOnset], wanted: usize) -> Pass {
    let mut pass = Pass { decided: Starts::default(), end: None, finer: 0.0 };
    for (at, onset) in solo.iter().enumerate() {
        let found = onset.found(pass.finer);
        pass.decided.count(found, onset.begins);
        if found != onset.begins {
            pass.finer = learnt(solo.get(..=at).unwrap_or_default());
            if pass.decided.errors() == wanted {
                pass.end = Some(at + 1);
                break;
            }
        }
    }
    pass
}

/// The bias learnt from past onsets; those that were ruled out teach nothing.
fn learnt(past: &[ScoredOnset]) -> f64 {
    let lesson =
        |onset: &ScoredOnset| onset.logit.map(|logit| Lesson { logit, begins: onset.begins });
    finer(&past.iter().filter_map(lesson).collect::<Vec<_>>(), PLAYER_SPREAD)
}

fn score(onsets: &[ScoredOnset], finer: f64) -> Starts {
    let mut starts = Starts::default();
    for onset in onsets {
        starts.count(onset.found(finer), onset.begins);
    }
    starts
}

/// The best score of any bias; of ties, the one closest to 0.
fn oracle(onsets: &[ScoredOnset]) -> Starts {
    let steps = (0..=ORACLE).flat_map(|step| [step, -step]);
    let scores = steps.map(|step| score(onsets, f64::from(step) / 10.0));
    let better = |best: Starts, next: Starts| {
        if next.rates().f1 > best.rates().f1 { next } else { best }
    };
    scores.reduce(better).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn onset(logit: f64, begins: bool) -> ScoredOnset {
        ScoredOnset { logit: Some(logit), threshold: 0.5, begins }
    }

    /// Ten phrases at odds of 1 to 3, found from odds of 1 to 1 on, between notes that begin none.
    fn steady() -> Vec<ScoredOnset> {
        let phrase = [onset(-4.0, false), onset(-(3.0_f64.ln()), true)];
        phrase.into_iter().cycle().take(20).collect()
    }

    #[test]
    fn a_consistent_player_is_learnt() {
        let solo = steady();
        // The learnt bias is 0.36 times the sum of the probability shortfalls at that bias: after one phrase
        // at most 0.36 · (1 − 1/4) = 0.27, and each phrase adds no more. So at least five corrections are
        // needed for the required ln 3 = 1.1.
        let first = pass(&solo, 1);
        assert_eq!((first.end, first.decided.errors()), (Some(2), 1));
        assert!(first.finer > 0.0 && first.finer < 0.27, "{}", first.finer);
        let whole = pass(&solo, usize::MAX);
        assert!(whole.decided.errors() >= 5 && whole.decided.errors() < 10, "{:?}", whole.decided);
        assert_eq!((whole.end, whole.decided.labelled), (None, 10));
        assert_eq!(whole.decided.found, whole.decided.right, "nothing is found wrongly");
    }

    #[test]
    fn rests_are_scored_with_and_without_learning() {
        let solos = [steady(), vec![onset(3.0, true), onset(-3.0, false)]];
        let enough = pass(&steady(), usize::MAX).decided.errors();
        let rest = Taught::of(Hindsight::After, &solos, Scored::Rest(enough));
        assert_eq!((rest.solos, rest.better, rest.worse), (1, 1, 0), "the other has no errors");
        let left = 10 - enough;
        assert_eq!((rest.onsets, rest.untaught.right, rest.taught.right), (2 * left, 0, left));
        assert_eq!(rest.oracle.errors(), 0);
        let half = Taught::of(Hindsight::After, &solos, Scored::SecondHalf);
        assert_eq!((half.solos, half.onsets), (2, 11));
        let all = Taught::of(Hindsight::After, &solos, Scored::OnTheWay);
        assert_eq!((all.solos, all.onsets, all.taught.errors()), (2, 22, enough));
        assert_eq!((all.untaught.errors(), all.oracle.errors()), (10, 0));
    }

    #[test]
    fn a_solo_without_enough_errors_has_no_rest() {
        let solo = [onset(3.0, true), onset(-3.0, false), onset(-3.0, true)];
        assert_eq!(pass(&solo, 3).end, None);
        assert_eq!(Scored::Rest(1).of(&solo), None, "its one error is its last onset");
    }

    #[test]
    fn starts_that_were_ruled_out_are_corrected_and_teach_nothing() {
        let missed = ScoredOnset { logit: None, threshold: 0.5, begins: true };
        let pass = pass(&[missed, missed, onset(-1.0, true)], 2);
        assert_eq!((pass.end, pass.finer), (Some(2), 0.0));
    }
}
