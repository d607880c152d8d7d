//! Overbar in hosts: its parameters, output, MIDI, state, and what it does without a transport.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::review::Review;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_tests::host::{
    Block, ClapRig, EventKind, Host, HostTransport, Player, Vst3Rig, parameter_number,
};
use overbar_tests::song::Song;
use overbar_tests::{bundle, live, practice};

fn both() -> [(&'static str, Box<dyn Host>); 2] {
    [
        ("CLAP", Box::new(ClapRig::load(&bundle::clap()).unwrap())),
        ("VST3", Box::new(Vst3Rig::load(&bundle::vst3()).unwrap())),
    ]
}

/// The ids of both plugins' parameters. They are in every saved project: ids are only ever added.
const IDS: [&str; 34] = [
    "one_streak",
    "short_streak",
    "short_bars",
    "long_bars",
    "long_within",
    "channel",
    "low_key",
    "high_key",
    "one_offset",
    "finer",
    "click",
    "click_places",
    "click_count_in",
    "click_level",
    "record_only",
    "playback",
    "solo_rest",
    "mark",
    "melody",
    "felt_pulse",
    "feel",
    "rig_delay",
    "beat_source",
    "pair",
    "tap_note",
    "tap_channel",
    "tap",
    "across",
    "drill",
    "hear_speed",
    "hear_loop",
    "hear_click",
    "hear_tone",
    "hear_level",
];

/// Those that only the listening plugin has.
const LISTENING_IDS: [&str; 4] = ["role", "instrument", "tuning", "midi_out"];

/// Plugins of one kind, each with its ids beyond [`IDS`].
type Rigs<const N: usize> = [(&'static str, Box<dyn Host>, &'static [&'static str]); N];

#[test]
fn parameter_ids_never_change() {
    let (clap, vst3) = (bundle::clap(), bundle::vst3());
    let rigs: Rigs<4> = [
        ("CLAP", Box::new(ClapRig::load(&clap).unwrap()), &[]),
        ("VST3", Box::new(Vst3Rig::load(&vst3).unwrap()), &[]),
        ("CLAP, Listen", Box::new(ClapRig::load_listening(&clap).unwrap()), &LISTENING_IDS),
        ("VST3, Listen", Box::new(Vst3Rig::load_listening(&vst3).unwrap()), &LISTENING_IDS),
    ];
    for (plugin, mut host, more) in rigs {
        let found: Vec<u32> = host.parameters().iter().map(|p| p.id).collect();
        for id in IDS.iter().chain(more) {
            assert!(found.contains(&parameter_number(id)), "{plugin}: {id}");
        }
    }
}

/// A new parameter is added to the list above, so that its id never changes either.
#[test]
fn every_parameter_id_is_listed() {
    let rigs: Rigs<2> = [
        ("Overbar", Box::new(ClapRig::linked().unwrap()), &[]),
        ("Overbar Listen", Box::new(ClapRig::linked_listening().unwrap()), &LISTENING_IDS),
    ];
    for (plugin, mut host, more) in rigs {
        let listed: Vec<u32> = IDS.iter().chain(more).map(|id| parameter_number(id)).collect();
        let mut unlisted = host.parameters();
        unlisted.retain(|parameter| !listed.contains(&parameter.id));
        let names: Vec<&str> = unlisted.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names, [""; 0], "{plugin}: in no list");
        assert_eq!(host.parameters().len(), listed.len(), "{plugin}");
    }
}

/// What is shown of a value is read as a value that is shown alike: a host may show and read what its
/// user types.
#[test]
fn the_text_of_a_parameter_is_read_back() {
    let mut host = ClapRig::linked().unwrap();
    for parameter in host.parameters() {
        for step in 0..=1_000_u32 {
            let part = f64::from(step) / 1_000.0;
            let value = parameter.min + part * (parameter.max - parameter.min);
            let (name, back) = (&parameter.name, host.main().there_and_back(parameter.id, value));
            let Some((shown, read)) = back else {
                panic!("{name}: the text of {value} is not read")
            };
            let again = host.main().there_and_back(parameter.id, read).map(|(shown, _)| shown);
            assert_eq!(again.as_ref(), Some(&shown), "{name}: {value}, read as {read}");
        }
    }
}

#[test]
fn the_output_is_silent_and_the_notes_are_passed_on() {
    for (format, mut host) in both() {
        host.activate(48_000.0, 512).unwrap();
        let song = Song::steady(120.0, 4, 4).with_note(0.1, 0.1, 60).with_note(0.25, 0.1, 64);
        let mut player = Player::new(&song, 48_000.0, 0.0);
        let mut sent = Vec::new();
        let mut back = Vec::new();
        for _ in 0..60 {
            let block = player.block(512);
            let heard = host.process(&block);
            assert!(heard.is_silent(), "{format}: {} samples unwritten", heard.unwritten());
            let notes = |events: &[overbar_tests::host::HostEvent]| {
                let keys = events.iter().filter_map(|e| match e.kind {
                    EventKind::NoteOn { key, .. } => Some((true, key, e.offset)),
                    EventKind::NoteOff { key, .. } => Some((false, key, e.offset)),
                    _ => None,
                });
                keys.collect::<Vec<_>>()
            };
            sent.extend(notes(&block.events));
            back.extend(notes(&heard.events));
        }
        assert_eq!(sent.len(), 4);
        assert_eq!(back, sent, "{format}");
    }
}

/// Sets parameters to a fraction of their range.
fn set(host: &mut dyn Host, fractions: &[(&str, f64)]) {
    for (id, fraction) in fractions {
        let number = parameter_number(id);
        let parameters = host.parameters();
        let value = parameters.iter().find(|p| p.id == number).unwrap().at(*fraction);
        host.set_parameter(number, value);
    }
}

/// Where the silence before a click ends: the first sample of a click is 0 itself.
fn click_starts(out: &[f32]) -> Vec<usize> {
    let mut silent = 200;
    let mut starts = Vec::new();
    for (at, sample) in out.iter().enumerate() {
        if *sample == 0.0 {
            silent += 1;
        } else {
            starts.extend((silent > 200).then(|| at.saturating_sub(1)));
            silent = 0;
        }
    }
    starts
}

/// The samples are reckoned from the song's own tempo line.
#[test]
fn the_click_falls_on_its_sample_at_any_block_size_and_stops_with_the_transport() {
    let mut song = Song::steady(120.0, 4, 4);
    song.tempo.push((8.0, 90.0));
    // Blocks of these sizes have the change at their start.
    for frames in [240, 480, 960, 1_920] {
        for (format, mut host) in both() {
            host.activate(48_000.0, 2_048).unwrap();
            set(host.as_mut(), &[("click", 1.0), ("click_level", 1.0)]);
            let mut player = Player::new(&song, 48_000.0, 0.0);
            let mut left = Vec::new();
            while player.position() < 15.97 {
                let heard = host.process(&player.block(frames));
                assert_eq!((heard.unwritten(), &heard.left), (0, &heard.right));
                left.extend(heard.left);
            }
            let line = song.tempo_line();
            let due: Vec<usize> = (0..16)
                .map(|beat| (line.seconds(f64::from(beat)) * 48_000.0).round() as usize)
                .collect();
            assert_eq!(click_starts(&left), due, "{format}, {frames}");
            // In the middle of a click.
            let until = (line.seconds(16.0) * 48_000.0) as usize + 200 - left.len();
            assert!(!host.process(&player.block(until)).is_silent(), "{format}");
            assert!(host.process(&player.stopped(512)).is_silent(), "{format}");
        }
    }
}

#[test]
fn the_click_keeps_to_the_place_asked_for() {
    let song = Song::steady(120.0, 4, 4);
    // Every beat, 2 and 4, every other bar, then 1, its "and", 2, to the "and" of 8.
    let place = |value: f64| value / 18.0;
    for (places, count_in, due) in [
        (place(1.0), 0.0, vec![1.0, 3.0, 5.0, 7.0]),
        (place(2.0), 0.0, vec![0.0, 1.0, 2.0, 3.0]),
        (place(10.0), 0.0, vec![3.5, 7.5]),
        (place(10.0), 0.25, vec![0.0, 1.0, 2.0, 3.0, 7.5]),
    ] {
        for (format, mut host) in both() {
            host.activate(48_000.0, 1_024).unwrap();
            let options = [("click", 1.0), ("click_places", places), ("click_count_in", count_in)];
            set(host.as_mut(), &options);
            let mut player = Player::new(&song, 48_000.0, 0.0);
            let mut sizes = overbar_tests::host::ragged(3, 1_024);
            let mut left = Vec::new();
            while player.position() < 7.9 {
                left.extend(host.process(&player.block(sizes.next().unwrap())).left);
            }
            let beats: Vec<f64> =
                click_starts(&left).iter().map(|at| *at as f64 / 24_000.0).collect();
            assert_eq!(beats, due, "{format}");
        }
    }
}

#[test]
fn a_state_comes_back_whole_in_another_instance() {
    let song = &practice::takes()[0].song;
    for ((format, mut host), (_, mut other)) in both().into_iter().zip(both()) {
        live::play(host.as_mut(), song, &mut std::iter::repeat(480));
        let streak = parameter_number("one_streak");
        let value = host.parameters().iter().find(|p| p.id == streak).unwrap().at(0.5);
        host.set_parameter(streak, value);
        let state = host.save_state();
        assert!(other.load_state(&state), "{format}");
        other.service();
        assert_eq!(other.save_state(), state, "{format}: byte for byte");
        let read = |take: &Performance| {
            Review::of_take("take", &TakeAnalysis::of(take.clone(), Settings::default()))
        };
        let (a, b) = (live::takes(host.as_mut()), live::takes(other.as_mut()));
        assert_eq!(a.len(), 1, "{format}");
        assert_eq!(read(&a[0]), read(&b[0]), "{format}");
    }
}

#[test]
fn bad_states_are_survived_and_lose_nothing() {
    let song = &practice::takes()[0].song;
    for (format, mut host) in both() {
        live::play(host.as_mut(), song, &mut std::iter::repeat(480));
        let good = host.save_state();
        let half = &good[..good.len() / 2];
        let noise: Vec<u8> =
            (0..5_000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
        for bad in [&[][..], half, &noise] {
            host.load_state(bad);
            host.service();
            assert_eq!(live::takes(host.as_mut()).len(), 1, "{format}");
        }
        // One letter of the takes is another: the host gets its "loaded", we do not believe it.
        let mut damaged = good.clone();
        let at = good.windows(5).position(|w| w == b"takes").unwrap();
        damaged[at] = b'T';
        host.load_state(&damaged);
        assert_eq!(host.save_state(), good, "{format}");
    }
}

#[test]
fn without_a_transport_notes_are_passed_on_and_nothing_is_counted() {
    for (format, mut host) in both() {
        host.activate(48_000.0, 512).unwrap();
        let mut on =
            Block::empty(512).with(5, EventKind::NoteOn { key: 60, channel: 0, velocity: 0.7 });
        on.transport = None;
        if !host.can_represent(&on) {
            on.transport = Some(HostTransport::default());
        }
        let heard = host.process(&on);
        assert!(!heard.events.is_empty(), "{format}");
        assert!(live::takes(host.as_mut()).is_empty(), "{format}");
    }
}

/// The framework aborts the process on an allocation in `process`: that this test ends at all
/// is the check. The plugin is linked into the test, with that assertion on.
#[cfg(feature = "alloc-check")]
#[test]
fn process_allocates_nothing() {
    let mut host = ClapRig::linked().unwrap();
    set(&mut host, &[("click", 1.0), ("click_count_in", 0.5)]);
    for take in practice::takes() {
        live::play(&mut host, &take.song, &mut overbar_tests::host::ragged(5, 2_048));
    }
    // A flood of notes in one block, unsorted, with wildcards and chokes.
    let mut flood = Block::empty(512);
    for n in 0..3_000_u32 {
        let kind = match n % 4 {
            0 => EventKind::NoteOn { key: (n % 128) as i16, channel: 0, velocity: 0.5 },
            1 => EventKind::NoteOff { key: -1, channel: -1, velocity: 0.0 },
            2 => EventKind::Choke { key: (n % 128) as i16, channel: 3 },
            _ => EventKind::NoteOn { key: -1, channel: -1, velocity: 0.0 },
        };
        flood = flood.with((n * 37) % 512, kind);
    }
    host.process(&flood);
    assert_eq!(live::takes(&mut host).len(), 3);
}
