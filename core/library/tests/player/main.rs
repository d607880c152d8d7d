//! Plays into a library until it is killed: `FOLDER SEED`. Prints a line per note
//! once it has been played: the id of its take, its second and its key. Prints the recorder's notices too.

use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;
use overbar_library::new_take_id;
use overbar_library::recorder::Recorder;
use std::io::Write;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// The time between notes.
const NOTE_EVERY: f64 = 0.02;

fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_default());
    let seed = arguments.next().and_then(|seed| seed.parse().ok()).unwrap_or(0.0);
    let mut recorder = Recorder::start(folder.join("library.sqlite"))?;
    let mut session = Session::default();
    session.ids_from(new_take_id());
    let mut out = std::io::stdout();
    let start = Instant::now();
    let mut next = NOTE_EVERY;
    let mut played = 0_u32;
    let mut stop = pass(seed, 0);
    transport(&mut session, 0.0, true);
    loop {
        let now = start.elapsed().as_secs_f64();
        while next < now {
            let key = u8::try_from(40 + played * 37 % 60).unwrap_or(40);
            let channel = Some(0);
            played += 1;
            let at = Second(next);
            let on = NoteOn { at, beat: None, key: Some(key), channel, velocity: 0.5 };
            session.push(Event::On(on));
            // Notes end after the next one, or never.
            if !played.is_multiple_of(3) {
                let off = NoteOff { at, beat: None, key: Some(key), channel };
                session.push(Event::Off(off));
            }
            if let Some(take) = session.current() {
                writeln!(out, "{} {next} {key}", take.id)?;
            }
            next += NOTE_EVERY;
        }
        out.flush()?;
        if now > stop {
            transport(&mut session, now, false);
            transport(&mut session, now, true);
            stop = now + pass(seed, played);
        }
        if recorder.is_due() {
            recorder.record(session.takes(), session.current());
        }
        for notice in recorder.notices() {
            writeln!(out, "notice {notice}")?;
        }
        std::thread::sleep(Duration::from_millis(4));
    }
}

/// The length of a pass: 0.3 to 1.3 seconds, spread by the golden ratio.
fn pass(seed: f64, number: u32) -> f64 {
    0.3 + ((seed + f64::from(number)) * 0.618_034).fract()
}

fn transport(session: &mut Session, at: f64, rolling: bool) {
    session.push(Event::Transport(TransportPoint {
        at: Second(at),
        beat: Some(at * 2.0),
        tempo: Some(120.0),
        metre: Some((4, 4)),
        rolling,
        ..Default::default()
    }));
}
