//! The player against what a score says: samples, positions, loops, stops and jumps.

use overbar_tests::host::{Block, EventKind, Player, ragged};
use overbar_tests::song::{Song, SongNote};
use proptest::prelude::*;

const RATE: f64 = 44_100.0;

/// A song whose tempo and metre change at uneven places, with notes of all lengths.
fn songs() -> impl Strategy<Value = Song> {
    let tempo = proptest::collection::vec((0.1_f64..6.0, 31.0_f64..300.0), 1..5);
    let metre = proptest::sample::select(vec![(4, 4), (3, 4), (7, 8), (2, 2)]);
    let metres = proptest::collection::vec((0.5_f64..6.0, metre), 1..4);
    let note = (0.0_f64..16.0, 0.0_f64..2.0, 40_u8..80, 0_u8..16);
    let notes = proptest::collection::vec(note, 0..40);
    (-2.0_f64..1.0, tempo, metres, notes).prop_map(|(first, tempo, metres, notes)| {
        let mut at = first;
        let mut later = |step: f64| {
            at += step;
            at
        };
        let tempo = tempo.into_iter().map(|(step, bpm)| (later(step), bpm)).collect();
        at = first;
        let mut later = |step: f64| {
            at += step;
            at
        };
        let metres = metres.into_iter().map(|(step, (n, d))| (later(step), n, d)).collect();
        let note = |(on, length, key, channel)| SongNote {
            on,
            off: on + length,
            key,
            channel,
            velocity: 0.5,
        };
        Song { tempo, metres, notes: notes.into_iter().map(note).collect() }
    })
}

/// Every event with its sample on the play clock.
fn flat(blocks: impl Iterator<Item = Block>) -> Vec<(u64, EventKind)> {
    let mut start = 0;
    let mut all = Vec::new();
    for block in blocks {
        assert!(block.events.iter().all(|event| (event.offset as usize) < block.frames));
        assert!(block.events.is_sorted_by_key(|event| event.offset));
        all.extend(block.events.iter().map(|event| (start + u64::from(event.offset), event.kind)));
        start += block.frames as u64;
    }
    all
}

fn position(block: &Block) -> f64 {
    block.transport.and_then(|transport| transport.beats).expect("a position")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn block_sizes_move_no_event(
        song in songs(),
        start in -1.0_f64..4.0,
        looped in proptest::option::of((0.0_f64..5.0, 0.01_f64..3.0)),
        seed in any::<u64>(),
        size in 1_usize..3000,
    ) {
        let mut player = Player::new(&song, RATE, start);
        player.sends_changes = true;
        if let Some((from, length)) = looped {
            player = player.looping(from, from + length);
        }
        let samples = 400_000;
        let mut by_ragged = player.clone();
        let mut at_once = player.clone();
        let fixed = flat(player.blocks_for(samples, std::iter::repeat(size)));
        let random = flat(by_ragged.blocks_for(samples, ragged(seed, 700)));
        let whole = flat(at_once.blocks_for(samples, [samples as usize]));
        let within = |all: Vec<(u64, EventKind)>| -> Vec<_> {
            // A change on the first sample of a block is in the block's transport instead, and
            // the last block may reach past the end.
            all.into_iter()
                .filter(|(at, kind)| {
                    *at < samples as u64 && !matches!(kind, EventKind::Transport(_))
                })
                .collect()
        };
        let whole = within(whole);
        prop_assert_eq!(&within(fixed), &whole);
        prop_assert_eq!(&within(random), &whole);
    }

    #[test]
    fn changes_are_in_force_from_their_sample_on(song in songs(), seed in any::<u64>()) {
        let mut silent = Player::new(&song, RATE, 0.0);
        let mut telling = silent.clone();
        telling.sends_changes = true;
        // One-sample blocks show the tempo and metre of every sample.
        let mut found = Vec::new();
        for block in telling.blocks_for(20_000, ragged(seed, 5_000)) {
            let mut now = block.transport.expect("a transport");
            for offset in 0..block.frames as u32 {
                for event in block.events.iter().filter(|event| event.offset == offset) {
                    if let EventKind::Transport(changed) = event.kind {
                        now = changed;
                    }
                }
                found.push((now.tempo, now.signature));
            }
        }
        found.truncate(20_000);
        let each: Vec<_> = silent
            .blocks_for(20_000, std::iter::repeat(1))
            .map(|block| block.transport.expect("a transport"))
            .map(|transport| (transport.tempo, transport.signature))
            .collect();
        prop_assert!(found == each);
    }

    #[test]
    fn every_note_is_played_once_and_ends(song in songs(), seed in any::<u64>()) {
        let mut player = Player::new(&song, RATE, 0.0);
        let events = flat(player.blocks_until(19.0, ragged(seed, 1_000)));
        let of = |wanted: fn(&EventKind) -> Option<(i16, i16)>| {
            let mut found: Vec<_> = events.iter().filter_map(|(_, kind)| wanted(kind)).collect();
            found.sort_unstable();
            found
        };
        let ons = of(|kind| match kind {
            EventKind::NoteOn { key, channel, .. } => Some((*key, *channel)),
            _ => None,
        });
        let offs = of(|kind| match kind {
            EventKind::NoteOff { key, channel, .. } => Some((*key, *channel)),
            _ => None,
        });
        let mut written: Vec<_> =
            song.notes.iter().map(|n| (i16::from(n.key), i16::from(n.channel))).collect();
        written.sort_unstable();
        prop_assert_eq!(&ons, &written);
        prop_assert_eq!(&offs, &written);
    }

    #[test]
    fn a_loop_wraps_exactly(
        song in songs(),
        from in -1.0_f64..5.0,
        length in 0.02_f64..3.0,
        seed in any::<u64>(),
    ) {
        let end = from + length;
        let mut player = Player::new(&song, RATE, from).looping(from, end);
        let mut rounds = Vec::new();
        let mut last = f64::INFINITY;
        for block in player.blocks_for(300_000, ragged(seed, 2_000)) {
            let here = position(&block);
            prop_assert!((from..end).contains(&here), "{here} is outside the loop");
            if here <= last {
                prop_assert_eq!(here, from);
                rounds.push(0);
            }
            last = here;
            *rounds.last_mut().expect("the first block opens a round") += block.frames;
        }
        let line = song.tempo_line();
        let samples = ((line.seconds(end) - line.seconds(from)) * RATE).round() as usize;
        rounds.pop();
        prop_assert!(rounds.iter().all(|round| *round == samples), "{rounds:?} not {samples}");
    }
}

