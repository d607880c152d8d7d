//! Follows the beats that a band's instance tells, for a soloist's session.

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

/// Both instances see the host begin at the same place, but for this: a block.
const SAME_PLACE: BeatSpan = BeatSpan(0.1);

/// A pass of the soloist's that begins within one of the band's, as by punching in, waits so long for the band to
/// begin one of its own.
const WAITS: SecondSpan = SecondSpan(0.5);

/// See the module.
#[derive(Default)]
pub struct BandSource {
    pair: u8,
    /// The band's pass that was followed last.
    followed: u64,
    /// Of the pass under way: the soloist's, the band's, and how many of its beats have come.
    now: Option<(TakeId, u64, usize)>,
    /// Takes that are over, whose beats the band's instance is working out.
    awaited: VecDeque<(TakeId, u64)>,
}

/// A take whose beats have been worked out from both sides.
pub struct SettledTake {
    /// Which.
    pub take: TakeId,
    /// Its beats.
    pub anchors: Anchors,
    /// What was heard of the band.
    pub strength: OnsetStrength,
}

/// So many takes are awaited; the oldest keep the beats as they were told.
const AWAITED: usize = 8;

impl BandSource {
    /// Says which band to follow.
    pub fn pair_with(&mut self, pair: u8) {
        self.pair = pair;
    }

    /// The band of another instance, where there is one.
    pub fn band(&self) -> Option<Arc<Band>> {
        Band::of_pair(self.pair)
    }

    /// Hands new beats to the session, those of its `own` band where it hears one; how many.
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
                session.band_beat(pass.metre, beat_now, beat.sureness);
            }
        }
        *seen += pass.beats.len();
        pass.beats.len()
    }

    /// The next take whose beats have been worked out from both sides, with them.
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

    /// Tells the band of a tap.
    pub fn tap(&self, session: &Session, at: Second) {
        let band = Band::of_pair(self.pair).filter(|_| session.beat_source() == BeatSource::Band);
        if let (Some(band), Some(beat)) = (band, session.beat_on_host(at)) {
            band.tap(beat);
        }
    }

    /// The band's pass for one of the soloist's that began at `start`, so long ago.
    fn begin(&self, band: &Arc<Band>, start: Beat, waited: SecondSpan) -> Option<u64> {
        let BandPass { number, start: band_start, .. } = band.pass(|pass| pass.beats.len())?;
        let same = (start - band_start).0.abs() <= SAME_PLACE.0;
        let is_new = number > self.followed && (same || waited.0 > WAITS.0);
        let within = number == self.followed && !same && start > band_start && waited.0 > WAITS.0;
        (is_new || within).then_some(number)
    }
}
