//! An instance on the band's track tells the soloists' instances in the same host where the beat is.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::band::{BandCountIn, BandHearing, BandTake};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Beat, Second, SecondSpan};
use overbar_testkit::band::{Plays, band};
use overbar_testkit::tones::{self, Tone, Wave, tone};
use overbar_tests::host::{
    Block, ClapRig, EventKind, Host, HostEvent, HostTransport, Vst3Rig, parameter_number,
};
use overbar_tests::{bundle, live};
use std::time::Duration;

/// The host's tempo: the band begins near it, and strays from it.
const HOST: f64 = 126.0;

const FRAMES: usize = 480;

/// Beats that the band plays.
const BEATS: i32 = 96;

/// When a beat of the band's is. Beat one comes with the host's first bar; the band slows down by a tenth.
fn second_of(beat: f64) -> f64 {
    beat * 60.0 / HOST * (1.0 + 0.0005 * beat)
}

/// The band, along these beats.
fn sound(second_of: impl Fn(f64) -> f64) -> Vec<f32> {
    let beats: Vec<f64> = (0..BEATS).map(|beat| second_of(beat.into())).collect();
    band(&beats, live::RATE as u32, |_| Plays::Time)
}

/// Phrases of eighths that start on these beats: on ones, off them, and on other beats.
const STARTS: [f64; 7] = [8.5, 16.0, 29.5, 38.0, 51.5, 64.0, 79.5];

fn notes() -> Vec<(f64, f64, i16)> {
    let phrase = |start: f64| (0..9).map(move |eighth| start + f64::from(eighth) / 2.0);
    let beats = STARTS.into_iter().flat_map(phrase).zip((60..).cycle().take(200));
    beats.map(|(beat, key)| (second_of(beat), second_of(beat + 0.4), 60 + key % 11)).collect()
}

fn block(from: usize, playing: bool) -> Block {
    let second = from as f64 / live::RATE;
    let transport = HostTransport {
        beats: Some(second * HOST / 60.0),
        seconds: Some(second),
        tempo: Some(HOST),
        signature: Some((4, 4)),
        playing,
        ..HostTransport::default()
    };
    Block { transport: Some(transport), ..Block::empty(FRAMES) }
}

fn set(host: &mut dyn Host, id: &str, fraction: f64) {
    let number = parameter_number(id);
    let found = host.parameters().into_iter().find(|p| p.id == number).unwrap();
    host.set_parameter(number, found.at(fraction));
}

/// Plays band and solo for so many seconds, in one host; with `bands`, each with its own sound.
fn play(bands: &mut [(&mut dyn Host, &[f32])], solo: &mut dyn Host, seconds: f64) {
    let sample = |second: f64| (second * live::RATE).round() as usize;
    let mut events = Vec::new();
    for (from, to, key) in notes() {
        events.push((sample(from), EventKind::NoteOn { key, channel: 0, velocity: 0.7 }));
        events.push((sample(to), EventKind::NoteOff { key, channel: 0, velocity: 0.0 }));
    }
    events.sort_by_key(|(at, kind)| (*at, matches!(kind, EventKind::NoteOn { .. })));
    let end = sample(seconds);
    for from in (0..end + FRAMES).step_by(FRAMES) {
        let playing = from < end;
        for (host, sound) in &mut *bands {
            let part: Vec<f32> = (from..from + FRAMES)
                .map(|at| sound.get(at).copied().filter(|_| playing).unwrap_or(0.0))
                .collect();
            host.process(&Block { sound: vec![part.clone(), part], ..block(from, playing) });
        }
        let mut block = block(from, playing);
        let inside = events.iter().filter(|(at, _)| (from..from + FRAMES).contains(at));
        block.events.extend(inside.map(|(at, kind)| HostEvent {
            offset: u32::try_from(at - from).unwrap(),
            kind: *kind,
        }));
        solo.process(&block);
        // Some eight times as fast as it is, which the workers can follow.
        std::thread::sleep(Duration::from_secs_f64(FRAMES as f64 / live::RATE / 8.0));
    }
    std::thread::sleep(Duration::from_millis(300));
}