#[test]
fn positions_follow_the_closed_form_through_tempo_changes() {
    let mut song = Song::steady(90.0, 4, 4);
    song.tempo = vec![(0.0, 90.0), (3.0, 150.0), (8.0, 60.0)];
    song.metres = vec![(0.0, 4, 4), (4.0, 3, 4), (10.0, 7, 8)];
    // Three beats of 2/3 s, five of 2/5 s, then one a second.
    let beat_at = |second: f64| match second {
        s if s < 2.0 => s * 1.5,
        s if s < 4.0 => 3.0 + (s - 2.0) * 2.5,
        s => 8.0 + (s - 4.0),
    };
    let mut player = Player::new(&song, RATE, 0.0);
    let mut sample = 0;
    for block in player.blocks_until(16.0, ragged(7, 1_000)) {
        let second = sample as f64 / RATE;
        let transport = block.transport.expect("a transport");
        assert!((position(&block) - beat_at(second)).abs() < 1e-9);
        assert!((transport.seconds.expect("seconds") - second).abs() < 1e-9);
        let tempo = [(0.0, 90.0), (2.0, 150.0), (4.0, 60.0)].iter().rfind(|t| t.0 <= second);
        assert_eq!(transport.tempo, tempo.map(|t| t.1));
        let beats = beat_at(second) + 1e-9;
        let (metre, bar) = match beats {
            b if b < 4.0 => ((4, 4), 0.0),
            b if b < 10.0 => ((3, 4), 4.0 + ((b - 4.0) / 3.0).floor() * 3.0),
            b => ((7, 8), 10.0 + ((b - 10.0) / 3.5).floor() * 3.5),
        };
        assert_eq!((transport.signature, transport.bar_start), (Some(metre), Some(bar)));
        sample += block.frames;
    }
    assert!(sample as f64 / RATE > 12.0);
}

#[test]
fn a_stop_ends_what_sounds_and_rolling_on_keeps_the_place() {
    let song = Song::steady(100.0, 4, 4).with_note(0.0, 4.0, 60).with_note(2.0, 1.0, 62);
    let mut straight = Player::new(&song, RATE, 0.0);
    let mut halting = straight.clone();
    let expected = flat(straight.blocks_until(5.0, std::iter::repeat(512)));
    let mut blocks: Vec<Block> = (0..20).map(|_| halting.block(512)).collect();
    let place = halting.position();
    for _ in 0..3 {
        let block = halting.stopped(100);
        assert_eq!((position(&block), block.transport.map(|t| t.playing)), (place, Some(false)));
        blocks.push(block);
    }
    assert_eq!(halting.position(), place);
    blocks.extend(halting.blocks_until(5.0, std::iter::repeat(512)));
    let got = flat(blocks.into_iter());
    let off = EventKind::NoteOff { key: 60, channel: 0, velocity: 0.0 };
    assert_eq!(got[1], (20 * 512, off));
    assert_eq!(expected.len(), 4);
    for (at, kind) in &expected[1..3] {
        assert!(got.contains(&(at + 300, *kind)), "{kind:?} is not 300 samples later");
    }
}

#[test]
fn a_locate_while_rolling_jumps_between_two_blocks() {
    let song = Song::steady(120.0, 4, 4).with_note(0.0, 2.0, 60).with_note(8.0, 1.0, 72);
    let mut player = Player::new(&song, RATE, -0.01);
    player.recording = true;
    let first = player.block(1_000);
    assert!(position(&first) < 0.0 && first.events.len() == 1);
    player.locate(8.0);
    let second = player.block(1_000);
    assert_eq!(position(&second), 8.0);
    assert!(second.transport.is_some_and(|t| t.playing && t.recording));
    let kinds: Vec<_> = second.events.iter().map(|event| (event.offset, event.kind)).collect();
    let off = EventKind::NoteOff { key: 60, channel: 0, velocity: 0.0 };
    let on = EventKind::NoteOn { key: 72, channel: 0, velocity: f64::from(0.8_f32) };
    assert_eq!(kinds, [(0, off), (0, on)]);
}

#[test]
fn a_player_may_keep_its_transport_to_itself() {
    let song = Song::steady(120.0, 4, 4).with_note(0.0, 1.0, 60);
    let mut player = Player::new(&song, RATE, 0.0);
    player.shows_transport = false;
    let block = player.block(64);
    assert_eq!((block.transport, block.events.len()), (None, 1));
    assert_eq!(player.stopped(64).transport, None);
    player.shows_transport = true;
    assert!((position(&player.block(64)) - 128.0 / RATE).abs() < 1e-9);
}
