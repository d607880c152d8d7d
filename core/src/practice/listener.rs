//! Follows takes as they grow and counts what a drill asks for.
//!
//! A chorus is counted anew from its notes each time, until no note to come can change it. What is
//! counted depends on the notes only, not on when or how often the listener was asked.

use super::chorus::{Chorus, first_chorus};
use super::definition::{Drill, Fault};
use super::progress::{Progress, State, due};
use super::report::Report;
use super::result::{ChorusResult, Turn};
use super::rounds::{Stage, is_near};
use super::take_so_far::TakeSoFar;
use crate::phrase::Phrase;
use crate::quantization::BarLines;
use crate::settings::{Pulse, Settings};
use crate::take::performance::Performance;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, Second};

/// Listens for one drill.
#[derive(Debug, Clone)]
pub struct Listener {
    drill: Drill,
    beat_one_offset: i32,
    pulse: Pulse,
    /// As far as nothing can change any more.
    settled: Counted,
    /// Choruses behind those.
    open: Vec<ChorusResult>,
    /// How far the drill has got with the open ones.
    stage: Stage,
    /// The take under way.
    place: Option<NextChorus>,
    /// Where the take under way was joined; `None` is its start.
    from: Option<Beat>,
    /// The next take goes on where this one ended: a loop, so that nothing is counted in.
    goes_round: bool,
    progress: Progress,
}

#[derive(Debug, Clone, Default)]
struct Counted {
    stage: Stage,
    choruses: Vec<ChorusResult>,
}

/// The next chorus of a take.
#[derive(Debug, Clone, Copy)]
struct NextChorus {
    first_bar: i64,
    /// It begins where a chorus of the drill ended.
    follows: bool,
}

/// A take that was left in mid-chorus is told of if at least so many bars of it were heard.
const TOLD_BARS: u32 = 1;

/// Choruses looked at in one take, those passed by at another tempo among them: some days of
/// playing. A take of nonsense could go on for ever.
const MOST_CHORUSES: u32 = 10_000;

impl Listener {
    /// A listener that has heard nothing. Bars and beats are those of `settings`; `from` is where the drill was begun in a take under way,
    /// `None` takes a take from its start.
    ///
    /// # Errors
    /// What makes the drill one that can't be practised.
    pub fn new(drill: Drill, settings: &Settings, from: Option<Beat>) -> Result<Self, Fault> {
        drill.check()?;
        Ok(Self {
            drill,
            beat_one_offset: settings.beat_one_offset,
            pulse: settings.pulse,
            settled: Counted::default(),
            open: Vec::new(),
            stage: Stage::default(),
            place: None,
            from,
            goes_round: false,
            progress: Progress::default(),
        })
    }

    /// Bars and beats are those of `settings` from here on, in what can still change.
    pub fn hear_with(&mut self, settings: &Settings) {
        self.beat_one_offset = settings.beat_one_offset;
        self.pulse = settings.pulse;
    }

    /// Where the first chorus lies that can still change, and a bar before it: no phrase that is
    /// over before that counts any more. `None` before the take has been looked at.
    #[must_use]
    pub fn looks_from(&self, take: &Performance) -> Option<Beat> {
        let chorus = Chorus::new(self.lines(take), self.place?.first_bar, 1);
        Some(chorus.start - chorus.bar_length())
    }

    /// The drill.
    #[must_use]
    pub fn drill(&self) -> &Drill {
        &self.drill
    }

    /// Counts the take under way, which has got to `now`. It must be shown the same take each time
    /// until it is [left](Self::leave).
    pub fn follow(&mut self, take: &Performance, phrases: &[Phrase], now: Second) -> &Progress {
        self.walk(take, phrases, take.tempo.beat_at(now), false);
        &self.progress
    }

    /// Counts a take that ended at `at`, and is ready for the next one. `goes_round` says that the
    /// next one begins right there: a loop went round.
    pub fn leave(&mut self, take: &Performance, phrases: &[Phrase], at: Second, goes_round: bool) {
        self.walk(take, phrases, take.tempo.beat_at(at), true);
        self.part(goes_round);
    }

    /// Counts a take that is known from its notes alone, such as a file: it is silent behind the
    /// last of them, to the end of a chorus of which at least half was played.
    pub fn hear_whole(&mut self, take: &Performance, phrases: &[Phrase]) {
        let lines = self.lines(take);
        let ends = take.heard.notes().iter().map(|note| note.off.unwrap_or(note.on).beat);
        let end = ends.reduce(Beat::later).map(|last| {
            let bar = lines.bar_at(last - POSITION_TOLERANCE);
            bar.start + bar.metre.bar()
        });
        let under_way = self.walk(take, phrases, end, true);
        if let (Some(chorus), State::Plays { bar, .. }) = (under_way, self.progress.state)
            && bar.saturating_mul(2) > self.drill.form.bars
        {
            self.walk(take, phrases, Some(chorus.end), true);
        }
        self.part(false);
    }

