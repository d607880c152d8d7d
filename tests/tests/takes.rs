//! The right takes from what a host does with its transport, and none lost or doubled between
//! instances, projects and the library.

use overbar_library::merge::StoredTake;
use overbar_library::{Library, Query, default_path};
use overbar_tests::host::{ClapRig, Host, Player, parameter_number};
use overbar_tests::live;
use overbar_tests::song::Song;

fn rig() -> ClapRig {
    let mut rig = ClapRig::linked().unwrap();
    rig.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    rig
}

/// A bar of eighths in each of bars 2, 3 and 4, in 4/4 at 120.
fn song() -> Song {
    let places = (8..32).map(|eighth| f64::from(eighth) * 0.5);
    let keys = (0..12_u8).cycle().map(|key| 60 + key);
    places.zip(keys).fold(Song::steady(120.0, 4, 4), |song, (on, key)| song.with_note(on, 0.4, key))
}

fn roll(host: &mut dyn Host, player: &mut Player, until: f64) {
    while player.position() < until {
        let block = player.block(480);
        host.process(&block);
    }
}

fn stop(host: &mut dyn Host, player: &mut Player) {
    let block = player.stopped(64);
    host.process(&block);
}

/// The attacks of each take, in beats.
fn beats(host: &mut dyn Host) -> Vec<Vec<f64>> {
    let notes = |take: &overbar_core::take::performance::Performance| {
        let on = take.soloist.notes().iter().map(|note| note.on.beat.0);
        on.map(|beat| (beat * 1e3).round() / 1e3).collect()
    };
    live::takes(host).iter().map(notes).collect()
}

fn kept(host: &mut dyn Host) -> Vec<StoredTake> {
    overbar::host::state::project_in(&host.save_state()).unwrap().takes
}

fn eighths(from: u32, to: u32) -> Vec<f64> {
    (from..to).map(|eighth| f64::from(eighth) * 0.5).collect()
}

/// Moves the song's notes a little, as a second try would be.
fn again(song: &Song, late: f64) -> Song {
    let mut again = song.clone();
    for (number, note) in again.notes.iter_mut().enumerate() {
        let late = late + 0.02 * (number % 3) as f64;
        note.on += late;
        note.off += late;
    }
    again
}

#[test]
fn each_pass_is_a_take_and_what_is_played_back_is_none() {
    let mut host = rig();
    let song = song();
    for (take, late) in [0.0, 0.05].into_iter().enumerate() {
        let mut player = Player::new(&again(&song, late), live::RATE, 0.0);
        player.recording = true;
        roll(&mut host, &mut player, 17.0);
        stop(&mut host, &mut player);
        assert_eq!(kept(&mut host).len(), take + 1);
    }
    let played = kept(&mut host);
    // Played back: whole, and from bar 3 on.
    for from in [0.0, 8.0] {
        let mut player = Player::new(&again(&song, 0.0), live::RATE, from);
        roll(&mut host, &mut player, 17.0);
        stop(&mut host, &mut player);
    }
    assert_eq!(kept(&mut host), played);
}

#[test]
fn punching_in_and_out_makes_a_take_of_what_is_recorded() {
    let mut host = rig();
    host.set_parameter(parameter_number("record_only"), 1.0);
    let mut player = Player::new(&song(), live::RATE, 0.0);
    // So that the parameter is known before the first note.
    roll(&mut host, &mut player, 0.5);
    std::thread::sleep(std::time::Duration::from_millis(50));
    player.preroll = true;
    roll(&mut host, &mut player, 7.9);
    (player.preroll, player.recording) = (false, true);
    roll(&mut host, &mut player, 11.9);
    player.recording = false;
    roll(&mut host, &mut player, 17.0);
    stop(&mut host, &mut player);
    assert_eq!(beats(&mut host), [eighths(16, 24)]);
}

#[test]
fn a_loop_a_locate_and_a_stop_make_takes_and_come_to_the_library() {
    let mut host = rig();
    let mut player = Player::new(&song(), live::RATE, 4.0).looping(4.0, 8.0);
    while player.samples_played() < (7.9 * live::RATE) as i64 {
        let block = player.block(480);
        host.process(&block);
    }
    stop(&mut host, &mut player);
    // Four rounds whose notes are the same to the sample are one take, played back.
    assert_eq!(beats(&mut host), [eighths(8, 16)]);
    let mut player = Player::new(&again(&song(), 0.07), live::RATE, 3.0);
    roll(&mut host, &mut player, 10.0);
    player.locate(3.0);
    // Too few notes to tell playing from playing back.
    roll(&mut host, &mut player, 6.2);
    stop(&mut host, &mut player);
    let takes = kept(&mut host);
    assert_eq!(takes.len(), 3);
    drop(host);
    let library = Library::open(&default_path().unwrap()).unwrap().library;
    for take in &takes {
        let there = library.stored(take.id).unwrap();
        assert_eq!(there.packed, take.packed);
    }
}

#[test]
fn two_instances_of_one_ancestry_and_an_older_project_lose_and_double_nothing() {
    let mut one = rig();
    let mut player = Player::new(&song(), live::RATE, 0.0);
    roll(&mut one, &mut player, 17.0);
    stop(&mut one, &mut player);
    let older = one.save_state();
    let mut other = rig();
    assert!(other.load_state(&older));
    for (number, host) in [&mut one, &mut other].into_iter().enumerate() {
        let song = again(&song(), 0.1 + 0.1 * number as f64);
        let mut player = Player::new(&song, live::RATE, 0.0);
        roll(host, &mut player, 17.0);
        stop(host, &mut player);
    }
    let (ones, others) = (one.save_state(), other.save_state());
    assert!(one.load_state(&older) && one.load_state(&others));
    assert!(other.load_state(&ones));
    let takes = kept(&mut one);
    assert_eq!(takes.len(), 3);
    assert_eq!(kept(&mut other), takes);
    let mut ids: Vec<_> = takes.iter().map(|take| take.id).collect();
    drop((one, other));
    let library = Library::open(&default_path().unwrap()).unwrap().library;
    let everything = Query { limit: u32::MAX, ..Query::default() };
    let mut there = library.list(&everything).unwrap().rows;
    there.retain(|row| ids.contains(&row.id));
    let mut found: Vec<_> = there.iter().map(|row| row.id).collect();
    ids.sort();
    found.sort();
    assert_eq!(found, ids);
}
