//! The features of a moment at which a note may begin: the sound around it, also relative to the player.

use super::history::History;
use super::novelty::PARTS;
use super::plateau::{APART, CLEAR, Plateau};
use super::player::Player;
use super::situation::Situation;

/// The number of features.
pub const FEATURES: usize =
    2 * NEW.len() + LOUD.len() + ALIKE.len() + CLEARLY.len() + 3 * PARTS + 23;

/// First and last hop, relative to the moment.
type Span = (i64, i64);

/// Spans of the novelty, the level, the agreement with the pitch of the possible note, and the clarity.
const NEW: [Span; 7] = [(-24, -13), (-12, -7), (-6, -4), (-3, -1), (0, 0), (1, 3), (4, 6)];
const LOUD: [Span; 15] = [
    (-24, -13),
    (-12, -9),
    (-8, -7),
    (-6, -5),
    (-4, -4),
    (-3, -3),
    (-2, -2),
    (-1, -1),
    (0, 0),
    (1, 1),
    (2, 2),
    (3, 3),
    (4, 4),
    (5, 5),
    (6, 7),
];
const ALIKE: [Span; 14] = [
    (-24, -13),
    (-12, -9),
    (-8, -7),
    (-6, -5),
    (-4, -4),
    (-3, -3),
    (-2, -2),
    (-1, -1),
    (0, 0),
    (1, 1),
    (2, 2),
    (3, 3),
    (4, 4),
    (5, 5),
];
const CLEARLY: [Span; 9] =
    [(-24, -13), (-12, -9), (-8, -7), (-6, -5), (-4, -3), (-2, -1), (0, 1), (2, 3), (4, 5)];

/// Spans in which the parts of the spectrum are compared: after the moment, before it, and long before it.
const AFTER: Span = (2, 6);
const BEFORE: Span = (-8, -3);
const LONG_AGO: Span = (-24, -10);

/// The first part with little but attacks and breath.
const HIGH: usize = PARTS / 2;

/// Longer times since an event count as this, in hops: 1.1 s.
const LONG: u64 = 200;

/// A moment and its context.
pub(super) struct Moment<'a> {
    pub history: &'a History,
    pub player: &'a Player,
    /// The hop.
    pub at: u64,
    pub situation: Situation,
    /// The pitch after it.
    pub after: Plateau,
    /// The pitch just before it, and of the current note.
    pub before: Option<f32>,
    pub sounding: Option<f32>,
    /// The hops of the last candidate and the last onset.
    pub last: (u64, u64),
    /// Whether it is a peak of novelty.
    pub is_peak: bool,
}

impl Moment<'_> {
    fn hops(&self, (from, to): Span) -> impl Iterator<Item = u64> + Clone {
        (from..=to).map(|by| self.at.saturating_add_signed(by))
    }

    /// The mean of `of` over the hops of a span.
    fn mean(&self, span: Span, of: impl Fn(u64) -> f32) -> f32 {
        let hops = self.hops(span);
        hops.clone().map(of).sum::<f32>() / super::real(hops.count().max(1))
    }

    fn max(&self, span: Span, of: impl Fn(u64) -> f32) -> f32 {
        self.hops(span).map(of).fold(f32::MIN, f32::max)
    }

    fn min(&self, span: Span, of: impl Fn(u64) -> f32) -> f32 {
        self.hops(span).map(of).fold(f32::MAX, f32::min)
    }

    /// All features, in the order that the weights are fitted to.
    pub(super) fn features(&self) -> [f32; FEATURES] {
        let (history, after) = (self.history, self.after);
        let high = |at| history.spectrum(at).new.iter().skip(HIGH).sum::<f32>();
        let high = |at| high(at) / super::real(PARTS - HIGH);
        let usual = self.player.usual();
        let loud = |at| (history.level(at) - usual).clamp(-45.0, 15.0) / 10.0;
        let clear = |at| history.key(at).1;
        let alike = |at| {
            let (key, clarity) = history.key(at);
            let is_alike = clarity > CLEAR && (key - after.key).abs() < APART;
            if is_alike { clarity } else { 0.0 }
        };
        let part = |index: usize, span| {
            let of = |at| history.spectrum(at).loud.get(index).copied().unwrap_or(0.0);
            self.mean(span, of)
        };
        let parts = (0..PARTS).flat_map(|index| {
            let now = part(index, AFTER);
            [now, now - part(index, BEFORE), now - part(index, LONG_AGO)]
        });
        let all = NEW
            .iter()
            .map(|span| log(self.max(*span, |at| history.novelty(at))))
            .chain(NEW.iter().map(|span| log(self.max(*span, high))))
            .chain(LOUD.iter().map(|span| self.mean(*span, loud)))
            .chain(ALIKE.iter().map(|span| self.mean(*span, alike)))
            .chain(CLEARLY.iter().map(|span| self.mean(*span, clear)))
            .chain(parts)
            .chain(self.relative_to_the_player());
        let mut features = [0.0; FEATURES];
        features.iter_mut().zip(all).for_each(|(to, from)| *to = from);
        features
    }

    fn relative_to_the_player(&self) -> [f32; 23] {
        let (history, player, after) = (self.history, self.player, self.after);
        let level = |at| history.level(at);
        let novelty = history.novelty(self.at);
        let past = self.mean((-16, 4), |at| history.novelty(at));
        let top = self.max((0, 6), level);
        let rise = top - self.min((-4, 0), level);
        let dip = self.max((-12, -3), level) - self.min((-3, 2), level);
        let from = self.sounding.or(self.before);
        let jump = from.map_or(0.0, |key| (key - after.key).abs());
        let is_octave = [12.0, 19.0, 24.0].iter().any(|octave: &f32| (octave - jump).abs() < 0.5);
        let moved = self.sounding.map_or(0.0, |key| key - after.key);
        let since = |then: u64| {
            // None so far.
            let hops = if then == 0 { LONG } else { self.at.saturating_sub(then).clamp(1, LONG) };
            super::real(usize::try_from(hops).unwrap_or(0))
        };
        let flag = |is: bool| if is { 1.0 } else { 0.0 };
        let brightness = history.spectrum(self.at.saturating_add(4)).brightness;
        [
            log(novelty) - log(past),
            rise.clamp(0.0, 40.0) / 10.0,
            (top - player.usual()).clamp(-40.0, 15.0) / 10.0,
            dip.clamp(0.0, 40.0) / 10.0,
            after.clarity,
            after.agree,
            after.spread.min(2.0),
            after.clarity - player.clarity(),
            (after.key - 60.0) / 12.0,
            player.familiar(after.key).ln(),
            jump.min(2.0),
            flag(is_octave),
            moved.clamp(-3.0, 3.0),
            moved.clamp(-3.0, 3.0).abs(),
            moved.clamp(-30.0, 30.0) / 10.0,
            since(self.last.0).ln(),
            since(self.last.1).ln(),
            flag(self.is_peak),
            log(novelty) - player.attack(),
            (brightness - player.brightness()).abs().min(0.3) * 10.0,
            flag(self.situation == Situation::Rest),
            flag(self.situation == Situation::Moved),
            flag(self.situation == Situation::Same),
        ]
    }
}

/// The logarithm of a novelty, bounded below.
pub(super) fn log(novelty: f32) -> f32 {
    (novelty + 0.001).ln()
}
