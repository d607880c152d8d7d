//! A song as audio, and a host that plays it to the listening plugin.

use crate::host::{Block, Host, Player};
use crate::live;
use crate::song::Song;
use overbar_core::take::performance::Performance;
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use std::time::Duration;

/// Each note is tongued: it ends this long before the next begins, in seconds.
const TONGUE: f64 = 0.025;

/// How much faster than real time audio is passed to a plugin: the worker can handle more.
const FASTER: f64 = 8.0;

/// Longer than the worker waits for missing audio.
const REST: Duration = Duration::from_millis(700);

/// How a host plays a song.
#[derive(Debug, Clone, Copy)]
pub struct Pass {
    /// Beats to play before the song.
    pub before: f64,
    /// It records.
    pub recording: bool,
}

/// A monophonic song as mono audio at [`live::RATE`], starting `before` beats ahead of it.
fn render(song: &Song, before: f64) -> Vec<f32> {
    let line = song.tempo_line();
    let start = line.seconds(-before);
    let second = |beat: f64| line.seconds(beat) - start;
    let mut tones: Vec<Tone> =
        song.notes.iter().map(|n| tone(second(n.on), second(n.off), f64::from(n.key))).collect();
    tones.sort_by(|a, b| a.on.total_cmp(&b.on));
    for index in 1..tones.len() {
        tones[index - 1].off = tones[index - 1].off.min(tones[index].on - TONGUE);
    }
    let end = tones.last().map_or(0.0, |last| last.off) + 1.0;
    sound(&tones, Wave::Saw, end, live::RATE as u32)
}

/// Plays a song as audio, faster than real time; returns the resulting takes.
///
/// # Panics
/// If the plugin refuses it.
pub fn play(host: &mut dyn Host, song: &Song, frames: usize, pass: Pass) -> Vec<Performance> {
    if !host.is_active() {
        host.activate(live::RATE, frames).expect("the plugin is ready to play");
    }
    let samples = render(song, pass.before);
    let silent = Song { notes: Vec::new(), ..song.clone() };
    let mut player = Player::new(&silent, live::RATE, -pass.before);
    player.recording = pass.recording;
    let pause = Duration::from_secs_f64(frames as f64 / live::RATE / FASTER);
    for part in samples.chunks(frames) {
        let mut channel = part.to_vec();
        channel.resize(frames, 0.0);
        let sound = vec![channel.clone(), channel];
        host.process(&Block { sound, ..player.block(frames) });
        std::thread::sleep(pause);
    }
    let silence = vec![vec![0.0; frames]; 2];
    host.process(&Block { sound: silence, ..player.stopped(frames) });
    std::thread::sleep(REST);
    live::takes(host)
}
