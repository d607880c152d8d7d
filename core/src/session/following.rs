//! Follows a beat that does not come from the host: taps, or the beats of an instance that hears the band.

use crate::grid::COUNT_IN;
use crate::grid::PulseNumber;
use crate::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use crate::grid::band::BeatConfidence;
use crate::grid::follower::{FollowedBeat, TapCounts, TapFollower, Tapped};
use crate::grid::live_line::LiveLine;
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use crate::time::{Beat, Second, SecondSpan};

/// The beat, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnBeat {
    /// Taps of the count-in so far; [`crate::grid::COUNT_IN`] once it is over, and for a band without one.
    pub counted_in: usize,
    /// The song's position over time; `None` until the count-in is over.
    pub line: Option<LiveLine>,
    /// The start of a bar; `None` until the count-in is over.
    pub bar_line: Option<Beat>,
    /// Why bars and positions are approximate, if they are.
    pub doubt: Option<BeatDoubt>,
    /// How the last tap was understood.
    pub last: Option<Tapped>,
    /// Tap counts by kind.
    pub counts: TapCounts,
    /// It comes from the band.
    pub from_band: bool,
}

/// Why the beat is not sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeatDoubt {
    /// No tap came for more than [`crate::grid::beat_grid::LONGEST_LEAD`] beats, or the band is not heard.
    Unheard,
    /// The beat's number in the bar is unsure.
    Count,
}

/// The beats since playback started.
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

/// The band's beats.
#[derive(Debug, Clone)]
struct BandBeats {
    metre: Metre,
    /// The sure ones.
    each: Vec<Anchor>,
    newest: Option<FollowedBeat>,
    confidence: BeatConfidence,
    /// Beats in a row whose count is in doubt.
    doubtful: u32,
    /// Taps of the count-in that have come, as in [`OwnBeat`].
    counted_in: usize,
}

/// How a new beat changes the grid of the current take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GridChange {
    /// Not at all.
    None,
    /// The take gets its first grid.
    First,
    /// The tempo is adjusted.
    Bent,
    /// Bars are counted again, from before the last taps.
    Recounted,
}

impl Following {
    /// Waits for a count-in by taps. `late` is their input latency.
    pub fn taps(metre: Metre, late: SecondSpan) -> Self {
        Self { source: Source::Taps(TapFollower::new(metre, late)), line: None, last: None }
    }

    /// Waits for a band's first beat.
    pub fn band(metre: Metre) -> Self {
        let (each, confidence, doubtful) = (Vec::new(), BeatConfidence::Bridged, 0);
        let counted_in = COUNT_IN;
        let source =
            Source::Band(BandBeats { metre, each, newest: None, confidence, doubtful, counted_in });
        Self { source, line: None, last: None }
    }

    /// Adds the next tap.
    pub fn tap(&mut self, at: Second) -> GridChange {
        let Source::Taps(follower) = &mut self.source else { return GridChange::None };
        let tapped = follower.tap(at);
        self.last = Some(tapped);
        let (metre, Some(beat)) = (follower.metre(), follower.beat()) else {
            return GridChange::None;
        };
        match tapped {
            Tapped::CountedIn | Tapped::Beat(_) => self.bend(metre, at, beat),
            Tapped::Restarted => {
                self.bend(metre, at, beat);
                GridChange::Recounted
            }
            _ => GridChange::None,
        }
    }

    /// Adds a beat of the band, received at `now`.
    pub fn band_beat(
        &mut self,
        now: Second,
        metre: Metre,
        beat: FollowedBeat,
        confidence: BeatConfidence,
    ) -> GridChange {
        let Source::Band(band) = &mut self.source else { return GridChange::None };
        if band.newest.is_some_and(|newest| beat.pulse <= newest.pulse) {
            return GridChange::None;
        }
        let in_doubt = band.is_doubted();
        let is_doubtful = confidence == BeatConfidence::CountInDoubt;
        band.doubtful = if is_doubtful { band.doubtful.saturating_add(1) } else { 0 };
        (band.metre, band.newest, band.confidence) = (metre, Some(beat), confidence);
        let anchor =
            Anchor { at: beat.at, pulse: beat.pulse, source: AnchorSource::Band, in_doubt };
        if confidence == BeatConfidence::Sure {
            anchor.append_to(&mut band.each);
        }
        if band.each.len() < 2 {
            return GridChange::None;
        }
        self.bend(metre, now, beat)
    }

    /// Sets how many taps of the band's count-in have come.
    pub fn count_in_band(&mut self, taps: usize) {
        if let Source::Band(band) = &mut self.source {
            band.counted_in = taps;
        }
    }

    fn bend(&mut self, metre: Metre, now: Second, beat: FollowedBeat) -> GridChange {
        match &mut self.line {
            None => {
                self.line = Some(LiveLine::through(metre, beat));
                GridChange::First
            }
            Some(line) => {
                line.bend(now, beat);
                GridChange::Bent
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

    /// The anchors in and around a take.
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

    /// The state of the beat.
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
                doubt: match band.confidence {
                    BeatConfidence::Sure => band.is_silent(now).then_some(BeatDoubt::Unheard),
                    BeatConfidence::Bridged => Some(BeatDoubt::Unheard),
                    BeatConfidence::CountInDoubt => band.is_doubted().then_some(BeatDoubt::Count),
                },
                last: None,
                counts: TapCounts::default(),
                from_band: true,
            },
        }
    }
}

/// Beats in a row with a doubtful count after which the panel says so and the take is marked: one alone is seldom
/// wrong. Origin: rendered bands along labelled solos of odd number. With time throughout it marks 17 of 18 takes
/// whose count goes wrong, and one in eleven of the others.
const DOUBTED_AFTER: u32 = 2;

/// Beats without a report after which the band is taken to have stopped.
const SILENT_AFTER: f64 = 4.0;

impl BandBeats {
    fn is_doubted(&self) -> bool {
        self.doubtful >= DOUBTED_AFTER
    }

    fn is_silent(&self, now: Second) -> bool {
        self.newest.is_some_and(|beat| (now - beat.at).0 > SILENT_AFTER * beat.period.0)
    }
}
