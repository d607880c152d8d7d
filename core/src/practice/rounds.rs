//! The stage of a drill: rounds, choruses, tempos.

use super::definition::Drill;
use super::result::{ChorusResult, GoalResult, summed};
use crate::time::Tempo;

/// Relative tolerance of the wanted tempo. Origin: hosts show whole numbers or tenths; common practice,
/// no source.
const SAME_TEMPO: f64 = 0.01;

/// A failed round is repeated at most this often.
const MAX_ROUNDS: u32 = 64;

/// The stage of a drill.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stage {
    /// Complete rounds.
    pub round: u32,
    /// Complete choruses of this round.
    pub chorus: u32,
    /// Step of the tempo plan, from 0.
    step: u32,
    /// The choruses of this round.
    played: Vec<ChorusResult>,
    /// The drill is complete.
    pub over: bool,
    /// The last round was passed, and no tempo is left.
    pub passed: bool,
}

impl Stage {
    /// The tempo that the next chorus needs; `None` for any, also within a round.
    pub fn asks(&self, drill: &Drill) -> Option<Tempo> {
        let begins = self.chorus == 0 && !self.over;
        drill.tempo.filter(|_| begins).and_then(|plan| plan.step(self.step))
    }

    /// Whether a chorus at this tempo counts as the next one. The player may go on to the next tempo
    /// without passing a round.
    pub fn accepts(&mut self, drill: &Drill, tempo: Option<Tempo>) -> bool {
        let Some(asked) = self.asks(drill) else { return true };
        let Some(tempo) = tempo else { return false };
        let next = drill.tempo.and_then(|plan| plan.step(self.step + 1));
        if self.round > 0 && next.is_some_and(|next| is_near(tempo, next)) {
            self.step += 1;
            return true;
        }
        is_near(tempo, asked)
    }

    /// Adds a complete chorus.
    pub fn push(&mut self, drill: &Drill, result: &ChorusResult) {
        self.played.push(result.clone());
        self.chorus += 1;
        if self.chorus < drill.choruses {
            return;
        }
        let passed = passed(&summed(self.played.iter()), drill.pass);
        self.played.clear();
        self.chorus = 0;
        self.round += 1;
        match drill.tempo {
            Some(plan) if passed => {
                self.step += 1;
                self.over = plan.step(self.step).is_none();
            }
            Some(_) => {}
            None => self.over = true,
        }
        self.passed = self.over && passed;
        self.over |= self.round >= MAX_ROUNDS;
    }
}

/// Whether every goal was passed; false without goals.
pub fn passed(goals: &[GoalResult], pass: f64) -> bool {
    !goals.is_empty() && goals.iter().all(|goal| goal.passed(pass))
}

pub fn is_near(tempo: Tempo, asked: Tempo) -> bool {
    (tempo.quarters_a_minute() / asked.quarters_a_minute() - 1.0).abs() <= SAME_TEMPO
}
