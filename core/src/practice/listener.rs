//! Evaluates a drill on takes as they grow.
//!
//! A chorus is evaluated again at every call until no further note can change it. The result depends on
//! the notes only, not on when or how often the listener was called.

use super::chorus::{Chorus, first_chorus};
use super::definition::{Drill, DrillError};
use super::landing::MAX_CHORUSES_DRAWN;
use super::progress::{DrillState, Progress, due};
use super::report::DrillReport;
use super::result::{ChorusResult, Turn};
use super::rounds::{Stage, is_near};
use super::take_so_far::TakeSoFar;
use crate::phrase::Phrase;
use crate::quantization::BarLines;
use crate::take::performance::Performance;
use crate::take::settings::{Pulse, Settings};
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, Second};

/// Evaluates one drill.
#[derive(Debug, Clone)]
pub struct Listener {
    drill: Drill,
    beat_one_offset: i32,
    pulse: Pulse,
    /// The final part.
    settled: Settled,
    /// The choruses after that.
    open: Vec<ChorusResult>,
    /// The stage after the open choruses.
    stage: Stage,
    /// The first open chorus of the current take.
    next: Option<NextChorus>,
    /// Where the drill started in the current take; `None` for its start.
    from: Option<Beat>,
    /// The next take continues from a loop, without a count-in.
    looped: bool,
    progress: Progress,
}

#[derive(Debug, Clone, Default)]
struct Settled {
    stage: Stage,
    choruses: Vec<ChorusResult>,
}

