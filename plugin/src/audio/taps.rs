//! Taps of the beat: which events are taps, and the song position that follows from taps or from the band.

use crate::audio::headline::Headline;
use nice_plug::prelude::NoteEvent;
use overbar_core::grid::live_line::LiveLine;
use overbar_core::practice::metronome::Block;
use overbar_core::time::{Beat, Second, SecondSpan, Tempo};

/// While the click catches up with the taps, its tempo stays within this factor of theirs. Origin: the limit
/// for bending a line of taps.
const LARGEST_BEND: f64 = 2.0;

/// What counts as a tap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TapSettings {
    /// Whether the beat comes from taps.
    pub on: bool,
    /// The tap note: its key, and its channel or any.
    pub note: Option<(u8, Option<u8>)>,
    /// The tap parameter is on.
    pub pressed: bool,
}

/// The current beat source, sent by the worker.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum BeatNow {
    /// The host.
    #[default]
    Host,
    /// Taps or the band, before the first beat.
    Waiting,
    /// Taps or the band.
    Own {
        /// The song position as a function of time.
        line: LiveLine,
        /// A beat at which a bar begins.
        bar_line: Beat,
    },
}

/// Detects taps.
#[derive(Debug, Default)]
pub struct Taps {
    settings: TapSettings,
    /// Whether the tap parameter was on in the previous block.
    was_pressed: bool,
    /// Presses of the panel's button counted so far.
    seen: u32,
}

impl Taps {
    /// Begins a block; returns whether it begins with a tap.
    pub fn begin_block(&mut self, settings: TapSettings, headline: &Headline) -> bool {
        let presses = headline.tap_presses();
        let pressed = (settings.pressed && !self.was_pressed) || presses != self.seen;
        (self.settings, self.was_pressed, self.seen) = (settings, settings.pressed, presses);
        settings.on && pressed
    }

    /// Whether the event belongs to the tap note and must not sound.
    pub fn takes<S>(&self, event: &NoteEvent<S>) -> bool {
        let Some((tap_key, tap_channel)) = self.settings.note.filter(|_| self.settings.on) else {
            return false;
        };
        let (key, channel) = match event {
            NoteEvent::NoteOn { key, channel, .. }
            | NoteEvent::NoteOff { key, channel, .. }
            | NoteEvent::Choke { key, channel, .. }
            | NoteEvent::PolyPressure { key, channel, .. } => (key.number(), channel.number()),
            _ => return false,
        };
        key == Some(tap_key) && tap_channel.is_none_or(|tap| channel == Some(tap))
    }
}

/// The song position from block to block, for the click: it never jumps to a reported beat, but speeds up or
/// slows down until it reaches it.
#[derive(Debug, Default)]
pub struct OwnClick {
    due: Option<Beat>,
}

impl OwnClick {
    /// The beats from the block's start to its end; `None` before the count-in is over or while the song is
    /// stopped.
    pub fn block(
        &mut self,
        now: &BeatNow,
        (from, to): (Second, Second),
        sample_rate: f64,
    ) -> Option<Block> {
        let BeatNow::Own { line, bar_line } = now else {
            self.due = None;
            return None;
        };
        let length = to - from;
        let steady = line.tempo_at(to).quarters_a_minute();
        let beat = self.due.unwrap_or(line.beat_at(from));
        let wanted = (line.beat_at(to) - beat).0 * 60.0 / length.0;
        let bounds = steady / LARGEST_BEND..=steady * LARGEST_BEND;
        let tempo = Tempo::new(wanted.max(*bounds.start()).min(*bounds.end()))?;
        self.due = Some(beat + tempo.beats(SecondSpan(length.0)));
        let beat = Beat(0.0) + (beat - *bar_line);
        Some(Block { beat, tempo, metre: line.metre(), sample_rate })
    }

    /// The song has stopped.
    pub fn stop(&mut self) {
        self.due = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nice_plug::midi::{Channel, Key, VoiceID};
    use overbar_core::grid::PulseNumber;
    use overbar_core::grid::follower::FollowedBeat;
    use overbar_core::time::metre::Metre;

    fn on(key: u8, channel: u8) -> NoteEvent<()> {
        let (key, channel) = (Key::Number(key), Channel::Number(channel));
        NoteEvent::NoteOn { timing: 0, voice_id: VoiceID::Wildcard, channel, key, velocity: 0.5 }
    }

    #[test]
    fn a_press_is_one_tap_and_the_note_is_not_played() {
        let headline = Headline::default();
        let mut taps = Taps::default();
        let held = TapSettings { on: true, note: Some((36, Some(9))), pressed: true };
        let loose = TapSettings { pressed: false, ..held };
        let begins = |taps: &mut Taps, settings| taps.begin_block(settings, &headline);
        assert!(begins(&mut taps, held) && !begins(&mut taps, held) && !begins(&mut taps, loose));
        headline.press_tap();
        assert!(begins(&mut taps, loose) && !begins(&mut taps, loose));
        assert!(taps.takes(&on(36, 9)) && !taps.takes(&on(36, 0)) && !taps.takes(&on(37, 9)));
        // Presses do not count while the beat comes from the host, nor all at once afterwards.
        headline.press_tap();
        assert!(!begins(&mut taps, TapSettings { on: false, ..held }));
        assert!(!taps.takes(&on(36, 9)) && !begins(&mut taps, held));
    }

    #[test]
    fn the_click_never_jumps_to_a_tap() {
        let beat = |at: f64, period: f64| FollowedBeat {
            pulse: PulseNumber(0),
            at: Second(at),
            period: SecondSpan(period),
        };
        let mut line = LiveLine::through(Metre::COMMON, beat(0.0, 0.5));
        let mut click = OwnClick::default();
        let mut due = None;
        for block in 0..200_i32 {
            let (from, to) = (f64::from(block) * 0.01, f64::from(block + 1) * 0.01);
            if block == 50 {
                // Reported late: the tap was 60 ms before.
                line.bend(Second(0.44), beat(-0.05, 0.48));
            }
            let now = BeatNow::Own { line, bar_line: Beat(0.0) };
            let got = click.block(&now, (Second(from), Second(to)), 48_000.0).unwrap();
            assert!(due.is_none_or(|due: Beat| (due - got.beat).0.abs() < 1e-9));
            due = Some(got.beat + got.tempo.beats(SecondSpan(0.01)));
        }
        let end = line.beat_at(Second(2.0));
        assert!((due.unwrap() - end).0.abs() < 1e-9, "it is with the taps again");
        assert_eq!(click.block(&BeatNow::Waiting, (Second(2.0), Second(2.01)), 48_000.0), None);
    }
}
