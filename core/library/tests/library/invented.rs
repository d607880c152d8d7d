//! Synthetic playing, sent to a session as by a host.

use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Beat, Second};
use overbar_library::{Labels, Library, LibraryError, Player, Stamp};
use rusqlite::Connection;
use std::path::Path;

/// How a host behaves.
#[derive(Debug, Clone, Copy)]
pub struct Host {
    /// Samples per second.
    pub rate: f64,
    /// Samples per block.
    pub block: u32,
    /// Ticks per quarter note to round positions to; 0 for none.
    pub ticks: f64,
    /// Tempo of the first half, and of the second.
    pub tempos: (f64, f64),
    /// Metre of the first half, and of the second.
    pub metres: ((i32, i32), (i32, i32)),
}

impl Host {
    /// 48 kHz, 137 BPM, 4/4, positions that follow the tempo.
    pub const STEADY: Self = Self {
        rate: 48_000.0,
        block: 512,
        ticks: 0.0,
        tempos: (137.0, 137.0),
        metres: ((4, 4), (4, 4)),
    };
}

/// A soloist's take of `notes` notes, `a_second` of them on average, from bar 5 on.
///
/// Positions and times are stamped as the plugin stamps them: a position per block, sent if
/// it is unexpected or a quarter of a second has passed; notes by their block.
pub fn take(host: Host, notes: usize, a_second: f64, seed: u64) -> Performance {
    play(host, notes, a_second, seed, |_| {})
}

/// Like [`take`], but calls back with the session after each block.
pub fn play(
    host: Host,
    notes: usize,
    a_second: f64,
    seed: u64,
    mut look: impl FnMut(&Session),
) -> Performance {
    let mut dice = fastrand::Rng::with_seed(seed);
    let mut session = Session::default();
    let mut heard = 0;
    let mut sample = 48_000_u64;
    let mut beat = 16.0;
    let mut reported = None;
    let mut block_before = None;
    // Samples to the next onset; and the sounding note: its key and the sample of its end.
    let mut next = sample + 100;
    let mut sounding: Option<(u8, u64)> = None;
    let mut key = 65_u8;
    while heard < notes || sounding.is_some() {
        let second_half = heard > notes / 2;
        let tempo = if second_half { host.tempos.1 } else { host.tempos.0 };
        let metre = if second_half { host.metres.1 } else { host.metres.0 };
        let at = Second(sample as f64 / host.rate);
        let shown = if host.ticks > 0.0 { (beat * host.ticks).round() / host.ticks } else { beat };
        let point = TransportPoint {
            at,
            block_before,
            beat: Some(shown),
            tempo: Some(tempo),
            metre: Some(metre),
            rolling: true,
            ..Default::default()
        };
        let news =
            reported.is_none_or(|(second, from, old_tempo, old_metre): (f64, f64, f64, _)| {
                let passed = at.0 - second;
                (shown - from - passed * tempo / 60.0).abs() > 0.0005
                    || passed >= 0.25
                    || (old_tempo, old_metre) != (tempo, metre)
            });
        if news {
            reported = Some((at.0, shown, tempo, metre));
            session.push(Event::Transport(point));
        }
        let end = sample + u64::from(host.block);
        loop {
            let off = sounding.map_or(u64::MAX, |(_, off)| off);
            let on = if heard < notes { next } else { u64::MAX };
            if on.min(off) >= end {
                break;
            }
            let second = Second(on.min(off) as f64 / host.rate);
            let beat = Some(Beat(shown + (second.0 - at.0) * tempo / 60.0));
            let channel = Some(0);
            if off <= on {
                let (key, _) = sounding.take().unwrap();
                let key = Some(key);
                session.push(Event::Off(NoteOff { at: second, beat, key, channel }));
            } else {
                key = key.saturating_add_signed(dice.i8(-5..=5)).clamp(50, 90);
                let velocity = f32::from(dice.u8(40..120)) / 127.0;
                let on = NoteOn { at: second, beat, key: Some(key), channel, velocity };
                session.push(Event::On(on));
                heard += 1;
                // Roughly eighths, with an occasional rest.
                let mut gap = (0.6 + 0.8 * dice.f64()) / a_second;
                let length = gap * (0.5 + 0.45 * dice.f64());
                if dice.u8(0..12) == 0 {
                    gap += 0.3 + dice.f64();
                }
                sounding = Some((key, next + (length * host.rate) as u64));
                next += (gap * host.rate) as u64 + 1;
            }
        }
        block_before = Some(at);
        beat += f64::from(host.block) / host.rate * tempo / 60.0;
        sample = end;
        look(&session);
    }
    session.finish();
    Performance::clone(&session.takes()[0].performance)
}

/// Changes the labels of a take in the library, now.
pub fn set_labels(library: &mut Library, id: TakeId, edit: impl FnOnce(&mut Labels, Stamp)) {
    try_to_set_labels(library, id, edit).unwrap();
}

/// Names a take in the library.
pub fn rename(library: &mut Library, id: TakeId, name: &str) -> Result<(), LibraryError> {
    try_to_set_labels(library, id, |labels, now| labels.name.set(name.to_owned(), now))
}

fn try_to_set_labels(
    library: &mut Library,
    id: TakeId,
    edit: impl FnOnce(&mut Labels, Stamp),
) -> Result<(), LibraryError> {
    library.edit_labels(id, |mut labels| {
        edit(&mut labels, Stamp::now());
        labels
    })
}

/// The players in the library at `path`.
pub fn players(path: &Path) -> Vec<Player> {
    let library = Connection::open(path).unwrap();
    let mut query = library.prepare("SELECT body FROM player").unwrap();
    let bodies = query.query_map([], |row| row.get::<_, String>(0)).unwrap();
    bodies.map(|body| serde_json::from_str(&body.unwrap()).unwrap()).collect()
}
