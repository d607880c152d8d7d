//! How long the session's lock is held at a time while a user asks for what takes long in a long
//! take. Nobody who needs the session, such as a host that saves, may wait longer.

use crate::play;
use overbar::command::Command;
use overbar::command::drill::DrillCommand;
use overbar::worker::shared::Shared;
use overbar::worker::{ParameterValues, round};
use overbar_core::input::event::Event;
use overbar_core::settings::{Hearing, Settings};
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;
use std::time::{Duration, Instant};

/// The worker's rest between two rounds.
const POLL: Duration = Duration::from_millis(4);
/// A note is played every so many rounds while a take is under way.
const A_NOTE_EVERY: usize = 5;

/// What is asked for, in this order.
pub const ASKED: [&str; 6] = [
    "a correction in the take under way",
    "another setting",
    "other keys heard",
    "a take ends, in a drill",
    "a correction in a take that is over",
    "a take is split into solos",
];

/// A worker by hand, and the longest that it has held the lock.
struct Rig {
    shared: Shared,
    values: ParameterValues,
    played: u32,
    at: f64,
    rolls: bool,
    longest: Duration,
}

/// The longest hold in milliseconds while each of [`ASKED`] is done to a take of so many notes.
pub fn longest_holds(length: u32) -> [f64; ASKED.len()] {
    let mut rig = Rig {
        shared: Shared::default(),
        values: ParameterValues { settings: Settings::default(), drill: 0, mark: false },
        played: 0,
        at: 0.0,
        rolls: true,
        longest: Duration::ZERO,
    };
    while rig.played < length {
        let mut session = rig.shared.session();
        play(&mut session, rig.played, &mut rig.at);
        rig.played += 1;
        if rig.played == length / 2 {
            rig.shared.take_store().add_marker(&session);
        }
        // As the panel does while the take is played: what is shown of it is read as it grows.
        if rig.played.is_multiple_of(16) {
            let _ = session.snapshot();
        }
    }
    rig.shared.panel.want_takes(true);
    rig.shared.practice.send(DrillCommand::Start);
    // Until the details of the take are there; a longer take needs more rounds for all that is asked.
    let rounds = 100 + usize::try_from(length / 200).unwrap_or(0);
    rig.rounds(rounds);
    let middle = Second(rig.at / 2.0);
    let onset = {
        let session = rig.shared.session();
        let notes = session.current().map(|take| take.performance.heard.notes().to_vec());
        let notes = notes.unwrap_or_default();
        notes.iter().map(|note| note.on.second).find(|on| *on >= middle).unwrap_or(middle)
    };
    let correct = |begins| Command::Correct { take: 1, at: onset, begins: Some(begins) };
    let hearing = Hearing { lowest_key: 64, ..Hearing::default() };
    ASKED.map(|asked| {
        rig.longest = Duration::ZERO;
        match asked {
            "a correction in the take under way" => rig.shared.panel.send(correct(false)),
            "another setting" => rig.values.settings.finer = 0.4,
            "other keys heard" => rig.values.settings.hearing = hearing,
            "a take ends, in a drill" => rig.stop(),
            "a correction in a take that is over" => rig.shared.panel.send(correct(true)),
            _ => {
                let id = rig.shared.session().takes().first().map(|take| take.id);
                rig.shared.panel.send(Command::SplitIntoSolos(id.unwrap_or_default()));
            }
        }
        rig.rounds(rounds);
        rig.longest.as_secs_f64() * 1e3
    })
}

impl Rig {
    /// Rounds of the worker while the song, if it rolls, is played on.
    fn rounds(&mut self, count: usize) {
        for number in 0..count {
            if self.rolls && number % A_NOTE_EVERY == 0 {
                play(&mut self.shared.session(), self.played, &mut self.at);
                self.played += 1;
            }
            let began = Instant::now();
            let goes_on = round(&self.shared, &|| self.values);
            self.longest = self.longest.max(began.elapsed());
            if !goes_on {
                std::thread::sleep(POLL);
            }
        }
    }

    /// Stops the transport.
    fn stop(&mut self) {
        let (at, tempo) = (Second(self.at + 1.0), Some(160.0));
        let point = TransportPoint { at, beat: Some(0.0), tempo, ..TransportPoint::default() };
        let mut session = self.shared.session();
        let began = Instant::now();
        session.push(Event::Transport(point));
        drop(session);
        self.longest = self.longest.max(began.elapsed());
        self.rolls = false;
    }
}
