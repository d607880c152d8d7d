//! What a plugin sees in the CLAP rig, recorded by a plugin.

mod probe;

use overbar_tests::host::{
    Block, ClapRig, EventKind, GARBAGE, Heard, Host, HostEvent, HostTransport, Player, Status,
    ragged,
};
use overbar_tests::song::Song;
use probe::{Seen, take_seen};

fn rig() -> ClapRig {
    // SAFETY: the entry is put together as the framework's own macro does it.
    let mut rig = unsafe { ClapRig::from_entry(&probe::ENTRY) }.expect("the probe");
    rig.activate(48_000.0, 4_096).expect("activates");
    rig
}

fn show(block: &Block) -> (Vec<Seen>, Heard) {
    let heard = rig().process(block);
    (take_seen(), heard)
}

#[test]
fn buffers_come_full_of_garbage_and_go_as_the_plugin_left_them() {
    let (seen, heard) = show(&Block::empty(64));
    assert_eq!((seen[0].frames, seen[0].garbage), (64, 64));
    assert_eq!(heard.unwritten(), 64, "the probe writes the right channel only");
    assert!(heard.left.iter().all(|sample| sample.to_bits() == GARBAGE.to_bits()));
    assert!(heard.right.iter().all(|sample| *sample == 0.0));
    assert_ne!(heard.status, Status::Failed);
}

#[test]
fn a_host_may_show_no_transport_or_an_empty_one() {
    for transport in [None, Some(HostTransport::default())] {
        let (seen, _) = show(&Block { transport, ..Block::empty(64) });
        let now = &seen[0];
        assert_eq!((now.playing, now.recording), (false, false));
        assert_eq!((now.beats, now.seconds, now.tempo, now.signature), (None, None, None, None));
        assert_eq!(now.cycle, None);
    }
}

#[test]
fn the_transport_arrives_field_by_field() {
    let full = HostTransport {
        beats: Some(-1.5),
        seconds: Some(-0.75),
        tempo: Some(120.0),
        signature: Some((7, 8)),
        playing: true,
        recording: true,
        preroll: true,
        cycle: Some((4.0, 12.5)),
        bar_start: Some(-3.5),
        bar_number: Some(-1),
    };
    let (seen, _) = show(&Block { transport: Some(full), ..Block::empty(64) });
    let now = &seen[0];
    assert_eq!((now.playing, now.recording, now.preroll), (true, true, Some(true)));
    assert_eq!((now.beats, now.seconds), (full.beats, full.seconds));
    assert_eq!((now.tempo, now.signature), (full.tempo, full.signature));
    assert_eq!((now.cycle, now.bar_start), (full.cycle, full.bar_start));
    assert_eq!(now.bar_number, full.bar_number);
    let bare = HostTransport { beats: Some(2.0), playing: true, ..HostTransport::default() };
    let (seen, _) = show(&Block { transport: Some(bare), ..Block::empty(64) });
    assert_eq!((seen[0].beats, seen[0].tempo, seen[0].signature), (Some(2.0), None, None));
}

#[test]
fn events_arrive_as_they_are_and_come_back() {
    let block = Block::empty(64)
        .with(0, EventKind::NoteOn { key: 60, channel: 3, velocity: 0.5 })
        .with(17, EventKind::NoteOn { key: 61, channel: 15, velocity: 0.0 })
        .with(17, EventKind::NoteOff { key: 60, channel: 3, velocity: 0.25 })
        .with(63, EventKind::Choke { key: 61, channel: 15 });
    let (seen, heard) = show(&block);
    assert_eq!(seen.len(), 1);
    // The framework takes a choke in and has none to send.
    assert_eq!((seen[0].events, seen[0].refused), (4, 1));
    assert_eq!((heard.events.as_slice(), heard.other_events), (&block.events[..3], 0));
    // The framework turns MIDI into notes; a note-on of velocity 0 ends one there.
    let raw = Block::empty(64)
        .with(5, EventKind::RawMidi([0x92, 64, 127]))
        .with(9, EventKind::RawMidi([0x92, 64, 0]));
    let (_, heard) = show(&raw);
    let kinds: Vec<_> = heard.events.iter().map(|event| (event.offset, event.kind)).collect();
    let on = EventKind::NoteOn { key: 64, channel: 2, velocity: 1.0 };
    let off = EventKind::NoteOff { key: 64, channel: 2, velocity: 0.0 };
    assert_eq!(kinds, [(5, on), (9, off)]);
}

#[test]
fn the_host_allocates_nothing_for_what_it_is_sent() {
    let note = EventKind::NoteOff { key: 60, channel: 0, velocity: 0.0 };
    let mut block = Block::empty(64);
    block.events = vec![HostEvent { offset: 0, kind: note }; 1_000];
    let (seen, heard) = show(&block);
    assert_eq!((seen[0].events, seen[0].refused, heard.events.len()), (1_000, 0, 1_000));
}

#[test]
fn a_transport_event_changes_the_transport_on_its_sample() {
    let mut song = Song::steady(120.0, 4, 4);
    song.tempo.push((1.0, 60.0));
    song.metres.push((2.0, 3, 4));
    let mut player = Player::new(&song, 48_000.0, 0.9);
    player.sends_changes = true;
    // From 0.9 to 1 is 2,400 samples at 120.
    let (seen, _) = show(&player.block(4_096));
    assert_eq!(seen.iter().map(|seen| seen.frames).collect::<Vec<_>>(), [2_400, 1_696]);
    assert_eq!((seen[0].tempo, seen[1].tempo), (Some(120.0), Some(60.0)));
    assert!((seen[1].beats.expect("a position") - 1.0).abs() < 1e-4);
}

#[test]
fn a_song_arrives_whole_whatever_the_blocks() {
    let mut song = Song::steady(133.0, 4, 4);
    for step in 0..40_u8 {
        song = song.with_note(f64::from(step) * 0.37, 0.2, 40 + step);
    }
    let mut notes = Vec::new();
    for longest in [1_024, 33] {
        let mut rig = rig();
        let mut player = Player::new(&song, 48_000.0, 0.0);
        let blocks: Vec<Block> = player.blocks_until(16.0, ragged(5, longest)).collect();
        let mut start = 0;
        let mut all = Vec::new();
        for heard in rig.play(&mut blocks.into_iter()) {
            all.extend(heard.events.iter().map(|event| (start + event.offset, event.kind)));
            start += heard.left.len() as u32;
        }
        assert_eq!(all.len(), 80);
        notes.push(all);
    }
    assert_eq!(notes[0], notes[1]);
    drop(take_seen());
}