fn starts(take: &Performance) -> Vec<f64> {
    let analysis = TakeAnalysis::of(take.clone(), Settings::default());
    let first = |phrase: &overbar_core::phrase::Phrase| {
        analysis.take().soloist.notes()[phrase.first_note].on.beat.0
    };
    analysis.phrases().iter().map(first).collect()
}

fn are_near(starts: &[f64]) -> bool {
    starts.len() == STARTS.len()
        && starts.iter().zip(STARTS).all(|(start, true_one)| (start - true_one).abs() < 0.12)
}

/// Both plugins of a format.
fn rigs(format: &str) -> [Box<dyn Host>; 2] {
    match format {
        "CLAP" => [
            Box::new(ClapRig::load_listening(&bundle::clap()).unwrap()),
            Box::new(ClapRig::load(&bundle::clap()).unwrap()),
        ],
        _ => [
            Box::new(Vst3Rig::load_listening(&bundle::vst3()).unwrap()),
            Box::new(Vst3Rig::load(&bundle::vst3()).unwrap()),
        ],
    }
}

fn ready(host: &mut dyn Host, settings: &[(&str, f64)]) {
    host.activate(live::RATE, FRAMES).unwrap();
    settings.iter().for_each(|(id, fraction)| set(host, id, *fraction));
    host.process(&Block::empty(FRAMES));
    std::thread::sleep(Duration::from_millis(50));
}

/// The take on the beats that the same sound in a file gives.
fn in_a_file(sound: &[f32], take: &Performance) -> Performance {
    let mut hearing = BandHearing::new(live::RATE as u32).unwrap();
    let first_hop = hearing.first_hop();
    let mut hops = Vec::new();
    hearing.push(sound, |hop| hops.push(hop));
    let period = SecondSpan(60.0 / HOST);
    let count_in = BandCountIn::at(Second(0.0), period, Metre::COMMON).unwrap();
    let band = BandTake::new(count_in, first_hop, &hops);
    let anchors = band.anchors(&band.beats(&[]), &[]).unwrap();
    let clock = |at: Second| take.host_tempo().second_at(Beat(at.0 * HOST / 60.0));
    let mut file = take.clone();
    file.set_grid(Some(&anchors.moved(clock).unwrap()));
    file
}

#[test]
fn a_solo_is_named_by_the_beat_of_the_band() {
    let sound = sound(second_of);
    for format in ["CLAP", "VST3"] {
        let [mut drums, mut solo] = rigs(format);
        ready(drums.as_mut(), &[("role", 0.5)]);
        ready(solo.as_mut(), &[("beat_source", 1.0)]);
        play(&mut [(drums.as_mut(), &sound)], solo.as_mut(), second_of(90.0));
        let takes = live::takes(solo.as_mut());
        assert_eq!(takes.len(), 1, "{format}");
        let take = &takes[0];
        let on_band = starts(take);
        assert!(are_near(&on_band), "{format}: {on_band:?}");
        // The band's instance has worked the beats out from both sides, as they are of a file, but that it
        // listened for a block before: a beat is reported to within a frame of 20 ms.
        let played = &sound[..(second_of(90.0) * live::RATE) as usize];
        let file = in_a_file(played, take);
        for (one, other) in take.soloist.notes().iter().zip(file.soloist.notes()) {
            let (one, other) = (one.on.beat.0, other.on.beat.0);
            assert!((one - other).abs() < 0.04, "{format}: {one} {other}");
        }
        let mut on_host = take.clone();
        on_host.set_grid(None);
        assert!(!are_near(&starts(&on_host)), "{format}: the host's beats are others");
        assert!(live::takes(drums.as_mut()).is_empty(), "{format}: the band's is no take");
    }
}

