//! A plugin's takes of a song that a host played to it.

use crate::host::{Host, Player};
use crate::song::Song;
use overbar_core::take::performance::Performance;

/// Samples per second, unless a test uses another rate.
pub const RATE: f64 = 48_000.0;

/// Longest block announced to a plugin.
pub const LONGEST_BLOCK: usize = 4_096;

/// Beats that a host plays before and after a song.
const AROUND: f64 = 2.0;

/// Plays `song` once, from a little before its first beat, in blocks of the given sizes.
///
/// # Panics
/// If the plugin refuses it.
pub fn play(host: &mut dyn Host, song: &Song, sizes: &mut dyn Iterator<Item = usize>) {
    if !host.is_active() {
        host.activate(RATE, LONGEST_BLOCK).expect("the plugin is ready to play");
    }
    let end = song.notes.iter().map(|n| n.off).fold(0.0, f64::max) + AROUND;
    let mut player = Player::new(song, RATE, -AROUND);
    while player.position() < end {
        let frames = sizes.next().expect("sizes without end");
        let block = player.block(frames);
        host.process(&block);
    }
    let stopped = player.stopped(64);
    host.process(&stopped);
}

/// The takes in the plugin's saved state.
///
/// # Panics
/// If the state cannot be read.
pub fn takes(host: &mut dyn Host) -> Vec<Performance> {
    overbar::host::state::takes_in(&host.save_state()).expect("a state of Overbar's")
}
