//! Onset clusters: notes struck as one, without glitches.

use super::onset_cluster::{Graces, OnsetCluster};
use super::recent::Recent;
use super::role::NoteRole;
use crate::input::note::Note;
use arrayvec::ArrayVec;
use core::ops::Range;

/// Notes this close are struck as one, in seconds. Origin: chords on a keyboard spread over up to
/// 30 ms (Goebl 2001, from memory).
const CHORD: f64 = 0.030;

/// A strum lasts no longer than this, in seconds. Origin: common practice, no source.
const STRUM: f64 = 0.060;

/// A note shorter than this may be a glitch, in seconds. Origin: common practice, no source; at
/// 30 ms a trill would have 33 notes a second.
const GLITCH: f64 = 0.030;

/// A glitch is this close to the note it belongs to, in seconds, and on a key this close to it, in
/// semitones, or an octave away, which is a common error of pitch trackers.
const BESIDE: f64 = 0.050;
const NEAR_KEY: u8 = 2;
const OCTAVE: u8 = 12;

/// A glitch before its note has less than this part of its velocity; otherwise it is a grace note.
/// Origin: common practice, no source.
const SOFTER: f32 = 0.8;

/// A short note is alone with no other this close, in seconds: a string or a pad touched.
const ALONE: f64 = 0.15;

/// A short note below this part of the usual velocity is a glitch wherever it is.
/// Origin: common practice, no source.
const QUIET: f32 = 0.4;

/// A key struck again within this is one note, in seconds. Origin: no finger repeats a key 25
/// times a second.
const AGAIN: f64 = 0.040;

/// How many notes around one are examined, which bounds the cost for any input.
const AROUND: usize = 32;

/// A cluster depends on events up to this long after its first note, in seconds: the longest strum plus
/// the time in which ends of its notes count, rounded up.
pub(super) const SETTLED: f64 = 1.1;

/// What starts at a note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Found {
    /// Nothing: it was not meant.
    Glitch,
    /// The second trigger of this note.
    Again(usize),
    Cluster(OnsetCluster),
}

/// Finds what starts at note `first`. Every processed note gets a role: [`NoteRole::Glitch`], or
/// [`NoteRole::Under`] until it is found to be in the line. `roles` has those of all earlier notes.
pub(super) fn next_cluster(
    notes: &[Note],
    first: usize,
    roles: &mut Vec<NoteRole>,
    recent: &Recent,
) -> Found {
    let around = Around { notes, recent };
    if let Some(before) = around.struck_again(first, roles) {
        roles.push(NoteRole::Glitch);
        return Found::Again(before);
    }
    if around.is_glitch(first) {
        roles.push(NoteRole::Glitch);
        return Found::Glitch;
    }
    roles.push(NoteRole::Under);
    let mut members = Members::from_iter([first]);
    let mut next = first + 1;
    while !members.is_full() && next < first + 2 * AROUND {
        if !around.is_within(STRUM, first, next) {
            break;
        }
        if around.struck_again(next, roles).is_some() || around.is_glitch(next) {
            roles.push(NoteRole::Glitch);
        } else if around.joins(&members, next) {
            roles.push(NoteRole::Under);
            members.push(next);
        } else {
            break;
        }
        next += 1;
    }
    Found::Cluster(around.cluster(&members, next, roles))
}

/// Notes of a cluster.
type Members = ArrayVec<usize, AROUND>;

struct Around<'a> {
    notes: &'a [Note],
    recent: &'a Recent,
}

