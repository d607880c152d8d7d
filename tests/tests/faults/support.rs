//! What the tests of faults share: the plugin in every host there is, and a sound take to hear
//! after a fault.

use overbar_core::take::performance::Performance;
use overbar_tests::bundle;
use overbar_tests::host::{BareVst3, Block, ClapRig, EventKind, Host, Outputs, Player, Vst3Rig};
use overbar_tests::live;
use overbar_tests::song::Song;

/// Said of a fault after which a sound take was heard whole.
pub const HEARD_ON: &str = "the next take is heard whole";

/// The CLAP linked in and as built, and the VST3 as built; none is active yet.
pub fn hosts() -> [(&'static str, Box<dyn Host>); 3] {
    [
        ("linked CLAP", Box::new(ClapRig::linked().unwrap())),
        ("CLAP", Box::new(ClapRig::load(&bundle::clap()).unwrap())),
        ("VST3", Box::new(Vst3Rig::load(&bundle::vst3()).unwrap())),
    ]
}

/// The same, active.
pub fn active() -> [(&'static str, Box<dyn Host>); 3] {
    hosts().map(|(format, mut host)| {
        host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
        (format, host)
    })
}

/// The linked VST3 behind bare calls.
pub fn bare() -> BareVst3 {
    BareVst3::new(live::RATE, live::LONGEST_BLOCK).unwrap()
}

/// Places of the notes of [`four`].
pub const FOUR: [f64; 4] = [4.0, 6.5, 8.0, 10.5];

/// Bars 2 and 3 hold two notes each: on beat one of bar 2, on its "and" of 3, and so on.
pub fn four() -> Song {
    FOUR.iter().fold(Song::steady(120.0, 4, 4), |song, on| song.with_note(*on, 0.4, 60))
}

/// Where the notes of a take begin, in thousandths of a beat.
pub fn beats(take: &Performance) -> Vec<f64> {
    take.soloist.notes().iter().map(|note| (note.on.beat.0 * 1e3).round() / 1e3).collect()
}

/// The takes in a saved state.
pub fn takes_in(state: &[u8]) -> Vec<Performance> {
    overbar::host::state::takes_in(state).unwrap()
}

/// Plays a sound take and holds what was heard against it.
pub fn hears_on(format: &str, host: &mut dyn Host) {
    let before = live::takes(host).len();
    live::play(host, &four(), &mut std::iter::repeat(256));
    let takes = live::takes(host);
    assert_eq!(takes.len(), before + 1, "{format}");
    assert_eq!(beats(&takes[before]), FOUR, "{format}");
}

/// [`hears_on`] for bare calls.
pub fn bare_hears_on(host: &BareVst3) {
    let before = takes_in(&host.save_state()).len();
    play_bare(host, &mut Player::new(&four(), live::RATE, 2.0), 13.0);
    let takes = takes_in(&host.save_state());
    assert_eq!(takes.len(), before + 1);
    assert_eq!(beats(&takes[before]), FOUR);
}

/// Rolls to `beat` and stops.
pub fn play_bare(host: &BareVst3, player: &mut Player, beat: f64) {
    while player.position() < beat {
        host.process(&player.block(256), Outputs::Stereo);
    }
    host.process(&player.stopped(64), Outputs::Stereo);
}

/// Rolls to `beat`, in blocks of `size`.
pub fn roll(host: &mut dyn Host, player: &mut Player, beat: f64, size: usize) {
    while player.position() < beat {
        host.process(&player.block(size));
    }
}

/// A block while the transport stands, which ends the take.
pub fn stop(host: &mut dyn Host, player: &mut Player) {
    host.process(&player.stopped(64));
}

pub fn on(key: i16) -> EventKind {
    EventKind::NoteOn { key, channel: 0, velocity: 0.7 }
}

pub fn off(key: i16) -> EventKind {
    EventKind::NoteOff { key, channel: 0, velocity: 0.0 }
}

/// A rolling block of a song in 4/4 at 120 quarters a minute.
pub fn rolling(frames: usize, beat: f64) -> Block {
    let mut player = Player::new(&Song::steady(120.0, 4, 4), live::RATE, beat);
    player.block(frames)
}
