//! Turns samples at the analysis rate into note events.

use super::attack;
use super::candidates::{Candidate, LOOK_AHEAD, candidate};
use super::clarity::Clarity;
use super::entry::SoloistEntry;
use super::high_pass::HighPass;
use super::history::{History, Hop, PITCH_LATE};
use super::instrument::{Instrument, TrackerSettings};
use super::level::Level;
use super::note::{HeardNote, NoteEvent};
use super::novelty::{self, Novelty};
use super::pitch::{self, PitchFinder};
use super::plateau::{APART, CLEAR, Plateau};
use super::player::{Player, Timbre};
use super::situation::Situation;
use super::sounding::Sounding;
use super::whole_pitch::WholePitch;
use super::{HOP, HOP_SECONDS, features, network};
use crate::time::Second;

/// Hops after its onset at which a note stands: 59 ms.
const STANDS: u64 = 11;

/// Hops after its onset in which the pitch is still that of the attack: 16 ms.
const ATTACK: u64 = 3;

/// Hops after which all events of a sound have been reported.
pub(super) const ALL_REPORTED: u64 = LOOK_AHEAD + STANDS;

/// A note ends when its level has been this far lower, in dB, for so many hops: 32 ms.
const FALL: f32 = 10.0;
const FALLEN: u64 = 5;

/// It also ends this far below the player's usual level, in dB.
const SILENCE: f32 = 32.0;

/// Hops after an onset within which a note reaches its maximum level: 32 ms.
const LOUDEST: u64 = 6;

/// If the removed band was this much louder than the rest, in dB, the rest is a residue of the band. Origin:
/// half of the 14 dB that `bleed` removes at most.
const REST_OF_A_BAND: f32 = 7.0;

/// The least distance of two onsets, in seconds: at one pitch, and at different ones. Origin: rendered solos.
const REPEATED: f64 = 0.05;
const CHANGED: f64 = 0.037;

/// Hops before the newest that give the pitch.
const LATEST: u64 = 2;

/// See the module.
pub(super) struct Ear {
    /// The delay of the samples, in seconds.
    delay: f64,
    high_pass: HighPass,
    /// The same filter for the removed band, its newest hop and the level of that.
    taken_high_pass: HighPass,
    taken: [f32; HOP],
    taken_level: Level,
    novelty: Novelty,
    pitch: PitchFinder,
    level: Level,
    /// The newest samples for `novelty`, and the same after the high-pass filter.
    heard: Vec<f32>,
    filtered: Vec<f32>,
    /// Samples of the next hop so far.
    filled: usize,
    history: History,
    player: Player,
    entry: SoloistEntry,
    instrument: Instrument,
    lowest: f32,
    sounding: Option<Sounding>,
    /// The hop of the last candidate, and of the last onset.
    last: (u64, u64),
    /// No note begins before this.
    free_from: f64,
    notes: u32,
    clarity: Clarity,
}

impl Ear {
    /// For samples that are `delay` seconds late.
    pub(super) fn new(delay: f64, settings: &TrackerSettings) -> Self {
        let lowest = hertz(f32::from(settings.instrument.lowest_key()));
        Self {
            delay,
            high_pass: HighPass::at(lowest * 0.8),
            taken_high_pass: HighPass::at(lowest * 0.8),
            taken: [0.0; HOP],
            taken_level: Level::default(),
            novelty: Novelty::new(),
            pitch: PitchFinder::new(),
            level: Level::default(),
            heard: vec![0.0; novelty::LENGTH],
            filtered: vec![0.0; pitch::SPAN],
            filled: 0,
            history: History::new(),
            player: Player::new(settings),
            entry: SoloistEntry::default(),
            instrument: settings.instrument,
            lowest,
            sounding: None,
            last: (0, 0),
            free_from: 0.0,
            notes: 0,
            clarity: Clarity::default(),
        }
    }

    /// Ends the current note at the end of the sound.
    pub(super) fn finish(&mut self, on_event: &mut impl FnMut(NoteEvent)) {
        let end = self.second(self.history.count());
        self.end(end, on_event);
    }

    /// The estimated tuning of the player, in Hz.
    pub(super) fn tuning(&self) -> f64 {
        440.0 * (f64::from(self.player.tuning.cents()) / 1_200.0).exp2()
    }

