//! The beat of a take under way, where it does not come from the host.
//!
//! The host still says when a take begins and ends. Four taps count in, or a band's instance tells its first
//! beats: from then on the take is on that grid. The last two bars are worked out again with each beat that is told,
//! and the whole take when it is over. The host's tempo and metres are kept beside it. A loop that goes round or a jump begins
//! another take, on the same taps: people play on. Where the host stops, the next take is counted in anew.

use super::Session;
pub use super::following::{BeatDoubt, OwnBeat};
use super::following::{Followed, Following};
use crate::analysis::analyser::Analyser;
use crate::grid::band::Sureness;
use crate::grid::follower::FollowedBeat;
use crate::grid::settling::settle;
use crate::take::TakeId;
use crate::take::own_grid::OwnGrid;
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use crate::time::tempo_map::TempoMap;
use crate::time::{Beat, Second, Tempo};

/// Where the beat comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BeatSource {
    /// The host's tempo and position.
    #[default]
    Host,
    /// Taps.
    Taps,
    /// An instance that hears the band.
    Band,
}

/// The pass under way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderWay {
    /// What its take will be known by.
    pub id: TakeId,
    /// When it began.
    pub began: Second,
    /// Where the host began, on its grid.
    pub start: Beat,
    /// The host's tempo there.
    pub tempo: Tempo,
    /// The host's metre there.
    pub metre: Metre,
}

impl Session {
    /// Says where the beat comes from, of the take under way and of those that follow.
    pub fn set_beat_source(&mut self, source: BeatSource) {
        if source == self.beat_source {
            return;
        }
        self.beat_source = source;
        if let Some(pass) =
            self.pass.as_mut().filter(|pass| pass.take.performance.own_grid.is_some())
        {
            pass.take.performance_mut().set_grid(None);
        }
        self.expect_beats();
        self.beats_have_changed();
    }

    /// Where the beat comes from.
    #[must_use]
    pub fn beat_source(&self) -> BeatSource {
        self.beat_source
    }

    /// The beat; `None` while it comes from the host, or the transport stands.
    #[must_use]
    pub fn own_beat(&self) -> Option<OwnBeat> {
        self.following.as_ref().map(|following| following.beat(self.now))
    }

    /// The pass under way, with notes or without.
    #[must_use]
    pub fn under_way(&self) -> Option<UnderWay> {
        let take = &self.pass.as_ref()?.take;
        let first = take.performance.host_tempo().knots().first()?;
        let metre = take.performance.host_metres().metre_at(first.beat);
        let (began, start, tempo) = (first.second, first.beat, first.tempo);
        Some(UnderWay { id: take.id, began, start, tempo, metre })
    }

    /// When the last event came.
    #[must_use]
    pub fn now(&self) -> Second {
        self.now
    }

    /// The host's tempo in the pass under way.
    #[must_use]
    pub fn host_tempo(&self) -> Option<&TempoMap> {
        Some(self.pass.as_ref()?.take.performance.host_tempo())
    }

    /// When the host is at a position, in the pass under way.
    #[must_use]
    pub fn second_on_host(&self, beat: Beat) -> Option<Second> {
        self.pass.as_ref()?.take.performance.host_tempo().second_at(beat)
    }

    /// Where the host is at a moment, in the pass under way.
    #[must_use]
    pub fn beat_on_host(&self, at: Second) -> Option<Beat> {
        self.pass.as_ref()?.take.performance.host_tempo().beat_at(at)
    }

    /// Takes the next tap. While the transport stands there is nothing to tap to.
    pub(super) fn tap(&mut self, at: Second) {
        let Some(following) = &mut self.following else { return };
        let followed = following.tap(at);
        self.follow(followed);
    }

    /// Takes a beat that a band's instance has heard, on the clock of the events.
    pub fn band_beat(&mut self, metre: Metre, beat: FollowedBeat, sureness: Sureness) {
        let Some(following) = &mut self.following else { return };
        let followed = following.band_beat(self.now, metre, beat, sureness);
        self.follow(followed);
    }

    /// So many taps of a band's count-in have come, of those that are to.
    pub fn count_in_band(&mut self, taps: usize) {
        if let Some(following) = &mut self.following {
            following.count_in_band(taps);
        }
    }

    fn follow(&mut self, followed: Followed) {
        match followed {
            Followed::Nothing => {}
            Followed::Begins => self.take_own_grid(),
            Followed::Bends | Followed::CountsAnew => {
                self.bend_grid();
                if followed == Followed::CountsAnew {
                    self.beats_have_changed();
                }
            }
        }
    }

    /// Puts the last beats of the pass under way where they are by the newest one, and the notes since then.
    fn bend_grid(&mut self) {
        let (Some(following), Some(pass)) = (&self.following, &mut self.pass) else { return };
        let performance = pass.take.performance_mut();
        let (Some(newest), Some(anchors)) = (following.newest(), following.anchors(performance))
        else {
            return;
        };
        let Some(own) = &mut performance.own_grid else { return };
        let from = settle(&mut performance.tempo, &anchors, newest);
        performance.metres = anchors.metres();
        own.anchors = anchors;
        let tempo = &performance.tempo;
        let touched = performance.soloist.restamp(from, |second| tempo.beat_at(second));
        performance.ignored.restamp(from, |second| tempo.beat_at(second));
        if let Some(first) = touched {
            pass.analyser.reread_from(first);
        }
    }

    /// Waits for the first beats, if they are not to come from the host and the transport rolls.
    pub(super) fn expect_beats(&mut self) {
        let (source, late) = (self.beat_source, self.settings.latency);
        self.following = self.clock.rolling().and_then(|(_, grid)| match source {
            BeatSource::Host => None,
            BeatSource::Taps => Some(Following::taps(grid.metre, late)),
            BeatSource::Band => Some(Following::band(grid.metre)),
        });
    }

    /// Puts a pass that begins on the grid that is followed: taps go on through loops and jumps.
    pub(super) fn go_on_with_beats(&mut self) {
        match self.beat_source {
            BeatSource::Taps if self.following.is_some() => self.take_own_grid(),
            _ => self.expect_beats(),
        }
    }

    /// Puts the pass under way on its own grid, as it is told.
    fn take_own_grid(&mut self) {
        let (Some(following), Some(pass)) = (&self.following, &mut self.pass) else { return };
        let performance = pass.take.performance_mut();
        let (Some(line), Some(anchors)) = (following.line, following.anchors(performance)) else {
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
    pub(super) fn settle_own_grid(&self, performance: &mut Performance) {
        let following = self.following.as_ref().filter(|_| performance.own_grid.is_some());
        if let Some(anchors) = following.and_then(|following| following.anchors(performance)) {
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
