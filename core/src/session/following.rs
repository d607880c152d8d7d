//! What is followed where the beat does not come from the host: taps, or beats that a band's instance tells.

use crate::grid::COUNT_IN;
use crate::grid::PulseNumber;
use crate::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine, check_pair};
use crate::grid::band::Sureness;
use crate::grid::follower::{FollowedBeat, TapCounts, TapFollower, Tapped};
use crate::grid::live_line::LiveLine;
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use crate::time::{Beat, Second, SecondSpan};

/// The beat, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnBeat {
    /// How many taps of the count-in have come; [`crate::grid::COUNT_IN`] once it is over, and where a
    /// band begins without.
    pub counted_in: usize,
    /// Where the song is; `None` before the count-in.
    pub line: Option<LiveLine>,
    /// A bar begins there; `None` before the count-in.
    pub bar_line: Option<Beat>,
    /// Why bars and positions are to be taken as approximate, if they are.
    pub doubt: Option<BeatDoubt>,
    /// What became of the last tap.
    pub last: Option<Tapped>,
    /// How many taps were what.
    pub counts: TapCounts,
    /// It comes from the band.
    pub from_band: bool,
}

/// Why the beat is not sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeatDoubt {
    /// No tap came for more than [`crate::grid::beat_grid::LONGEST_LEAD`] beats, or the band is not heard.
    Unheard,
    /// Which beat of the bar it is.
    Count,
}

/// Beats since the transport rolls.
#[derive(Debug, Clone)]
pub(super) struct Following {
    source: Source,
    pub line: Option<LiveLine>,
    last: Option<Tapped>,
}

#[derive(Debug, Clone)]
enum Source {
    Taps(TapFollower),
    Band(BandBeats),
}

/// Beats of a band.
#[derive(Debug, Clone)]
struct BandBeats {
    metre: Metre,
    /// Those that are sure.
    each: Vec<Anchor>,
    newest: Option<FollowedBeat>,
    sureness: Sureness,
    /// Taps of the count-in that have come, as in [`OwnBeat`].
    counted_in: usize,
}

/// What a beat that came does to the take under way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Followed {
    /// Nothing.
    Nothing,
    /// The first grid there is.
    Begins,
    /// The line bends.
    Bends,
    /// Bars are counted anew, from before the last taps.
    CountsAnew,
}

impl Following {
    /// Waits for a count-in of taps that come so `late`.
    pub fn taps(metre: Metre, late: SecondSpan) -> Self {
        Self { source: Source::Taps(TapFollower::new(metre, late)), line: None, last: None }
    }

    /// Waits for a band's first beat.
    pub fn band(metre: Metre) -> Self {
        let (each, sureness) = (Vec::new(), Sureness::Bridged);
        let counted_in = COUNT_IN;
        let source = Source::Band(BandBeats { metre, each, newest: None, sureness, counted_in });
        Self { source, line: None, last: None }
    }

    /// Takes the next tap.
    pub fn tap(&mut self, at: Second) -> Followed {
        let Source::Taps(follower) = &mut self.source else { return Followed::Nothing };
        let tapped = follower.tap(at);
        self.last = Some(tapped);
        let (metre, Some(beat)) = (follower.metre(), follower.beat()) else {
            return Followed::Nothing;
        };
        match tapped {
            Tapped::CountedIn | Tapped::Beat(_) => self.bend(metre, at, beat),
            Tapped::SetAnew => {
                self.bend(metre, at, beat);
                Followed::CountsAnew
            }
            _ => Followed::Nothing,
        }
    }

    /// Takes a beat of the band's, which is told `now`.
    pub fn band_beat(
        &mut self,
        now: Second,
        metre: Metre,
        beat: FollowedBeat,
        sureness: Sureness,
    ) -> Followed {
        let Source::Band(band) = &mut self.source else { return Followed::Nothing };
        if band.newest.is_some_and(|newest| beat.pulse <= newest.pulse) {
            return Followed::Nothing;
        }
        let in_doubt = band.sureness == Sureness::CountInDoubt;
        (band.metre, band.newest, band.sureness) = (metre, Some(beat), sureness);
        let anchor =
            Anchor { at: beat.at, pulse: beat.pulse, source: AnchorSource::Band, in_doubt };
        let follows = |last: &Anchor| check_pair(0, last, &anchor).is_ok();
        if sureness == Sureness::Sure && band.each.last().is_none_or(follows) {
            band.each.push(anchor);
        }
        if band.each.len() < 2 {
            return Followed::Nothing;
        }
        self.bend(metre, now, beat)
    }

    /// So many taps of a band's count-in have come.
    pub fn count_in_band(&mut self, taps: usize) {
        if let Source::Band(band) = &mut self.source {
            band.counted_in = taps;
        }
    }

    fn bend(&mut self, metre: Metre, now: Second, beat: FollowedBeat) -> Followed {
        match &mut self.line {
            None => {
                self.line = Some(LiveLine::through(metre, beat));
                Followed::Begins
            }
            Some(line) => {
                line.bend(now, beat);
                Followed::Bends
            }
        }
    }

    /// The newest beat.
    pub fn newest(&self) -> Option<FollowedBeat> {
        match &self.source {
            Source::Taps(follower) => follower.beat(),
            Source::Band(band) => band.newest,
        }
    }

    /// The anchors that say anything of a take.
    pub fn anchors(&self, take: &Performance) -> Option<Anchors> {
        let anchors = match &self.source {
            Source::Taps(follower) => follower.anchors()?,
            Source::Band(band) => {
                let line = BarLine { pulse: PulseNumber(0), bar: 1 };
                Anchors::new(band.metre, vec![line], band.each.clone()).ok()?
            }
        };
        Some(match take.span() {
            Some((from, to)) => anchors.around(from, to),
            None => anchors,
        })
    }

    /// What is known of the beat.
    pub fn beat(&self, now: Second) -> OwnBeat {
        let line = self.line;
        match &self.source {
            Source::Taps(follower) => OwnBeat {
                counted_in: follower.counted_in(),
                line,
                bar_line: follower.bar_line(),
                doubt: match follower.count_is_in_doubt() {
                    true => Some(BeatDoubt::Count),
                    false => follower.is_without_taps(now).then_some(BeatDoubt::Unheard),
                },
                last: self.last,
                counts: follower.counts(),
                from_band: false,
            },
            Source::Band(band) => OwnBeat {
                counted_in: band.counted_in,
                line,
                bar_line: line.map(|_| Beat(0.0)),
                doubt: match band.sureness {
                    Sureness::Sure => band.is_silent(now).then_some(BeatDoubt::Unheard),
                    Sureness::Bridged => Some(BeatDoubt::Unheard),
                    Sureness::CountInDoubt => Some(BeatDoubt::Count),
                },
                last: None,
                counts: TapCounts::default(),
                from_band: true,
            },
        }
    }
}

/// No beat for so many of them: the band's instance tells no more.
const SILENT_AFTER: f64 = 4.0;

impl BandBeats {
    fn is_silent(&self, now: Second) -> bool {
        self.newest.is_some_and(|beat| (now - beat.at).0 > SILENT_AFTER * beat.period.0)
    }
}