impl Around<'_> {
    fn on(&self, note: usize) -> f64 {
        self.notes.get(note).map_or(f64::INFINITY, |n| n.on.second.0)
    }

    /// How long a note sounds; without end while it does.
    fn length(&self, note: usize) -> f64 {
        let ended = self.notes.get(note).and_then(|n| Some((n.off?.second - n.on.second).0));
        ended.unwrap_or(f64::INFINITY)
    }

    fn sounds_at(&self, note: usize, second: f64) -> bool {
        self.on(note) + self.length(note) > second
    }

    fn is_within(&self, seconds: f64, before: usize, after: usize) -> bool {
        self.on(after) - self.on(before) <= seconds
    }

    fn is_same_key(&self, one: usize, other: usize) -> bool {
        let key = |note: usize| self.notes.get(note).map(|n| (n.key, n.channel));
        key(one) == key(other)
    }

    /// The earlier note of which this is a second trigger.
    fn struck_again(&self, note: usize, roles: &[NoteRole]) -> Option<usize> {
        let before = (note.saturating_sub(AROUND)..note).rev();
        before.take_while(|before| self.is_within(AGAIN, *before, note)).find(|before| {
            self.is_same_key(*before, note) && roles.get(*before) != Some(&NoteRole::Glitch)
        })
    }

    fn is_glitch(&self, note: usize) -> bool {
        if self.length(note) >= GLITCH || self.recent.mostly_long() == Some(false) {
            return false;
        }
        let (before, after) = self.around(note);
        let again =
            |other: &usize| self.is_within(AGAIN, note, *other) && self.is_same_key(note, *other);
        if after.clone().any(|other| again(&other)) {
            return false;
        }
        let alone = || {
            self.recent.mostly_long() == Some(true)
                && !before.clone().any(|other| self.is_within(ALONE, other, note))
                && !after.clone().any(|other| self.is_within(ALONE, note, other))
        };
        before.clone().any(|other| self.slips_off(other, note))
            || after.clone().any(|other| self.slips_to(note, other))
            || self.is_quiet(note)
            || alone()
    }

    /// Up to [`AROUND`] notes before and after one.
    fn around(&self, note: usize) -> (Range<usize>, Range<usize>) {
        let end = (note + 1 + AROUND).min(self.notes.len());
        (note.saturating_sub(AROUND)..note, note + 1..end)
    }

    /// Whether a short note slipped off a neighbouring key that sounds.
    fn slips_off(&self, sounding: usize, note: usize) -> bool {
        self.is_within(BESIDE, sounding, note)
            && self.is_long_beside(sounding, note)
            && self.sounds_at(sounding, self.on(note))
    }

    /// Whether a short note is a slip before the intended note.
    fn slips_to(&self, note: usize, meant: usize) -> bool {
        let velocity = |note: usize| self.notes.get(note).map_or(0.0, |n| n.velocity);
        self.is_within(BESIDE, note, meant)
            && self.is_long_beside(meant, note)
            && velocity(note) < SOFTER * velocity(meant)
    }

    fn is_long_beside(&self, other: usize, note: usize) -> bool {
        let key = |note: usize| self.notes.get(note).map_or(0, |n| n.key);
        let apart = key(other).abs_diff(key(note));
        self.length(other) >= GLITCH && (apart <= NEAR_KEY || apart == OCTAVE)
    }

    fn is_quiet(&self, note: usize) -> bool {
        let usual = self.recent.velocity();
        self.notes.get(note).zip(usual).is_some_and(|(note, usual)| note.velocity < QUIET * usual)
    }

    /// Whether `next` is struck with `members`: right after the first of them, or, in a strum, whose strings
    /// all ring on, right after the last.
    fn joins(&self, members: &[usize], next: usize) -> bool {
        let (Some(first), Some(last)) = (members.first(), members.last()) else { return false };
        let rings = |member: &usize| self.sounds_at(*member, self.on(next) + CHORD);
        self.is_within(CHORD, *first, next)
            || (self.is_within(CHORD, *last, next) && members.iter().all(rings))
    }

    /// Whether two notes end together. `None` while neither has ended, and if they end apart on different
    /// channels: a string's note ends when that string is struck again.
    fn end_together(&self, top: usize, next: usize) -> Option<bool> {
        let until = self.on(top) + RELEASED;
        let channel = |note: usize| self.notes.get(note).map(|n| n.channel);
        let end = |note: usize| Some(self.on(note) + self.length(note)).filter(|end| *end <= until);
        match (end(top), end(next)) {
            (Some(top), Some(next)) => Some((top - next).abs() <= RELEASE),
            (None, None) => None,
            _ => Some(false),
        }
        .filter(|together| *together || channel(top) == channel(next))
    }

    /// The cluster of `members`; there is at least one.
    fn cluster(&self, members: &[usize], next: usize, roles: &[NoteRole]) -> OnsetCluster {
        let first = members.first().copied().unwrap_or_default();
        let last = members.last().copied().unwrap_or(first);
        // Held on for 30 ms or half its length: a legato run overlaps less.
        let is_held = |member: &usize| {
            self.is_within(0.0, *member, last)
                || self.sounds_at(*member, self.on(last) + CHORD.min(0.5 * self.length(*member)))
        };
        let mut held: Members = members.iter().copied().filter(is_held).collect();
        let over = members.iter().copied().filter(|member| !is_held(member));
        let key = |note: usize| self.notes.get(note).map_or(0, |n| n.key);
        let top = held.iter().copied().max_by_key(|note| key(*note)).unwrap_or(last);
        held.sort_unstable_by_key(|note| core::cmp::Reverse(key(*note)));
        let mut above = None;
        held.retain(|note| above.replace(key(*note)) != Some(key(*note)));
        let sorted = held.as_slice();
        let gap = |(above, below): (&usize, &usize)| (key(*above) - key(*below), *below);
        let gaps = sorted.iter().zip(sorted.iter().skip(1)).map(gap);
        let lower_hand = gaps.max_by_key(|(gap, _)| *gap).filter(|(gap, _)| *gap >= FIFTH);
        let above = |lower: usize| sorted.iter().take_while(|note| **note != lower).count();
        let ends_together = sorted.get(1).and_then(|next| self.end_together(top, *next));
        let upper = match (ends_together, lower_hand) {
            (Some(false), _) => 1,
            (_, Some((_, lower))) => above(lower),
            (_, None) => sorted.len(),
        };
        let again = (top + 1..next).rev().find(|note| {
            self.is_same_key(*note, top) && roles.get(*note) == Some(&NoteRole::Glitch)
        });
        OnsetCluster {
            first,
            next,
            top,
            held: again.unwrap_or(top),
            graces: Graces::of(first, over),
            size: u8::try_from(sorted.len()).unwrap_or(u8::MAX),
            span: sorted.first().zip(sorted.last()).map_or(0, |(high, low)| key(*high) - key(*low)),
            lower_hand: lower_hand.map(|(_, note)| note),
            upper_size: u8::try_from(upper).unwrap_or(u8::MAX),
            ends_together,
        }
    }
}

/// Notes released by one hand end this close together, in seconds; it counts only within this time of
/// their attack. Origin of both: common practice, no source.
const RELEASE: f64 = 0.025;
const RELEASED: f64 = 1.0;

/// Hands are at least this far apart, in semitones. Origin: common practice, no source.
const FIFTH: u8 = 7;