    /// Later events concern only notes from this time on, and the ends of notes that already stand.
    pub(super) fn settled_until(&self) -> Second {
        let next = self.history.count().saturating_sub(LOOK_AHEAD);
        let earliest = self.second(next) - attack::FARTHEST;
        let open = self.sounding.filter(|sounding| !sounding.stands);
        Second(open.map_or(earliest, |sounding| earliest.min(sounding.note.onset.0)))
    }

    /// The mean clarity of the pitches in the last seconds, from 0 to 1; `None` in silence.
    pub(super) fn clarity(&self) -> Option<f32> {
        self.clarity.mean()
    }

    /// Processes a sample and the band that was removed from it. Calls `on_event` for each change of a note, and
    /// `on_candidate` for each moment at which a note may begin.
    pub(super) fn take_in(
        &mut self,
        (sample, taken): (f32, f32),
        on_event: &mut impl FnMut(NoteEvent),
        on_candidate: &mut impl FnMut(&Candidate),
    ) {
        let filtered = self.high_pass.next(sample);
        for (window, value) in [(&mut self.heard, sample), (&mut self.filtered, filtered)] {
            let place = window.len() - HOP + self.filled;
            if let Some(kept) = window.get_mut(place) {
                *kept = value;
            }
        }
        if let Some(kept) = self.taken.get_mut(self.filled) {
            *kept = self.taken_high_pass.next(taken);
        }
        self.filled += 1;
        if self.filled == HOP {
            self.filled = 0;
            self.look(on_event, on_candidate);
            self.heard.copy_within(HOP.., 0);
            self.filtered.copy_within(HOP.., 0);
        }
    }

    /// Processes the newest hop.
    fn look(
        &mut self,
        on_event: &mut impl FnMut(NoteEvent),
        on_candidate: &mut impl FnMut(&Candidate),
    ) {
        let usual = 10.0_f32.powf(self.player.usual() / 20.0);
        let newest = self.filtered.get(pitch::SPAN - HOP..).unwrap_or_default();
        let (level, peaks) = self.level.next(newest);
        let pitch = self.pitch.next(&self.filtered, self.lowest);
        let spectrum = self.novelty.next(&self.heard, usual);
        let key = if pitch.hertz > 0.0 { 69.0 + 12.0 * (pitch.hertz / 440.0).log2() } else { 0.0 };
        let (taken, _) = self.taken_level.next(&self.taken);
        self.history.push(Hop { spectrum, level, taken, pitch, key, peaks });
        self.player.hear(level, taken);
        self.clarity.hear(level - self.player.usual(), pitch.clarity);
        let Some(at) = self.history.count().checked_sub(1 + LOOK_AHEAD) else { return };
        self.follow(at, on_event);
        let sounding = self.sounding.map(|sounding| sounding.key);
        let found = candidate(&self.history, &self.player, at, sounding, self.last);
        if let Some(mut found) = found.filter(|found| self.is_free(found)) {
            self.last.0 = at;
            found.likely = network::likely(&found.features);
            on_candidate(&found);
            if found.likely >= self.instrument.likely(found.situation) {
                self.begin(&found, on_event);
            }
        }
        self.revise(on_event);
    }

    /// Whether a note may begin there: not too soon after another, and not on a residue of the band.
    fn is_free(&self, found: &Candidate) -> bool {
        let loudest = |of: fn(&History, u64) -> f32| {
            (found.at..=found.at + LOUDEST).map(|at| of(&self.history, at)).fold(-120.0, f32::max)
        };
        let is_band = loudest(History::taken) > loudest(History::level) + REST_OF_A_BAND;
        let is_apart = self.notes == 0 || found.at >= self.last.1 + self.instrument.shortest();
        is_apart && !is_band
    }

    /// Ends the current note if it is over at hop `at`.
    fn follow(&mut self, at: u64, on_event: &mut impl FnMut(NoteEvent)) {
        let decay = self.instrument.decay() * super::single(HOP_SECONDS);
        let (history, usual) = (&self.history, self.player.usual());
        let Some(sounding) = &mut self.sounding else { return };
        if at <= sounding.at + 2 {
            return;
        }
        sounding.level = (sounding.level - decay).max(history.level(at));
        let (key, clarity) = history.key(at);
        if clarity > CLEAR {
            if (key - sounding.key).abs() < APART {
                sounding.key += 0.05 * (key - sounding.key);
            }
            if at > sounding.at + ATTACK {
                sounding.whole.hear(key);
            }
        }
        let floor = (sounding.level - FALL).max(usual - SILENCE);
        if (at..=at + FALLEN).all(|later| history.level(later) < floor) {
            let end = self.second(at);
            self.end(end, on_event);
        }
    }

