//! Playing without a click, in hosts: four taps count in, and phrases are named by the beat that is tapped.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::follower::follow;
use overbar_core::output::review::{Review, ReviewedPhrase};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_tests::host::{
    Block, ClapRig, EventKind, Heard, Host, HostEvent, HostTransport, Vst3Rig, parameter_number,
};
use overbar_tests::rehearsal::{self, Rehearsal};
use overbar_tests::{bundle, live, practice};
use std::collections::BTreeSet;

/// The pedal's key.
const PEDAL: i16 = 36;

/// The host's tempo, which says nothing of the band's.
const HOST: f64 = 120.0;

fn both() -> [(&'static str, Box<dyn Host>); 2] {
    [
        ("CLAP", Box::new(ClapRig::load(&bundle::clap()).unwrap())),
        ("VST3", Box::new(Vst3Rig::load(&bundle::vst3()).unwrap())),
    ]
}

/// When the band's beat is: it slows down from 96 to some 80 a minute. Beat one is beat 0.
fn second_of(beat: f64) -> f64 {
    3.5 + beat * 0.625 + 0.0008 * beat * beat
}

/// A tap on each beat of the count-in and of six bars.
fn taps() -> Vec<f64> {
    (-4..24).map(|beat| second_of(f64::from(beat))).collect()
}

/// Three phrases of eighths: on the and of 1, on beat three of bar 3, and on beat one of bar 5.
const STARTS: [f64; 3] = [0.5, 10.0, 16.0];

fn melody() -> Vec<(f64, f64)> {
    let phrase = |start: f64| (0..8).map(move |eighth| start + f64::from(eighth) / 2.0);
    let beats = STARTS.into_iter().flat_map(phrase);
    beats.map(|beat| (second_of(beat), second_of(beat + 0.4))).collect()
}

fn sample(second: f64) -> usize {
    (second * live::RATE).round() as usize
}

/// All that is played, in order: the melody, and the pedal if taps are notes.
fn events(pedal: bool) -> Vec<(usize, EventKind)> {
    let on = |key: i16| EventKind::NoteOn { key, channel: 0, velocity: 0.7 };
    let off = |key: i16| EventKind::NoteOff { key, channel: 0, velocity: 0.0 };
    let keys = (60..).cycle().take(200).map(|key: i16| 60 + key % 9);
    let notes = melody().into_iter().zip(keys);
    let mut all: Vec<_> = notes
        .flat_map(|((from, to), key)| [(sample(from), on(key)), (sample(to), off(key))])
        .collect();
    if pedal {
        let taps = taps().into_iter().map(sample);
        all.extend(taps.flat_map(|at| [(at, on(PEDAL)), (at + 4_000, off(PEDAL))]));
    }
    all.sort_by_key(|(at, kind)| (*at, matches!(kind, EventKind::NoteOn { .. })));
    all
}

fn transport(from: usize, playing: bool) -> HostTransport {
    let second = from as f64 / live::RATE;
    HostTransport {
        beats: Some(second * HOST / 60.0),
        seconds: Some(second),
        tempo: Some(HOST),
        signature: Some((4, 4)),
        playing,
        ..HostTransport::default()
    }
}

/// Plays all of it in blocks of so many samples, with parameter changes at the start of blocks.
fn play(
    host: &mut dyn Host,
    events: &[(usize, EventKind)],
    frames: usize,
    mut parameter: impl FnMut(usize) -> Option<f64>,
) -> Vec<Heard> {
    let number = parameter_number("tap");
    let end = sample(second_of(26.0));
    let mut heard = Vec::new();
    for from in (0..end + frames).step_by(frames) {
        let mut block =
            Block { transport: Some(transport(from, from < end)), ..Block::empty(frames) };
        if let Some(value) = parameter(from) {
            block = block.with(0, EventKind::Param { id: number, value });
        }
        let inside = events.iter().filter(|(at, _)| (from..from + frames).contains(at));
        block.events.extend(inside.map(|(at, kind)| HostEvent {
            offset: u32::try_from(at - from).unwrap(),
            kind: *kind,
        }));
        heard.push(host.process(&block));
    }
    std::thread::sleep(std::time::Duration::from_millis(200));
    heard
}

fn set(host: &mut dyn Host, id: &str, value: impl Fn(f64, f64) -> f64) {
    let number = parameter_number(id);
    let found = host.parameters().into_iter().find(|p| p.id == number).unwrap();
    host.set_parameter(number, value(found.min, found.max));
}

/// The beat comes from taps, and the pedal is its note.
fn prepare(host: &mut dyn Host, frames: usize) {
    host.activate(live::RATE, frames).unwrap();
    set(host, "beat_source", |min, max| (min + max) / 2.0);
    // Its values are none, and the keys from 0 on.
    set(host, "tap_note", |min, max| min + (max - min) * f64::from(PEDAL + 1) / 128.0);
    host.process(&Block::empty(frames));
    std::thread::sleep(std::time::Duration::from_millis(50));
}

fn phrases(take: &Performance) -> Vec<ReviewedPhrase> {
    let analysis = TakeAnalysis::of(take.clone(), Settings::default());
    Review::of_take("take", &analysis).phrases
}

fn starts(take: &Performance) -> Vec<(i64, String)> {
    let start = |phrase: ReviewedPhrase| (phrase.entry.bar, format!("{:.2}", phrase.entry.beat));
    phrases(take).into_iter().map(start).collect()
}

/// The same melody on the host's grid, put on that of these taps as a file is.
fn from_a_file(take: &Performance, taps: &[f64]) -> Performance {
    let mut file = take.clone();
    file.set_grid(None);
    let followed = follow(taps.iter().map(|tap| Second(*tap)), Metre::COMMON, SecondSpan(0.0));
    file.set_grid(Some(&followed.anchors().unwrap()));
    file
}

fn starts_are_near(take: &Performance) {
    let analysis = TakeAnalysis::of(take.clone(), Settings::default());
    let first = |phrase: &overbar_core::phrase::Phrase| {
        analysis.take().soloist.notes()[phrase.first_note].on.beat.0
    };
    let starts: Vec<f64> = analysis.phrases().iter().map(first).collect();
    assert_eq!(starts.len(), STARTS.len(), "{starts:?}");
    for (start, true_one) in starts.iter().zip(STARTS) {
        assert!((start - true_one).abs() < 0.05, "{starts:?}");
    }
}

#[test]
fn a_pedal_counts_in_and_its_notes_are_not_played() {
    for (format, mut host) in both() {
        prepare(host.as_mut(), 512);
        let heard = play(host.as_mut(), &events(true), 512, |_| None);
        let keys: BTreeSet<i16> = heard
            .iter()
            .flat_map(|block| &block.events)
            .filter_map(|event| match event.kind {
                EventKind::NoteOn { key, .. } | EventKind::NoteOff { key, .. } => Some(key),
                _ => None,
            })
            .collect();
        assert!(!keys.contains(&PEDAL) && keys.len() > 5, "{format}: {keys:?}");
        let takes = live::takes(host.as_mut());
        assert_eq!(takes.len(), 1, "{format}");
        let take = &takes[0];
        assert_eq!(take.soloist.notes().len(), melody().len(), "{format}");
        starts_are_near(take);
        let tapped: Vec<f64> =
            taps().into_iter().map(|tap| sample(tap) as f64 / live::RATE).collect();
        // The plugin's clock began before the song, by the blocks that prepared it.
        let first = take.soloist.notes()[0].on.second.0 - sample(melody()[0].0) as f64 / live::RATE;
        let tapped: Vec<f64> = tapped.iter().map(|tap| tap + first).collect();
        let file = from_a_file(take, &tapped);
        assert_eq!(starts(take), starts(&file), "{format}: as from a file with the same taps");
        for (one, other) in take.soloist.notes().iter().zip(file.soloist.notes()) {
            assert!((one.on.beat.0 - other.on.beat.0).abs() < 1e-6, "{format}");
        }
        assert!(take.host_tempo().knots()[0].tempo.quarters_a_minute() == HOST, "{format}");
    }
}

#[test]
fn a_parameter_taps_and_any_block_size_names_phrases_alike() {
    for (format, mut host) in both() {
        prepare(host.as_mut(), 64);
        let on = host.parameters().iter().find(|p| p.id == parameter_number("tap")).unwrap().max;
        let taps: Vec<usize> = taps().into_iter().map(sample).collect();
        let pressed = |from: usize| {
            let within =
                |late: usize| taps.iter().any(|tap| (from..from + 64).contains(&(tap + late)));
            if within(0) { Some(on) } else { within(4_800).then_some(0.0) }
        };
        play(host.as_mut(), &events(false), 64, pressed);
        let takes = live::takes(host.as_mut());
        assert_eq!(takes.len(), 1, "{format}");
        starts_are_near(&takes[0]);
    }
    let starts: Vec<_> = [32, 480, 4_096]
        .map(|frames| {
            let mut host = ClapRig::load(&bundle::clap()).unwrap();
            prepare(&mut host, frames);
            play(&mut host, &events(true), frames, |_| None);
            starts(&live::takes(&mut host)[0])
        })
        .to_vec();
    assert!(starts.iter().all(|one| *one == starts[0]), "{starts:?}");
}

#[test]
fn the_click_follows_the_taps() {
    let mut host = ClapRig::load(&bundle::clap()).unwrap();
    prepare(&mut host, 256);
    set(&mut host, "click", |_, max| max);
    let frames = 256;
    let end = sample(second_of(23.5));
    let events = events(true);
    let mut sound = Vec::new();
    for from in (0..end).step_by(frames) {
        let mut block = Block { transport: Some(transport(from, true)), ..Block::empty(frames) };
        let inside = events.iter().filter(|(at, _)| (from..from + frames).contains(at));
        block.events.extend(inside.map(|(at, kind)| HostEvent {
            offset: u32::try_from(at - from).unwrap(),
            kind: *kind,
        }));
        sound.extend(host.process(&block).left);
        // The worker tells the audio thread of a tap within some 4 ms.
        std::thread::sleep(std::time::Duration::from_secs_f64(frames as f64 / live::RATE / 2.0));
    }
    let quiet = &sound[..sample(second_of(-1.0))];
    assert!(quiet.iter().all(|sample| *sample == 0.0), "no click before the count-in is over");
    // Where it sounds after a twentieth of a second of silence, a click begins.
    let mut clicks = Vec::new();
    let mut silent = 0;
    for (at, sample) in sound.iter().enumerate() {
        if sample.abs() > 1e-3 {
            if silent > 2_400 {
                clicks.push(at as f64 / live::RATE);
            }
            silent = 0;
        } else {
            silent += 1;
        }
    }
    let expected: Vec<f64> = (0..24).map(|beat| second_of(f64::from(beat))).collect();
    assert_eq!(clicks.len(), expected.len(), "{clicks:?}");
    for (click, beat) in clicks.iter().zip(&expected) {
        // A tap is known once it was tapped: the click comes with the beat that was expected.
        assert!((click - beat).abs() < 0.03, "{click} {beat}");
    }
}

/// A rehearsal without a click: a count-in, a foot on the pedal, a drum break of eight bars that nobody taps
/// through, and one correction by hand where the count went wrong. Its figures are those of the true beats.
#[test]
fn a_rehearsal_without_a_click() {
    let mut all = (0, 0);
    for (number, take) in practice::takes().iter().enumerate() {
        let mut host = ClapRig::linked().unwrap();
        host.activate(live::RATE, 512).unwrap();
        rehearsal::use_taps(&mut host);
        host.process(&Block::empty(512));
        std::thread::sleep(std::time::Duration::from_millis(50));
        let rehearsal = Rehearsal::of(&take.song, &(48..80), 40 + number as u64);
        live::play(&mut host, &rehearsal.song, &mut std::iter::repeat(512));
        let takes = live::takes(&mut host);
        assert_eq!(takes.len(), 1);
        let mut tapped = takes[0].clone();
        assert_eq!(tapped.soloist.notes().len(), take.song.notes.len(), "no tap is a note of it");
        let certainty = tapped.certainty().unwrap();
        assert!(certainty.is_approximate(), "a quarter of the beats was bridged: {certainty:?}");
        let truth = rehearsal.on_true_beats(&tapped);
        // By hand: beat one of bar 21 is where it was played.
        let mut on_host = tapped.clone();
        on_host.set_grid(None);
        let beat_one = Second(rehearsal.second_of(80.0)) + rehearsal.clock(&on_host);
        let anchors = tapped.own_grid.as_ref().unwrap().anchors.with_beat_one_at(beat_one).unwrap();
        tapped.set_grid(Some(&anchors));
        let (right, of) = rehearsal::alike(&tapped, &truth);
        let (by_host, _) = rehearsal::alike(&on_host, &truth);
        assert!(by_host < right, "{}: {by_host} by the host's beats, {right} by taps", take.name);
        all = (all.0 + right, all.1 + of);
        let bars =
            |take: &Performance| phrases(take).iter().map(|p| p.entry.bar).collect::<Vec<_>>();
        let near = |pair: (&i64, &i64)| (pair.0 - pair.1).abs() <= 1;
        assert!(bars(&tapped).iter().zip(&bars(&truth)).all(near), "the count is right again");
    }
    // Every phrase, those in the break among them; taps on every beat keep 86 % of recorded solos' starts.
    assert!(all.0 * 100 >= all.1 * 82, "{all:?}");
}