    fn lines<'a>(&self, take: &'a Performance) -> BarLines<'a> {
        BarLines { metres: &take.metres, beat_one_offset: self.beat_one_offset, pulse: self.pulse }
    }

    /// Keeps what was counted of the take that ends here.
    fn part(&mut self, goes_round: bool) {
        self.settled.choruses.append(&mut self.open);
        self.settled.stage.clone_from(&self.stage);
        self.place = None;
        self.from = None;
        self.goes_round = goes_round;
        if self.progress.state != State::Over {
            self.progress = Progress::default();
        }
    }

    /// Where the drill is, as of the last call.
    #[must_use]
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Every chorus heard so far; the last may be under way.
    pub fn choruses(&self) -> impl Iterator<Item = &ChorusResult> {
        self.settled.choruses.iter().chain(&self.open)
    }

    /// What has been heard, summed up.
    #[must_use]
    pub fn report(&self) -> Report {
        Report::of(&self.drill, self.choruses(), self.stage.over, self.stage.passed)
    }

    /// Counts everything up to `now`, and gives the chorus that is under way there.
    fn walk(
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
        let heard = TakeSoFar { take, phrases, lines, now, over };
        let from = self.from.unwrap_or(start);
        let count_in = if self.goes_round { 0 } else { self.drill.form.count_in };
        let mut place = self.place.unwrap_or_else(|| NextChorus {
            first_bar: first_chorus(lines, &self.drill.form, from, count_in),
            follows: false,
        });
        let mut settling = true;
        for _ in 0..MOST_CHORUSES {
            if settling {
                self.settled.choruses.append(&mut self.open);
                self.settled.stage.clone_from(&self.stage);
                self.place = Some(place);
            }
            if self.stage.over {
                self.progress.state = State::Over;
                return None;
            }
            let chorus = Chorus::new(lines, place.first_bar, self.drill.form.bars);
            if !heard.is_past(chorus.start) {
                let due = due(&self.drill, &self.stage, &chorus, now);
                self.progress = Progress { state: self.before(&chorus, &heard), due };
                return None;
            }
            let next_bar = place.first_bar.saturating_add(i64::from(self.drill.form.bars));
            let tempo = take.tempo.tempo_at(chorus.start + POSITION_TOLERANCE);
            if !self.stage.hears(&self.drill, tempo) {
                // The tempo is put right in hindsight where it changed inside a block.
                settling &= heard.is_past(chorus.start + chorus.bar_length());
                place = NextChorus { first_bar: next_bar, follows: false };
                continue;
            }
            let (round, number) = (self.stage.round.saturating_add(1), self.stage.chorus);
            let turn = Turn { drill: &self.drill, round, chorus: number, follows: place.follows };
            let result = ChorusResult::of(turn, &chorus, &heard);
            if !result.complete {
                let bar = chorus.bar_at(now).0;
                let due = due(&self.drill, &self.stage, &chorus, now);
                let state = State::Plays { round, chorus: result.chorus, bar };
                self.progress = Progress { state, due };
                if !over || bar > TOLD_BARS {
                    self.open.push(result);
                }
                return Some(chorus);
            }
            settling &= result.settled;
            self.stage.push(&self.drill, &result);
            self.open.push(result);
            place = NextChorus { first_bar: next_bar, follows: true };
        }
        None
    }

    /// What stands before a chorus that has not begun.
    fn before(&self, chorus: &Chorus, heard: &TakeSoFar<'_>) -> State {
        let begins = chorus.start;
        let tempo = heard.take.tempo.tempo_at(heard.now);
        if let (Some(asked), Some(tempo)) = (self.stage.asks(&self.drill), tempo)
            && !is_near(tempo, asked)
        {
            let (asked, heard) = (asked.quarters_a_minute(), tempo.quarters_a_minute());
            return State::AsksForTempo { asked, heard };
        }
        let count_in = self.drill.form.count_in;
        let bars = (begins - heard.now).0 / heard.lines.bar_at(heard.now).metre.bar().0;
        let to_go = (1..=count_in).find(|count| bars <= f64::from(*count) + 1e-6);
        to_go.map_or(State::Waits { begins }, |bars| State::CountIn { begins, bars })
    }
}