    fn end(&mut self, end: f64, on_event: &mut impl FnMut(NoteEvent)) {
        let Some(mut sounding) = self.sounding.take() else { return };
        let end = end.max(sounding.note.onset.0 + HOP_SECONDS);
        if !sounding.stands {
            self.player.learn(sounding.note.level, sounding.key, sounding.timbre);
            self.stands(sounding.note, on_event);
        }
        sounding.note.end = Some(Second(end));
        if let Some(key) = sounding.whole.key() {
            (sounding.note.key, sounding.note.cents) = self.player.tuning.name(key);
        }
        on_event(NoteEvent::Ended(sounding.note));
        self.free_from = end;
    }

    /// Whether the current note began with this attack: a soft one rises in two steps, and both have one date.
    fn is_same_attack(&self, found: &Candidate, onset: f64) -> bool {
        let apart = if found.situation == Situation::Same { REPEATED } else { CHANGED };
        self.sounding.is_some_and(|sounding| onset < sounding.note.onset.0 + apart)
    }

    fn begin(&mut self, found: &Candidate, on_event: &mut impl FnMut(NoteEvent)) {
        let onset =
            attack::second(&self.history, (found.at, found.situation), LOOK_AHEAD) - self.delay;
        if self.is_same_attack(found, onset) {
            return;
        }
        self.end(onset, on_event);
        let onset = onset.max(self.free_from).max(0.0);
        let level =
            (found.at..=found.at + LOUDEST).map(|at| self.history.level(at)).fold(-120.0, f32::max);
        let loud = (level - self.player.usual()) / HeardNote::RANGE;
        let (key, cents) = self.player.tuning.name(found.key);
        let note = HeardNote {
            number: self.notes,
            onset: Second(onset),
            end: None,
            key,
            cents,
            level,
            velocity: (HeardNote::USUAL + loud).clamp(0.05, 1.0),
            confidence: found.likely,
        };
        self.notes += 1;
        self.last.1 = found.at;
        let timbre = Timbre {
            attack: features::log(self.history.novelty(found.at)),
            clarity: found.clarity,
            brightness: self.history.spectrum(found.at + 4).brightness,
        };
        let (at, key) = (found.at, found.key);
        self.sounding = Some(Sounding {
            note,
            at,
            situation: found.situation,
            key,
            stands: false,
            whole: WholePitch::new(key),
            level,
            timbre,
        });
        on_event(NoteEvent::Began(note));
    }

    /// Revises the pitch from all known hops, until the note stands.
    fn revise(&mut self, on_event: &mut impl FnMut(NoteEvent)) {
        let newest = self.history.count().saturating_sub(1);
        let Some(Sounding { at, situation, key, stands: false, mut note, timbre, .. }) =
            self.sounding
        else {
            return;
        };
        let known = newest.saturating_sub(PITCH_LATE);
        // The newest hops contain the least of the previous note.
        let from = known.saturating_sub(LATEST).max(at + 2);
        let key = Plateau::of(&self.history, from, known).map_or(key, |plateau| plateau.key);
        let before = note.key;
        (note.key, note.cents) = self.player.tuning.name(key);
        let stands = newest >= at + STANDS;
        if stands {
            // The peak of a soft attack is known only now, and dates it later.
            let onset = attack::second(&self.history, (at, situation), STANDS) - self.delay;
            note.onset = Second(onset.max(note.onset.0));
        }
        if let Some(sounding) = &mut self.sounding {
            (sounding.key, sounding.note, sounding.stands) = (key, note, stands);
        }
        if stands {
            self.player.learn(note.level, key, timbre);
            self.stands(note, on_event);
        } else if note.key != before {
            on_event(NoteEvent::Revised(note));
        }
    }

    fn stands(&mut self, note: HeardNote, on_event: &mut impl FnMut(NoteEvent)) {
        on_event(NoteEvent::Stands(note));
        if let Some(entry) = self.entry.hear(&note) {
            on_event(NoteEvent::SoloistEntered(entry));
        }
    }

    /// The time of a hop.
    fn second(&self, hop: u64) -> f64 {
        super::seconds(hop) - self.delay
    }
}

/// A key at 440 Hz in Hz.
fn hertz(key: f32) -> f32 {
    440.0 * ((key - 69.0) / 12.0).exp2()
}
