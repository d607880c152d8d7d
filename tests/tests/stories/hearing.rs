//! What a user hears of a comp and of takes, while the host is stopped, against the exported MIDI.

use crate::desk::Desk;
use overbar::command::Command;
use overbar::view_model::hear::{HearRequest, HearWhat};
use overbar_tests::host::{EventKind, Host, Player};
use overbar_tests::live;
use overbar_tests::song::Song;
use std::path::Path;
use std::time::{Duration, Instant};

/// A note's attack, in quarters from the song's start, and its key.
pub type Attack = (f64, u8);

/// The longest that is listened, in blocks of [`FRAMES`]: a minute and a half.
const MAX_BLOCKS: usize = 9_000;
const FRAMES: usize = 480;

impl Desk {
    /// Attacks of what is heard in seconds from the first, to its end. Nothing hangs then.
    fn hears(&mut self, what: HearWhat) -> Vec<Attack> {
        let called = "what is asked for".to_owned();
        self.shared.panel.send(Command::Hear(Box::new(HearRequest { what, called })));
        let hear = self.shared.clone();
        let is_on = move || hear.publisher.hear.view(false).playing.is_some();
        let began = Instant::now();
        while !is_on() {
            assert!(began.elapsed() < Duration::from_secs(60), "never heard: {what:?}");
            std::thread::sleep(Duration::from_millis(1));
        }
        let mut player = Player::new(&Song::steady(120.0, 4, 4), live::RATE, 0.0);
        let (mut attacks, mut sounding) = (Vec::new(), Vec::new());
        for block in 0..MAX_BLOCKS {
            // The request comes to the audio thread a moment after it is seen.
            if attacks.is_empty() {
                std::thread::sleep(Duration::from_millis(1));
            }
            for event in self.host.process(&player.stopped(FRAMES)).events {
                let at = (block * FRAMES) as f64 + f64::from(event.offset);
                match event.kind {
                    EventKind::NoteOn { key, .. } => {
                        attacks.push((at / live::RATE, u8::try_from(key).unwrap()));
                        sounding.push(key);
                    }
                    EventKind::NoteOff { key, .. } => sounding.retain(|other| *other != key),
                    _ => {}
                }
            }
            if !attacks.is_empty() && !is_on() {
                break;
            }
        }
        assert!(!is_on() && sounding.is_empty(), "{what:?}: {sounding:?} hang");
        let first = attacks.first().unwrap().0;
        attacks.into_iter().map(|(at, key)| (at - first, key)).collect()
    }

    /// What is heard is what `file` has from one quarter to another, at `tempo`, within a millisecond. A note
    /// shortly before either end may belong to what follows.
    pub fn hears_as(
        &mut self,
        what: HearWhat,
        file: &[Attack],
        (from, to): (f64, f64),
        tempo: f64,
    ) {
        const AHEAD: f64 = 0.25;
        let heard = self.hears(what);
        let is_surely = |at: f64| at >= from && at < to - AHEAD;
        let first = file.iter().position(|(at, _)| *at >= from - AHEAD).unwrap();
        // The first may still be of the bar before.
        let first = if file[first].1 == heard[0].1 { first } else { first + 1 };
        let due = &file[first..first + heard.len()];
        for ((at, key), (quarter, due_key)) in heard.iter().zip(due) {
            let seconds = (quarter - due[0].0) * 60.0 / tempo;
            assert!((at - seconds).abs() < 0.001, "{what:?}: {at} s for {seconds} s");
            assert_eq!(key, due_key, "{what:?} at {at} s");
        }
        let surely = |attacks: &[Attack]| attacks.iter().filter(|(at, _)| is_surely(*at)).count();
        assert_eq!(surely(due), surely(file), "{what:?}");
    }
}

/// The attacks of a file that Overbar exported: 960 ticks a quarter.
pub fn attacks(path: &Path) -> Vec<Attack> {
    let bytes = std::fs::read(path).unwrap();
    let file = midly::Smf::parse(&bytes).unwrap();
    let mut attacks = Vec::new();
    for track in &file.tracks {
        let mut ticks = 0;
        for event in track {
            ticks += event.delta.as_int();
            if let midly::TrackEventKind::Midi { message, .. } = event.kind
                && let midly::MidiMessage::NoteOn { key, vel } = message
                && vel.as_int() > 0
            {
                attacks.push((f64::from(ticks) / 960.0, key.as_int()));
            }
        }
    }
    attacks
}
