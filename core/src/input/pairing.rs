//! Pairs note-ons with note-offs. Notes are in order of onset, then key, then channel. Simultaneous
//! events may arrive in any order with the same result, and no note is lost.

use crate::input::event::{NoteOff, NoteOn};
use crate::input::note::{Note, Oddities};
use crate::stats::vec_growth::reserve_one;
use crate::time::{Beat, Moment, Second};

/// The lowest velocity of a note that was played: a MIDI velocity of 1. A velocity of 0 marks bleed.
const SOFTEST: f32 = 1.0 / 127.0;

/// A growing list of notes.
#[derive(Debug, Clone, Default)]
pub struct NoteLine {
    notes: Vec<Note>,
    oddities: Oddities,
    sounding: Vec<Sounding>,
    /// Keys whose note was cut off: their note-off is still to come and not stray.
    cut: Vec<(u8, u8)>,
    /// The latest moment and its events, which may come in any order.
    at: Second,
    struck_again: Vec<(u8, u8)>,
    strays: Vec<(u8, u8)>,
    /// How many of the first notes are unchanged since they were last copied.
    copied: usize,
}

#[derive(Debug, Clone, Copy)]
struct Sounding {
    channel: u8,
    key: u8,
    note: usize,
}

/// Why sounding notes are cut off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    /// The transport stopped.
    Stop,
    /// The transport jumped or looped.
    Jump,
    /// The performance is over: their ends stay unknown.
    End,
}

impl NoteLine {
    /// A line of these notes, in any order. Those without an end still sound.
    pub fn of(mut notes: Vec<Note>, oddities: Oddities) -> Self {
        let order = |a: &Note, b: &Note| {
            let (earlier, later) = (a.on.second.0, b.on.second.0);
            earlier.total_cmp(&later).then((a.key, a.channel).cmp(&(b.key, b.channel)))
        };
        // Sorting needs half as much memory again, and most lists are sorted already.
        if !notes.is_sorted_by(|a, b| order(a, b).is_le()) {
            notes.sort_by(order);
        }
        notes.shrink_to_fit();
        let sounding = notes
            .iter()
            .enumerate()
            .filter(|(_, n)| n.off.is_none())
            .map(|(note, n)| Sounding { channel: n.channel, key: n.key, note })
            .collect();
        let at =
            notes.iter().map(|n| n.off.unwrap_or(n.on).second).fold(Second(0.0), Second::later);
        Self { notes, oddities, sounding, at, ..Self::default() }
    }

    /// The notes so far.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Updates `copy`, which is empty or was only ever written by this method, by at most `limit`
    /// notes. Returns whether it is complete.
    pub fn update_copy(&mut self, copy: &mut Self, limit: usize) -> bool {
        let same = self.copied.min(copy.notes.len());
        let changed = self.notes.get(same..).unwrap_or_default();
        let now = changed.get(..limit).unwrap_or(changed);
        copy.notes.truncate(same);
        copy.notes.extend_from_slice(now);
        copy.oddities = self.oddities;
        self.copied = copy.notes.len();
        self.copied == self.notes.len()
    }

    /// Reserves capacity for `more` notes.
    pub fn reserve(&mut self, more: usize) {
        self.notes.reserve(more);
    }

    /// The MIDI glitches so far.
    pub fn oddities(&self) -> &Oddities {
        &self.oddities
    }

    /// Adds a note-on at `moment`.
    pub fn note_on(&mut self, on: &NoteOn, moment: Moment) {
        let moment = self.in_order(moment);
        if on.key.is_none() || on.channel.is_none() {
            bump(&mut self.oddities.wildcard_on);
        }
        let pitch = on.channel_and_key();
        let (channel, key) = pitch;
        if on.velocity <= 0.0 && self.sounding.iter().any(|s| s.is(pitch)) {
            bump(&mut self.oddities.velocity_zero_off);
            self.end_where(moment, |s| s.is(pitch));
            return;
        }
        self.cut.retain(|c| *c != pitch);
        if self.end_where(moment, |s| s.is(pitch)) > 0 {
            bump(&mut self.oddities.repeated_on);
            self.struck_again.push(pitch);
        }
        let note = self.insert(Note {
            on: moment,
            off: None,
            key,
            channel,
            #[expect(clippy::manual_clamp, reason = "`clamp` keeps NaN")]
            velocity: on.velocity.max(SOFTEST).min(1.0),
        });
        if take(&mut self.strays, pitch) {
            // Its note-off arrived first, at the same moment.
            self.oddities.stray_off = self.oddities.stray_off.saturating_sub(1);
            bump(&mut self.oddities.no_length);
            self.end_note(note, moment);
        } else {
            self.sounding.push(Sounding { channel, key, note });
        }
    }

    /// Adds a note-off at `moment`.
    pub fn note_off(&mut self, off: &NoteOff, moment: Moment) {
        let moment = self.in_order(moment);
        let (Some(key), Some(channel)) = (off.key, off.channel) else {
            bump(&mut self.oddities.wildcard_off);
            self.cut.retain(|(c, k)| !fits(off, *c, *k));
            self.end_where(moment, |s| fits(off, s.channel, s.key));
            return;
        };
        let pitch = (channel.min(15), key.min(127));
        if take(&mut self.struck_again, pitch) {
            // It belongs to the older note, which the newer one has ended already.
            self.oddities.repeated_on = self.oddities.repeated_on.saturating_sub(1);
            return;
        }
        let began_now = self
            .sounding
            .iter()
            .any(|s| s.is(pitch) && self.notes.get(s.note).is_some_and(|n| n.on == moment));
        if self.end_where(moment, |s| s.is(pitch)) > 0 {
            if began_now {
                bump(&mut self.oddities.no_length);
            }
        } else if !take(&mut self.cut, pitch) {
            bump(&mut self.oddities.stray_off);
            self.strays.push(pitch);
        }
    }