/// Two bands in one project: each soloist goes by the band of the same number, and one whose band is not there
/// stays with the host.
#[test]
fn two_bands_do_not_mix() {
    let slow = |beat: f64| beat * 60.0 / HOST * 1.08;
    let seconds = second_of(90.0);
    let (right, wrong) = (sound(second_of), sound(slow));
    for (pair, follows) in [(2.0, true), (3.0, false)] {
        let mut others = ClapRig::load_listening(&bundle::clap()).unwrap();
        let [mut drums, mut solo] = rigs("CLAP");
        ready(&mut others, &[("role", 0.5), ("pair", 1.0 / 8.0)]);
        ready(drums.as_mut(), &[("role", 0.5), ("pair", 2.0 / 8.0)]);
        ready(solo.as_mut(), &[("beat_source", 1.0), ("pair", pair / 8.0)]);
        let mut bands: [(&mut dyn Host, &[f32]); 2] =
            [(&mut others, &wrong), (drums.as_mut(), &right)];
        play(&mut bands, solo.as_mut(), seconds);
        let take = &live::takes(solo.as_mut())[0];
        assert_eq!(take.own_grid.is_some(), follows, "pair {pair}");
        assert_eq!(are_near(&starts(take)), follows, "pair {pair}: {:?}", starts(take));
    }
}

/// One instance hears both: the soloist on the left channel, the band on the right one. The band comes in with the
/// host's first bar, or is counted in by taps while the host's bars mean nothing.
#[test]
fn soloist_and_band_share_a_track() {
    let band = sound(second_of);
    let tones: Vec<Tone> =
        notes().into_iter().map(|(on, off, key)| tone(on, off, key.into())).collect();
    let seconds = second_of(90.0);
    let solo = tones::sound(&tones, Wave::Saw, seconds, live::RATE as u32);
    for format in ["CLAP", "VST3"] {
        let mut host = rigs(format).into_iter().next().unwrap();
        ready(host.as_mut(), &[("role", 1.0), ("beat_source", 1.0)]);
        play_sides(host.as_mut(), (&solo, &band), &[]);
        let take = &live::takes(host.as_mut())[0];
        assert!(are_near(&starts(take)), "{format}: {:?}", starts(take));
        let file = in_a_file(&band[..(seconds * live::RATE) as usize], take);
        for (one, other) in take.soloist.notes().iter().zip(file.soloist.notes()) {
            let (one, other) = (one.on.beat.0, other.on.beat.0);
            assert!((one - other).abs() < 0.04, "{format}: {one} {other}");
        }
    }
    // The host has rolled for three seconds and a bit when the band comes in.
    let lead = 3.1;
    let later = |sound: &[f32]| [&vec![0.0; (lead * live::RATE) as usize], sound].concat();
    let taps = [4.0, 3.0, 2.0, 1.0].map(|before| lead - before * 60.0 / HOST);
    let [mut host, _] = rigs("CLAP");
    ready(host.as_mut(), &[("role", 1.0), ("beat_source", 0.5)]);
    play_sides(host.as_mut(), (&later(&solo), &later(&band)), &taps);
    let take = &live::takes(host.as_mut())[0];
    assert!(are_near(&starts(take)), "counted in: {:?}", starts(take));
}

/// Plays two sounds as the sides of one track; the parameter taps at these seconds.
fn play_sides(host: &mut dyn Host, (left, right): (&[f32], &[f32]), taps: &[f64]) {
    let end = left.len();
    let mut tapped = 0;
    for from in (0..end + FRAMES).step_by(FRAMES) {
        let playing = from < end;
        let side = |sound: &[f32]| -> Vec<f32> {
            let at = |at| sound.get(at).copied().filter(|_| playing).unwrap_or(0.0);
            (from..from + FRAMES).map(at).collect()
        };
        let is_tap = taps.get(tapped).is_some_and(|tap| from as f64 / live::RATE >= *tap);
        if is_tap || tapped > 0 {
            set(host, "tap", f64::from(u8::from(is_tap)));
            tapped += usize::from(is_tap);
        }
        host.process(&Block { sound: vec![side(left), side(right)], ..block(from, playing) });
        std::thread::sleep(Duration::from_secs_f64(FRAMES as f64 / live::RATE / 8.0));
    }
    // The worker hears what waits when no more sound comes.
    std::thread::sleep(Duration::from_millis(900));
}
