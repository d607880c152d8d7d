//! The beat of the current take, where it does not come from the host.
//!
//! The host still decides when a take begins and ends. After a count-in of four taps, or the first beats
//! of the band, the take is on that grid. Each new beat adjusts the last two bars, and the whole grid is
//! computed again when the take is over. The host's tempo and metres are kept beside it. After a loop or
//! a jump the next take stays on the same taps, because people play on. After a stop it needs a new
//! count-in.

use super::Session;
pub use super::following::{BeatDoubt, OwnBeat};
use super::following::{Following, GridChange};
use crate::analysis::analyser::Analyser;
use crate::grid::band::BeatConfidence;
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

/// The current pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderWay {
    /// The id of its take.
    pub id: TakeId,
    /// When it began.
    pub began: Second,
    /// The host's position at its start.
    pub start: Beat,
    /// The host's tempo there.
    pub tempo: Tempo,
    /// The host's metre there.
    pub metre: Metre,
}

impl Session {
    /// Sets where the beat comes from, for the current take and later ones.
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
        self.wait_for_beats();
        self.analyse_again();
    }

    /// Where the beat comes from.
    #[must_use]
    pub fn beat_source(&self) -> BeatSource {
        self.beat_source
    }

    /// The beat; `None` while it comes from the host, or while stopped.
    #[must_use]
    pub fn own_beat(&self) -> Option<OwnBeat> {
        self.following.as_ref().map(|following| following.beat(self.now))
    }

    /// The current pass, with notes or without.
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

    /// The host's tempo in the current pass.
    #[must_use]
    pub fn host_tempo(&self) -> Option<&TempoMap> {
        Some(self.pass.as_ref()?.take.performance.host_tempo())
    }

    /// When the host reaches `beat`, in the current pass.
    #[must_use]
    pub fn second_on_host(&self, beat: Beat) -> Option<Second> {
        self.pass.as_ref()?.take.performance.host_tempo().second_at(beat)
    }

    /// The host's position at a moment, in the current pass.
    #[must_use]
    pub fn beat_on_host(&self, at: Second) -> Option<Beat> {
        self.pass.as_ref()?.take.performance.host_tempo().beat_at(at)
    }

    /// Adds the next tap. Taps while stopped are ignored.
    pub(super) fn tap(&mut self, at: Second) {
        let Some(following) = &mut self.following else { return };
        let change = following.tap(at);
        self.apply(change);
    }

    /// Adds a beat of the band, heard by another instance, on the clock of the events.
    pub fn band_beat(&mut self, metre: Metre, beat: FollowedBeat, confidence: BeatConfidence) {
        let Some(following) = &mut self.following else { return };
        let change = following.band_beat(self.now, metre, beat, confidence);
        self.apply(change);
    }

    /// Sets how many taps of the band's count-in have come.
    pub fn count_in_band(&mut self, taps: usize) {
        if let Some(following) = &mut self.following {
            following.count_in_band(taps);
        }
    }

    fn apply(&mut self, change: GridChange) {
        match change {
            GridChange::None => {}
            GridChange::First => self.switch_to_own_grid(),
            GridChange::Bent => self.bend_grid(),
            GridChange::Recounted => {
                self.bend_grid();
                self.analyse_again();
            }
        }
    }

    /// Adjusts the last beats of the current pass to the newest one, and stamps the notes since then.
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
            pass.analyser.invalidate_from(first);
        }
    }

    /// Waits for the first beats, if they don't come from the host and the transport plays.
    pub(super) fn wait_for_beats(&mut self) {
        let (source, late) = (self.beat_source, self.settings.latency);
        self.following = self.clock.rolling().and_then(|(_, grid)| match source {
            BeatSource::Host => None,
            BeatSource::Taps => Some(Following::taps(grid.metre, late)),
            BeatSource::Band => Some(Following::band(grid.metre)),
        });
    }

    /// Puts a new pass on the grid in use: taps continue through loops and jumps.
    pub(super) fn resume_beats(&mut self) {
        match self.beat_source {
            BeatSource::Taps if self.following.is_some() => self.switch_to_own_grid(),
            _ => self.wait_for_beats(),
        }
    }

    /// Puts the current pass on its own grid.
    fn switch_to_own_grid(&mut self) {
        let (Some(following), Some(pass)) = (&self.following, &mut self.pass) else { return };
        let performance = pass.take.performance_mut();
        let (Some(line), Some(anchors)) = (following.line, following.anchors(performance)) else {
            return;
        };
        let host_metres = core::mem::replace(&mut performance.metres, anchors.metres());
        let host_tempo = core::mem::take(&mut performance.tempo);
        line.knots().into_iter().for_each(|knot| performance.tempo.push(knot));
        performance.own_grid = Some(Box::new(OwnGrid { anchors, host_tempo, host_metres }));
        performance.restamp_all();
        self.analyse_again();
    }

    /// Computes the grid of a finished pass from the beats before and after each point.
    pub(super) fn settle_own_grid(&self, performance: &mut Performance) {
        let following = self.following.as_ref().filter(|_| performance.own_grid.is_some());
        if let Some(anchors) = following.and_then(|following| following.anchors(performance)) {
            performance.set_grid(Some(&anchors));
        }
    }

    /// Has the current pass analysed and drilled again.
    pub(super) fn analyse_again(&mut self) {
        if let Some(pass) = &mut self.pass {
            pass.analyser = Analyser::new(self.settings);
        }
        self.rewind_drill();
    }
}