    /// Gives the note that sounds at `pitch` (channel and key) another key. Its note-off keeps the old one.
    pub fn rename(&mut self, pitch: (u8, u8), key: u8) {
        let Some(found) = self.sounding.iter().find(|s| s.is(pitch)) else { return };
        if let Some(note) = self.notes.get_mut(found.note) {
            note.key = key.min(127);
            self.copied = self.copied.min(found.note);
        }
    }

    /// Marks all notes that began before `second` as bleed, with a velocity of 0. Returns whether there are any.
    pub fn silence_before(&mut self, second: Second) -> bool {
        let before = self.notes.partition_point(|note| note.on.second < second);
        for note in self.notes.iter_mut().take(before) {
            note.velocity = 0.0;
        }
        self.copied = 0;
        before > 0
    }

    /// Ends every sounding note at `moment`. At [`Cut::End`] their ends stay unknown and the moment is
    /// ignored.
    pub fn cut(&mut self, why: Cut, moment: Moment) {
        let moment = if why == Cut::End { moment } else { self.in_order(moment) };
        for sounding in core::mem::take(&mut self.sounding) {
            let count = match why {
                Cut::Stop => &mut self.oddities.cut_at_stop,
                Cut::Jump => &mut self.oddities.cut_at_jump,
                Cut::End => &mut self.oddities.never_ended,
            };
            bump(count);
            if why != Cut::End {
                self.end_note(sounding.note, moment);
            }
            self.cut.push((sounding.channel, sounding.key));
        }
    }

    /// Keys whose note-off is still to come after a [`NoteLine::cut`], for the next line.
    pub fn hand_over_cut(&mut self) -> Vec<(u8, u8)> {
        core::mem::take(&mut self.cut)
    }

    /// Releases unused capacity once the line is over.
    pub fn shrink_to_fit(&mut self) {
        self.notes.shrink_to_fit();
    }

    /// Takes over what [`NoteLine::hand_over_cut`] gave.
    pub fn expect_offs(&mut self, cut: Vec<(u8, u8)>) {
        self.cut = cut;
    }

    /// Computes the beat of every note-on and note-off from `from` on again. Returns the index of the
    /// first note touched, if any.
    pub fn restamp(
        &mut self,
        from: Second,
        beat_at: impl Fn(Second) -> Option<Beat>,
    ) -> Option<usize> {
        if self.at < from {
            return None;
        }
        let first = self.notes.partition_point(|n| n.on.second < from);
        // Earlier notes may have ended since; at most this many sound together.
        let back = first.saturating_sub(16);
        let mut touched = None;
        for (index, note) in self.notes.iter_mut().enumerate().skip(back) {
            for moment in [Some(&mut note.on), note.off.as_mut()].into_iter().flatten() {
                if moment.second >= from
                    && let Some(beat) = beat_at(moment.second)
                {
                    moment.beat = beat;
                    self.copied = self.copied.min(index);
                    touched = touched.or(Some(index));
                }
            }
        }
        touched
    }

    fn in_order(&mut self, moment: Moment) -> Moment {
        if moment.second > self.at {
            self.at = moment.second;
            self.struck_again.clear();
            self.strays.clear();
            return moment;
        }
        if moment.second < self.at && !self.notes.is_empty() {
            bump(&mut self.oddities.out_of_order);
            let latest = self.notes.last().map_or(moment.beat, |n| n.on.beat);
            return Moment { second: self.at, beat: latest.later(moment.beat) };
        }
        self.at = moment.second;
        moment
    }

    fn insert(&mut self, note: Note) -> usize {
        let order = |n: &Note| (n.key, n.channel);
        let mut index = self.notes.len();
        while let Some(before) = index.checked_sub(1).and_then(|p| self.notes.get(p)) {
            if before.on.second < note.on.second || order(before) <= order(&note) {
                break;
            }
            index -= 1;
        }
        reserve_one(&mut self.notes);
        self.notes.insert(index, note);
        self.copied = self.copied.min(index);
        for sounding in &mut self.sounding {
            if sounding.note >= index {
                sounding.note += 1;
            }
        }
        index
    }

    fn end_where(&mut self, moment: Moment, fits: impl Fn(&Sounding) -> bool) -> usize {
        let ended: Vec<Sounding> = self.sounding.extract_if(.., |s| fits(s)).collect();
        ended.iter().for_each(|sounding| self.end_note(sounding.note, moment));
        ended.len()
    }

    fn end_note(&mut self, note: usize, moment: Moment) {
        self.copied = self.copied.min(note);
        if let Some(note) = self.notes.get_mut(note) {
            note.off = Some(moment);
        }
    }
}

impl Sounding {
    fn is(&self, (channel, key): (u8, u8)) -> bool {
        self.channel == channel && self.key == key
    }
}

fn fits(off: &NoteOff, channel: u8, key: u8) -> bool {
    off.channel.is_none_or(|c| c == channel) && off.key.is_none_or(|k| k == key)
}

fn take(list: &mut Vec<(u8, u8)>, pitch: (u8, u8)) -> bool {
    let found = list.iter().position(|p| *p == pitch);
    if let Some(found) = found {
        list.swap_remove(found);
    }
    found.is_some()
}

fn bump(count: &mut u32) {
    *count = count.saturating_add(1);
}

#[cfg(test)]
mod tests;
