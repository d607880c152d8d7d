//! Adds notes to the current pass, or to those without a beat grid.

use super::Session;
use crate::input::event::{Event, NoteOff, NoteOn, Renamed};
use crate::take::settings::Melody;
use crate::time::{Beat, Moment, Second};

/// A note this close before a loop's end belongs to the next time round: hosts deliver its first note
/// up to this much early. In beats.
const EARLY_AFTER_LOOP: f64 = 0.002;

impl Session {
    pub(super) fn note_on(&mut self, on: &NoteOn) {
        let hearing = self.settings.hearing;
        let (channel, key) = on.channel_and_key();
        let moment = self.moment(on.at, on.beat);
        let is_followed = !self.only_whole && !self.is_behind();
        match &mut self.pass {
            Some(pass) => {
                let performance = pass.take.performance_mut();
                performance.line_for(&hearing, key, channel).note_on(on, moment);
                if is_followed {
                    pass.analyser.follow(performance);
                }
            }
            None => self.loose.line_for(&hearing, key, channel).note_on(on, moment),
        }
    }

    pub(super) fn note_off(&mut self, off: &NoteOff) {
        let hearing = self.settings.hearing;
        let moment = self.moment(off.at, off.beat);
        let performance = self.pass.as_mut().map_or(&mut self.loose, |p| p.take.performance_mut());
        match (off.key, off.channel) {
            (Some(key), Some(channel)) => {
                performance.line_for(&hearing, key, channel).note_off(off, moment);
            }
            _ => {
                performance.soloist.note_off(off, moment);
                performance.ignored.note_off(off, moment);
            }
        }
    }

    pub(super) fn rename(&mut self, renamed: &Renamed) {
        let hearing = self.settings.hearing;
        let (channel, key) = renamed.pitch;
        let performance = self.pass.as_mut().map_or(&mut self.loose, |p| p.take.performance_mut());
        performance.line_for(&hearing, key, channel).rename(renamed.pitch, renamed.key);
    }

    /// The notes before `entry` were bleed: they are stored but ignored, unless every note is wanted.
    pub(super) fn ignore_before(&mut self, entry: Second) {
        if self.settings.melody == Melody::All {
            return;
        }
        let hearing = self.settings.hearing;
        let performance = self.pass.as_mut().map_or(&mut self.loose, |p| p.take.performance_mut());
        if performance.silence_before(entry) {
            performance.apply_hearing(&hearing);
            self.analyse_again();
        }
    }

    /// The beat is the stamped one on the host's grid, else it comes from the tempo map of the pass.
    fn moment(&self, at: Second, stamped: Option<Beat>) -> Moment {
        let pass = self.pass.as_ref().map(|pass| &pass.take.performance);
        let by_map = || pass.and_then(|take| take.tempo.beat_at(at));
        let stamped = stamped.filter(|_| pass.is_none_or(|take| take.own_grid.is_none()));
        Moment { beat: stamped.or_else(by_map).unwrap_or_default(), second: at }
    }

    /// The host's beat.
    fn host_beat(&self, at: Second, stamped: Option<Beat>) -> Beat {
        let pass = self.pass.as_ref().map(|pass| &pass.take.performance);
        let by_map = || pass.and_then(|take| take.host_tempo().beat_at(at));
        stamped.or_else(by_map).unwrap_or_default()
    }

    pub(super) fn belongs_to_next_loop(&self, event: &Event) -> bool {
        if !self.held_back.is_empty() {
            return true;
        }
        let (Some((_, end)), Event::On(on), Some(pass)) = (self.cycle, event, &self.pass) else {
            return false;
        };
        let began_inside =
            pass.take.performance.host_tempo().knots().last().is_some_and(|k| k.beat.0 < end.0);
        let beat = self.host_beat(on.at, on.beat);
        began_inside && beat.0 >= end.0 - EARLY_AFTER_LOOP
    }

    /// Replays the notes that were held back. Where `moved` gives another time for theirs, they get it, and
    /// the beat that the new pass has then.
    pub(super) fn release(&mut self, moved: impl Fn(Second) -> Option<Second>) {
        for event in core::mem::take(&mut self.held_back) {
            match event {
                Event::On(mut on) => {
                    if let Some(second) = moved(on.at) {
                        (on.at, on.beat) = (second, None);
                    }
                    self.note_on(&on);
                }
                Event::Off(mut off) => {
                    if let Some(second) = moved(off.at) {
                        (off.at, off.beat) = (second, None);
                    }
                    self.note_off(&off);
                }
                Event::Renamed(mut renamed) => {
                    renamed.at = moved(renamed.at).unwrap_or(renamed.at);
                    self.rename(&renamed);
                }
                Event::SoloistEntered(entered) => self.ignore_before(entered.entry),
                Event::Transport(_) | Event::Tap(_) => {}
            }
        }
    }
}