impl Settled {
    /// Appends the `open` choruses; only the newest keep their landings.
    fn settle(&mut self, open: &mut Vec<ChorusResult>, stage: &Stage) {
        let before = self.choruses.len().saturating_sub(MAX_CHORUSES_DRAWN);
        self.choruses.append(open);
        self.stage.clone_from(stage);
        let now = self.choruses.len().saturating_sub(MAX_CHORUSES_DRAWN);
        for chorus in self.choruses.get_mut(before..now).unwrap_or_default() {
            chorus.landings.clear();
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct NextChorus {
    first_bar: i64,
    /// It starts where a chorus of the drill ended.
    follows: bool,
}

/// A chorus that was broken off is reported if it got beyond this bar.
const REPORTED_BARS: u32 = 1;

/// Most choruses in one take, some days of playing: bounds the work on invalid input.
const MAX_CHORUSES: u32 = 10_000;

impl Listener {
    /// A listener for `drill`, with the bars and beats of `settings`. `from` is where the drill starts in
    /// the current take; `None` for its start.
    ///
    /// # Errors
    /// [`DrillError`] if the drill is invalid.
    pub fn new(drill: Drill, settings: &Settings, from: Option<Beat>) -> Result<Self, DrillError> {
        drill.check()?;
        Ok(Self {
            drill,
            beat_one_offset: settings.beat_one_offset,
            pulse: settings.pulse,
            settled: Settled::default(),
            open: Vec::new(),
            stage: Stage::default(),
            next: None,
            from,
            looped: false,
            progress: Progress::default(),
        })
    }

    /// Uses the bars and beats of `settings` for what can still change.
    pub fn set_bars(&mut self, settings: &Settings) {
        self.beat_one_offset = settings.beat_one_offset;
        self.pulse = settings.pulse;
    }

    /// A bar before the first chorus that can still change: phrases that end earlier are no longer needed.
    /// `None` before the first call for a take.
    pub fn looks_from(&self, take: &Performance) -> Option<Beat> {
        let chorus = Chorus::new(self.lines(take), self.next?.first_bar, 1);
        Some(chorus.start - chorus.bar_length())
    }

    /// The drill.
    pub fn drill(&self) -> &Drill {
        &self.drill
    }

    /// Evaluates the current take up to `now`. Must be called with the same take until
    /// [`Self::leave`].
    pub fn follow(&mut self, take: &Performance, phrases: &[Phrase], now: Second) -> &Progress {
        self.evaluate(take, phrases, take.tempo.beat_at(now), false);
        &self.progress
    }

    /// Evaluates a take that ended at `at`. `looped` if the next one continues after a loop.
    pub fn leave(&mut self, take: &Performance, phrases: &[Phrase], at: Second, looped: bool) {
        self.evaluate(take, phrases, take.tempo.beat_at(at), true);
        self.finish_take(looped);
    }

    /// Evaluates a whole take of unknown length, such as a file. If at least half of its last chorus was
    /// played, the rest counts as silent.
    pub fn evaluate_whole(&mut self, take: &Performance, phrases: &[Phrase]) {
        let lines = self.lines(take);
        let ends = take.soloist.notes().iter().map(|note| note.off.unwrap_or(note.on).beat);
        let end = ends.reduce(Beat::later).map(|last| {
            let bar = lines.bar_at(last - POSITION_TOLERANCE);
            bar.start + bar.metre.bar()
        });
        let current = self.evaluate(take, phrases, end, true);
        if let (Some(chorus), DrillState::Plays { bar, .. }) = (current, self.progress.state)
            && bar.saturating_mul(2) > self.drill.form.bars
        {
            self.evaluate(take, phrases, Some(chorus.end), true);
        }
        self.finish_take(false);
    }

    fn lines<'a>(&self, take: &'a Performance) -> BarLines<'a> {
        BarLines { metres: &take.metres, beat_one_offset: self.beat_one_offset, pulse: self.pulse }
    }

    /// Settles the results of a finished take.
    fn finish_take(&mut self, looped: bool) {
        self.settled.settle(&mut self.open, &self.stage);
        self.next = None;
        self.from = None;
        self.looped = looped;
        if self.progress.state != DrillState::Over {
            self.progress = Progress::default();
        }
    }

    /// The progress as of the last call.
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Every chorus so far; the last may be incomplete.
    pub fn choruses(&self) -> impl Iterator<Item = &ChorusResult> {
        self.settled.choruses.iter().chain(&self.open)
    }

    /// The report so far.
    pub fn report(&self) -> DrillReport {
        DrillReport::of(&self.drill, self.choruses(), self.stage.over, self.stage.passed)
    }

    /// Evaluates everything up to `now`; returns the chorus there.
    fn evaluate(
        &mut self,
        take: &Performance,
        phrases: &[Phrase],
        now: Option<Beat>,
        over: bool,
    ) -> Option<Chorus> {
        self.open.clear();
        self.stage.clone_from(&self.settled.stage);
        let start = take.tempo.knots().first().map(|knot| knot.beat);
        self.progress = Progress::default();
        let (now, start) = (now?, start?);
        let lines = self.lines(take);
        let so_far = TakeSoFar { take, phrases, lines, now, over };
        let from = self.from.unwrap_or(start);
        let count_in = if self.looped { 0 } else { self.drill.form.count_in };
        let mut next = self.next.unwrap_or_else(|| NextChorus {
            first_bar: first_chorus(lines, &self.drill.form, from, count_in),
            follows: false,
        });
        let mut settling = true;
        for _ in 0..MAX_CHORUSES {
            if settling {
                self.settled.settle(&mut self.open, &self.stage);
                self.next = Some(next);
            }
            if self.stage.over {
                self.progress.state = DrillState::Over;
                return None;
            }
            let chorus = Chorus::new(lines, next.first_bar, self.drill.form.bars);
            if !so_far.is_past(chorus.start) {
                let due = due(&self.drill, &self.stage, &chorus, lines, now);
                self.progress = Progress { state: self.before(&chorus, &so_far), due };
                return None;
            }
            let next_bar = next.first_bar.saturating_add(i64::from(self.drill.form.bars));
            let tempo = take.tempo.tempo_at(chorus.start + POSITION_TOLERANCE);
            if !self.stage.accepts(&self.drill, tempo) {
                // A tempo change inside a block is corrected later.
                settling &= so_far.is_past(chorus.start + chorus.bar_length());
                next = NextChorus { first_bar: next_bar, follows: false };
                continue;
            }
            let (round, number) = (self.stage.round.saturating_add(1), self.stage.chorus);
            let turn = Turn { drill: &self.drill, round, chorus: number, follows: next.follows };
            let result = ChorusResult::of(turn, &chorus, &so_far);
            if !result.complete {
                let bar = chorus.bar_at(now).0;
                let due = due(&self.drill, &self.stage, &chorus, lines, now);
                let state = DrillState::Plays { round, chorus: result.chorus, bar };
                self.progress = Progress { state, due };
                if !over || bar > REPORTED_BARS {
                    self.open.push(result);
                }
                return Some(chorus);
            }
            settling &= result.settled;
            self.stage.push(&self.drill, &result);
            self.open.push(result);
            next = NextChorus { first_bar: next_bar, follows: true };
        }
        None
    }

    fn before(&self, chorus: &Chorus, so_far: &TakeSoFar<'_>) -> DrillState {
        let begins = chorus.start;
        let tempo = so_far.take.tempo.tempo_at(so_far.now);
        if let (Some(asked), Some(tempo)) = (self.stage.asks(&self.drill), tempo)
            && !is_near(tempo, asked)
        {
            let (asked, heard) = (asked.quarters_a_minute(), tempo.quarters_a_minute());
            return DrillState::AsksForTempo { asked, heard };
        }
        let count_in = self.drill.form.count_in;
        let bars = (begins - so_far.now).0 / so_far.lines.bar_at(so_far.now).metre.bar().0;
        let to_go = (1..=count_in).find(|count| bars <= f64::from(*count) + 1e-6);
        to_go.map_or(DrillState::Waits { begins }, |bars| DrillState::CountIn { begins, bars })
    }
}
