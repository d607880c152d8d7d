//! Feeds the beats that a band's instance publishes to a soloist's session.

use crate::worker::bands::{Band, BandPass};
use overbar_core::grid::anchors::Anchors;
use overbar_core::grid::band::OnsetStrength;
use overbar_core::grid::follower::FollowedBeat;
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::TakeId;
use overbar_core::time::{Beat, BeatSpan, Second, SecondSpan};
use std::collections::VecDeque;
use std::sync::Arc;

/// Both instances see the host start at the same position, to within a block.
const SAME_PLACE: BeatSpan = BeatSpan(0.1);

/// If the soloist's pass starts within one of the band's, as when punching in, it waits this long for the
/// band to start a new one.
const WAITS: SecondSpan = SecondSpan(0.5);

/// Follows a band's beats.
#[derive(Default)]
pub struct BandSource {
    pair: u8,
    /// The band's pass that was followed last.
    followed: u64,
    /// For the current pass: the soloist's take, the band's pass number, and how many of its beats have come.
    now: Option<(TakeId, u64, usize)>,
    /// Finished takes whose beats the band's instance is still settling.
    awaited: VecDeque<(TakeId, u64)>,
}

/// A take whose beats have been settled with hindsight.
pub struct SettledTake {
    /// Its id.
    pub take: TakeId,
    /// Its beats.
    pub anchors: Anchors,
    /// The onset strength of the band.
    pub strength: OnsetStrength,
}

/// At most this many takes wait; the oldest keep their live beats.
const AWAITED: usize = 8;

impl BandSource {
    /// Sets which band to follow.
    pub fn pair_with(&mut self, pair: u8) {
        self.pair = pair;
    }

    /// The band of another instance, if there is one.
    pub fn band(&self) -> Option<Arc<Band>> {
        Band::of_pair(self.pair)
    }

    /// Feeds new beats to the session, those of its `own` band if it tracks one; returns how many.
    pub fn follow(&mut self, session: &mut Session, own: Option<&Arc<Band>>) -> usize {
        if session.beat_source() != BeatSource::Band {
            return 0;
        }
        let under_way = session.under_way();
        if let Some((take, pass, _)) = self.now
            && under_way.is_none_or(|now| now.id != take)
        {
            if self.awaited.len() == AWAITED {
                self.awaited.pop_front();
            }
            self.awaited.push_back((take, pass));
            self.now = None;
        }
        let Some(under_way) = under_way else { return 0 };
        let Some(band) = own.cloned().or_else(|| Band::of_pair(self.pair)) else { return 0 };
        if self.now.is_none() {
            let waited = session.now() - under_way.began;
            let Some(pass) = self.begin(&band, under_way.start, waited) else { return 0 };
            self.now = Some((under_way.id, pass, 0));
            self.followed = pass;
        }
        let Some((_, number, seen)) = &mut self.now else { return 0 };
        let Some(pass) = band.pass(|_| *seen).filter(|pass| pass.number == *number) else {
            return 0;
        };
        for beat in &pass.beats {
            let second = |beat| session.second_on_host(beat);
            if let (Some(at), Some(next)) = (second(beat.at), second(beat.next)) {
                let beat_now = FollowedBeat { pulse: beat.pulse, at, period: next - at };
                session.band_beat(pass.metre, beat_now, beat.confidence);
            }
        }
        *seen += pass.beats.len();
        pass.beats.len()
    }

    /// The next take whose beats have been settled.
    pub fn settled(&mut self, session: &Session) -> Option<SettledTake> {
        let found = |(take, pass): &(TakeId, u64)| {
            let settled = Band::settled(*pass)?;
            let take = session.takes().iter().find(|known| known.id == *take);
            Some(take.and_then(|take| {
                let anchors = settled.on_clock_of(&take.performance)?;
                let strength = settled.strength_on_clock_of(&take.performance)?;
                Some(SettledTake { take: take.id, anchors, strength })
            }))
        };
        while let Some((at, settled)) =
            self.awaited.iter().enumerate().find_map(|(at, waits)| Some((at, found(waits)?)))
        {
            self.awaited.remove(at);
            if settled.is_some() {
                return settled;
            }
        }
        None
    }

    /// Forwards a tap to the band.
    pub fn tap(&self, session: &Session, at: Second) {
        let band = Band::of_pair(self.pair).filter(|_| session.beat_source() == BeatSource::Band);
        if let (Some(band), Some(beat)) = (band, session.beat_on_host(at)) {
            band.tap(beat);
        }
    }

    /// The band's pass that matches the soloist's, which started at `start`, `waited` ago.
    fn begin(&self, band: &Arc<Band>, start: Beat, waited: SecondSpan) -> Option<u64> {
        let BandPass { number, start: band_start, .. } = band.pass(|pass| pass.beats.len())?;
        let same = (start - band_start).0.abs() <= SAME_PLACE.0;
        let is_new = number > self.followed && (same || waited.0 > WAITS.0);
        let within = number == self.followed && !same && start > band_start && waited.0 > WAITS.0;
        (is_new || within).then_some(number)
    }
}
