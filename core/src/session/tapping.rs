//! The beat from taps while a take is under way.
//!
//! The host still says when a take begins and ends. Four taps count in: from then on the take is on the
//! grid of its taps, first as it was tapped, and when the take is over worked out from both sides. The
//! host's tempo and metres are kept beside it. A loop that goes round or a jump begins another take, on the
//! same grid: people play on. Where the host stops, the next take is counted in anew.

use super::{Pass, Session};
use crate::analysis::analyser::Analyser;
use crate::grid::anchors::Anchors;
use crate::grid::follower::{TapCounts, TapFollower, Tapped};
use crate::grid::live_line::LiveLine;
use crate::take::own_grid::OwnGrid;
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use crate::time::{Beat, Second, SecondSpan};

/// Where the beat comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BeatSource {
    /// The host's tempo and position.
    #[default]
    Host,
    /// Taps.
    Taps,
}

/// The beat from taps, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TappedBeat {
    /// How many taps of the count-in have come; [`crate::grid::COUNT_IN`] once it is over.
    pub counted_in: usize,
    /// Where the song is; `None` before the count-in.
    pub line: Option<LiveLine>,
    /// A bar begins there; `None` before the count-in.
    pub bar_line: Option<Beat>,
    /// Why bars and positions are to be taken as approximate, if they are.
    pub doubt: Option<TapDoubt>,
    /// What became of the last tap.
    pub last: Option<Tapped>,
    /// How many taps were what.
    pub counts: TapCounts,
}

/// Why the beat is not sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TapDoubt {
    /// No tap came for more than [`crate::grid::beat_grid::LONGEST_LEAD`] beats.
    NoTaps,
    /// Which beat of the bar it is.
    Count,
}

/// Taps since the transport rolls.
#[derive(Debug, Clone)]
pub(super) struct Tapping {
    follower: TapFollower,
    line: Option<LiveLine>,
    last: Option<Tapped>,
}

impl Tapping {
    pub fn new(metre: Metre, late: SecondSpan) -> Self {
        Self { follower: TapFollower::new(metre, late), line: None, last: None }
    }

    /// The anchors that say anything of a take.
    fn anchors(&self, take: &Performance) -> Option<Anchors> {
        let anchors = self.follower.anchors()?;
        Some(match take.span() {
            Some((from, to)) => anchors.around(from, to),
            None => anchors,
        })
    }

    fn beat(&self, now: Second) -> TappedBeat {
        let doubt = if self.follower.count_is_in_doubt() {
            Some(TapDoubt::Count)
        } else {
            self.follower.is_without_taps(now).then_some(TapDoubt::NoTaps)
        };
        TappedBeat {
            counted_in: self.follower.counted_in(),
            line: self.line,
            bar_line: self.follower.bar_line(),
            doubt,
            last: self.last,
            counts: self.follower.counts(),
        }
    }
}

impl Session {
    /// Says where the beat comes from, of the take under way and of those that follow.
    pub fn set_beat_source(&mut self, source: BeatSource) {
        if source == self.beat_source {
            return;
        }
        self.beat_source = source;
        match source {
            BeatSource::Taps => self.expect_taps(),
            BeatSource::Host => {
                self.tapping = None;
                if let Some(pass) = &mut self.pass {
                    pass.take.performance_mut().set_grid(None);
                }
                self.beats_have_changed();
            }
        }
    }

    /// Where the beat comes from.
    #[must_use]
    pub fn beat_source(&self) -> BeatSource {
        self.beat_source
    }

    /// The beat from taps; `None` while it comes from the host, or the transport stands.
    #[must_use]
    pub fn tapped_beat(&self) -> Option<TappedBeat> {
        self.tapping.as_ref().map(|tapping| tapping.beat(self.now))
    }

    /// Takes the next tap. While the transport stands there is nothing to tap to.
    pub(super) fn tap(&mut self, at: Second) {
        let Some(tapping) = &mut self.tapping else { return };
        let tapped = tapping.follower.tap(at);
        tapping.last = Some(tapped);
        let Some(beat) = tapping.follower.beat() else { return };
        match tapped {
            Tapped::CountedIn => {
                tapping.line = Some(LiveLine::through(tapping.follower.metre(), beat));
                self.take_tapped_grid();
            }
            Tapped::Beat(_) | Tapped::SetAnew => {
                let Some(line) = &mut tapping.line else { return };
                line.bend(at, beat);
                let knots = line.knots();
                let Some(Pass { take, .. }) = &mut self.pass else { return };
                let performance = take.performance_mut();
                knots.into_iter().for_each(|knot| performance.tempo.push(knot));
                let anchors = tapping.anchors(performance);
                if let (Some(own), Some(anchors)) = (&mut performance.own_grid, anchors) {
                    performance.metres = anchors.metres();
                    own.anchors = anchors;
                }
                if tapped == Tapped::SetAnew {
                    // The bar line that was counted in lies before the last taps.
                    self.beats_have_changed();
                }
            }
            _ => {}
        }
    }

    /// Waits for a count-in, if the beat is to come from taps and the transport rolls.
    pub(super) fn expect_taps(&mut self) {
        let rolling = self.clock.rolling().filter(|_| self.beat_source == BeatSource::Taps);
        let late = self.settings.latency;
        self.tapping = rolling.map(|(_, grid)| Tapping::new(grid.metre, late));
    }

    /// Puts the pass under way on the grid of its taps, as it is tapped.
    pub(super) fn take_tapped_grid(&mut self) {
        let (Some(tapping), Some(pass)) = (&self.tapping, &mut self.pass) else { return };
        let performance = pass.take.performance_mut();
        let (Some(line), Some(anchors)) = (tapping.line, tapping.anchors(performance)) else {
            return;
        };
        let host_metres = core::mem::replace(&mut performance.metres, anchors.metres());
        let host_tempo = core::mem::take(&mut performance.tempo);
        line.knots().into_iter().for_each(|knot| performance.tempo.push(knot));
        performance.own_grid = Some(Box::new(OwnGrid { anchors, host_tempo, host_metres }));
        performance.stamp_anew();
        self.beats_have_changed();
    }

    /// Works the grid of a pass that is over out from both sides.
    pub(super) fn settle_tapped_grid(&self, performance: &mut Performance) {
        let tapping = self.tapping.as_ref().filter(|_| performance.own_grid.is_some());
        if let Some(anchors) = tapping.and_then(|tapping| tapping.anchors(performance)) {
            performance.set_grid(Some(&anchors));
        }
    }

    /// Has the pass under way analysed anew, and heard anew by the drill.
    fn beats_have_changed(&mut self) {
        if let Some(pass) = &mut self.pass {
            pass.analyser = Analyser::new(self.settings);
        }
        self.drill_begins_the_take_anew();
    }
}
