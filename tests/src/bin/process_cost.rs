//! The cost of a block on the audio thread, relative to an empty plugin of the same framework, in one run:
//! the two take turns, and the medians of many short rounds are compared, so that a slow machine slows both.
//!
//! `process_cost EMPTY OVERBAR`: two CLAP plugins. Exit code 1 if Overbar exceeds its limits.

use overbar_tests::host::{Block, ClapRig, EventKind, Host, HostTransport};
use std::ffi::CStr;
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

/// Limit of an empty block of [`FRAMES`] samples, relative to the empty plugin.
const EMPTY_BLOCK_LIMIT: f64 = 1.2;
/// Limit of a block with [`NOTES`] notes, likewise.
const NOTES_LIMIT: f64 = 2.0;
/// Limit of a block in the listening plugin, relative to an empty effect.
const SOUND_LIMIT: f64 = 1.3;

const FRAMES: usize = 64;
const RATE: f64 = 48_000.0;
const TEMPO: f64 = 120.0;
/// Each with its note-off, in the same block.
const NOTES: u32 = 16;
/// Between rounds, in milliseconds: the worker polls every four.
const REST: u64 = 6;
const ROUNDS: usize = 300;
const BLOCKS_A_ROUND: u64 = 200;
/// An empty block takes some 150 ns: other load can push a measurement over the limit, but not all of these
/// in a row. A real regression is over it in all of them.
const MEASUREMENTS: usize = 3;

fn main() -> ExitCode {
    let paths: Vec<String> = std::env::args().skip(1).collect();
    let [empty, overbar] = paths.as_slice() else {
        report("process_cost EMPTY OVERBAR: two CLAP plugins");
        return ExitCode::from(2);
    };
    let plugins: [[(&str, Option<&CStr>); 2]; 2] = [
        [(empty, None), (overbar, None)],
        [(empty, Some(c"org.overbar.empty-effect")), (overbar, Some(c"org.overbar.listen"))],
    ];
    let mut pairs = Vec::new();
    for pair in plugins {
        match pair.into_iter().map(|(path, id)| rig(path, id)).collect::<Result<Vec<_>, _>>() {
            Ok(rigs) => pairs.push(rigs),
            Err(error) => {
                report(&error);
                return ExitCode::from(2);
            }
        }
    }
    let [midi, sound] = pairs.as_mut_slice() else { return ExitCode::from(2) };
    let is_cheap = (0..MEASUREMENTS).any(|_| within(midi));
    let listens_cheaply = (0..MEASUREMENTS).any(|_| listening_within(sound));
    if is_cheap && listens_cheaply { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The same for the listening plugin.
fn listening_within(rigs: &mut [ClapRig]) -> bool {
    let costs = medians(rigs, &sounding);
    let times = costs[1] / costs[0];
    report(&format!(
        "block of {FRAMES} of sound: empty effect {:.0} ns, Overbar Listen {:.0} ns, {times:.2} times (at most {SOUND_LIMIT})",
        costs[0], costs[1]
    ));
    times <= SOUND_LIMIT
}

/// Measures once, prints the results, and returns whether they are within the limits.
fn within(rigs: &mut [ClapRig]) -> bool {
    let silent = medians(rigs, &|number| block(number, false));
    let playing = medians(rigs, &|number| block(number, true));
    let (block, with_notes) = (silent[1] / silent[0], playing[1] / playing[0]);
    report(&format!(
        "empty block of {FRAMES}: empty plugin {:.0} ns, Overbar {:.0} ns, {block:.2} times (at most {EMPTY_BLOCK_LIMIT})",
        silent[0], silent[1]
    ));
    report(&format!(
        "block of {NOTES} notes: empty plugin {:.0} ns, Overbar {:.0} ns, {with_notes:.2} times (at most {NOTES_LIMIT})",
        playing[0], playing[1]
    ));
    block <= EMPTY_BLOCK_LIMIT && with_notes <= NOTES_LIMIT
}

/// The plugin of a file with this id, or the first.
fn rig(path: &str, id: Option<&CStr>) -> Result<ClapRig, String> {
    let file = Path::new(path);
    let rig = id.map_or_else(|| ClapRig::load(file), |id| ClapRig::load_by_id(file, id));
    let mut rig = rig.map_err(|error| format!("{path}: {error}"))?;
    rig.activate(RATE, FRAMES).map_err(|error| format!("{path}: {error}"))?;
    Ok(rig)
}

/// The median cost of a block in nanoseconds, for each rig.
fn medians(rigs: &mut [ClapRig], block: &dyn Fn(u64) -> Block) -> Vec<f64> {
    let mut costs = vec![Vec::with_capacity(ROUNDS); rigs.len()];
    let mut played = 0;
    for _ in 0..ROUNDS {
        for (rig, costs) in rigs.iter_mut().zip(&mut costs) {
            let began = Instant::now();
            for number in 0..BLOCKS_A_ROUND {
                rig.process(&block(played + number));
            }
            costs.push(began.elapsed().as_nanos() as f64 / BLOCKS_A_ROUND as f64);
        }
        played += BLOCKS_A_ROUND;
        // The worker runs between rounds, not during them.
        std::thread::sleep(std::time::Duration::from_millis(REST));
    }
    costs
        .into_iter()
        .map(|mut costs| {
            costs.sort_by(f64::total_cmp);
            costs[costs.len() / 2]
        })
        .collect()
}

/// The `number`th block of a playing song; with notes, sixteen short ones.
fn block(number: u64, notes: bool) -> Block {
    let second = (number * FRAMES as u64) as f64 / RATE;
    let mut block = Block::empty(FRAMES);
    block.transport = Some(HostTransport {
        beats: Some(second * TEMPO / 60.0),
        tempo: Some(TEMPO),
        signature: Some((4, 4)),
        playing: true,
        ..HostTransport::default()
    });
    if notes {
        for offset in 0..2 * NOTES {
            let key = 60 + (offset / 2) as i16;
            let kind = if offset % 2 == 0 {
                EventKind::NoteOn { key, channel: 0, velocity: 0.7 }
            } else {
                EventKind::NoteOff { key, channel: 0, velocity: 0.0 }
            };
            block = block.with(offset, kind);
        }
    }
    block
}

/// The same with audio in place of notes.
fn sounding(number: u64) -> Block {
    let mut block = block(number, false);
    let sample = |index: usize| (index as f32 * 0.07).sin() * 0.3;
    let channel: Vec<f32> = (0..FRAMES).map(sample).collect();
    block.sound = vec![channel.clone(), channel];
    block
}

#[expect(clippy::print_stdout, reason = "what a benchmark is for")]
fn report(line: &str) {
    println!("{line}");
}
