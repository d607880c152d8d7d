//! The band in the soloist's microphone, beside its own track.

use crate::{AT_440, RATE, assert_heard, line, noise, onsets};
use overbar_core::transcription::{BandSamples, HeardNote, NoteEvent, NoteTracker};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use proptest::prelude::*;

/// How much of the band is in the microphone, how many samples later it comes there, and how much of that once more
/// from a wall.
const LEAK: f32 = 0.1;
const WAY: usize = 300;
const WALL: (usize, f32) = (1_100, 0.5);

/// Four bars of the band alone, then a line, a rest, and the line again.
fn solo() -> Vec<Tone> {
    let again =
        |by: f64| line(0.25, 0.22).into_iter().map(move |t| tone(t.on + by, t.off + by, t.key));
    again(3.0).chain(again(8.0)).collect()
}

const SECONDS: f64 = 11.0;

/// Seconds a beat.
const BEAT: f64 = 0.5;

/// How loud the drums are.
const DRUMS: f32 = 0.2;

/// Keys of a bass line.
const BASS: [f64; 8] = [48.0, 52.0, 55.0, 52.0, 50.0, 54.0, 57.0, 54.0];

/// Soft drums, and a bass, for so many beats.
fn plays(rate: u32, count: usize) -> Vec<f32> {
    let drums = band(&beats(0.1, BEAT, 1.0, count), rate, |_| Plays::Time);
    let at = |beat: usize| 0.1 + BEAT * beat as f64;
    let bass: Vec<Tone> =
        (0..count).map(|beat| tone(at(beat), at(beat) + 0.45, BASS[beat % 8])).collect();
    let mut all = sound(&bass, Wave::Saw, at(count) + 0.4, rate);
    all.iter_mut().zip(drums).for_each(|(to, from)| *to += DRUMS * from);
    all
}

fn drums_and_bass(rate: u32) -> Vec<f32> {
    plays(rate, 21)
}

/// The soloist's microphone.
fn mic(band: &[f32]) -> Vec<f32> {
    with_leak(sound(&solo(), Wave::Saw, SECONDS, RATE), band, LEAK)
}

/// A microphone with so much of the band in it.
fn with_leak(mut mic: Vec<f32>, band: &[f32], leak: f32) -> Vec<f32> {
    for (later, loud) in [(WAY, 1.0), WALL] {
        mic.iter_mut().skip(later).zip(band).for_each(|(to, from)| *to += leak * loud * from);
    }
    mic
}

fn at_analysis(band: &[f32], rate: u32) -> Vec<f32> {
    let mut all = Vec::new();
    BandSamples::new(rate).unwrap().push(band, |sample| all.push(sample));
    all
}

fn events(mic: &[f32], band: &[f32], sizes: &[usize]) -> Vec<NoteEvent> {
    let mut tracker = NoteTracker::beside_band(RATE, AT_440).unwrap();
    let (mut events, mut rest) = (Vec::new(), mic);
    let mut band = band.iter().copied();
    for size in sizes.iter().cycle() {
        if rest.is_empty() {
            break;
        }
        let (block, after) = rest.split_at((*size).clamp(1, rest.len()));
        tracker.push_beside(block, &mut band, |event| events.push(event));
        rest = after;
    }
    tracker.finish(|event| events.push(event));
    events
}

fn heard(mic: &[f32], band: &[f32]) -> Vec<HeardNote> {
    let ended = |event: NoteEvent| match event {
        NoteEvent::Ended(note) => Some(note),
        _ => None,
    };
    events(mic, &at_analysis(band, RATE), &[4_096]).into_iter().filter_map(ended).collect()
}

/// What is heard that no tone began, from the soloist's first note on: before it nothing is known of how loud that
/// player is.
fn false_notes(notes: &[HeardNote]) -> usize {
    let tones = solo();
    let is_played =
        |note: &&&HeardNote| tones.iter().any(|tone| (tone.on - note.onset.0).abs() < 0.04);
    let later = notes.iter().filter(|note| note.onset.0 > tones[0].on - 0.04);
    later.clone().count() - later.filter(|note| is_played(&note)).count()
}

#[test]
fn the_band_in_the_microphone_is_told_from_the_soloist() {
    let band = drums_and_bass(RATE);
    let mic = mic(&band);
    let (without, beside) = (crate::heard(&mic), heard(&mic, &band));
    let (many, few) = (false_notes(&without), false_notes(&beside));
    assert!(many >= 5 && few <= 1, "{many} false notes without the band, {few} beside it");
    let played = |tone: &&Tone| {
        beside
            .iter()
            .any(|note| (note.onset.0 - tone.on).abs() < 0.04 && f64::from(note.key) == tone.key)
    };
    assert_eq!(solo().iter().filter(played).count(), solo().len(), "{:?}", onsets(&beside));
}

/// Once it is known how much of the band is in the microphone, what is left of it is no player, though no other has been
/// heard for sixteen bars. The
/// soloist who then comes in is heard from the first note on.
#[test]
fn a_band_alone_is_no_soloist() {
    const BEATS: usize = 64;
    let comes_in = BEAT * BEATS as f64;
    let band = plays(RATE, BEATS + 5);
    let late = |t: Tone| tone(t.on + comes_in, t.off + comes_in, t.key);
    let tones: Vec<Tone> = line(0.25, 0.22).into_iter().map(late).collect();
    let seconds = band.len() as f64 / f64::from(RATE);
    let mic = with_leak(sound(&tones, Wave::Saw, seconds, RATE), &band, LEAK);
    let early = |note: &HeardNote| note.onset.0 < comes_in;
    let without = crate::heard(&mic).into_iter().filter(early).count();
    assert!(without >= BEATS / 2, "without the band's track nothing tells it: {without}");
    // How much of it is in the microphone is learnt for each of the bass's eight keys, the second time round too.
    let mut beside = heard(&mic, &band);
    beside.retain(|note| note.onset.0 > 2.5 * BASS.len() as f64 * BEAT);
    assert_heard(&beside, &tones, 0.04);
}

/// A track that is early waits for the microphone. One that is late takes nothing out, rather than the wrong thing.
#[test]
fn an_early_track_waits_and_a_late_one_does_no_harm() {
    let band = drums_and_bass(RATE);
    let mic = mic(&band);
    let without = false_notes(&crate::heard(&mic));
    for (milliseconds, most) in [(-100, 2), (-50, 2), (-20, 2), (20, without), (50, without)] {
        let silence = vec![0.0; RATE as usize * i32::unsigned_abs(milliseconds) as usize / 1_000];
        let track = match milliseconds {
            ..0 => [&band[silence.len()..], &silence].concat(),
            0.. => [&silence, &band[..]].concat(),
        };
        let beside = heard(&mic, &track);
        let wrong = false_notes(&beside);
        assert!(wrong <= most, "{milliseconds} ms: {wrong} false notes");
        for tone in solo() {
            let is_it = |note: &HeardNote| (note.onset.0 - tone.on).abs() < 0.04;
            assert!(beside.iter().any(is_it), "{milliseconds} ms: {tone:?}");
        }
    }
}

/// A track that says nothing of the microphone changes nothing.
#[test]
fn what_is_not_in_the_microphone_is_not_taken_out() {
    let clean = sound(&solo(), Wave::Saw, SECONDS, RATE);
    let band = drums_and_bass(RATE);
    let loud: Vec<f32> = band.iter().map(|sample| sample * 30.0).collect();
    let reversed: Vec<f32> = band.iter().rev().copied().collect();
    for (name, other) in [
        ("nothing", vec![]),
        ("silence", vec![0.0; clean.len()]),
        ("another track", band),
        ("a loud one", loud),
        ("backwards", reversed),
        ("noise", noise(clean.len(), 0.3)),
        ("a constant", vec![0.5; clean.len()]),
        ("NaN", vec![f32::NAN; clean.len()]),
        ("infinity", vec![f32::INFINITY; clean.len()]),
        ("the largest number", vec![f32::MAX; clean.len()]),
    ] {
        let notes = heard(&clean, &other);
        assert_eq!(notes.len(), solo().len(), "{name}: {:?}", onsets(&notes));
        assert_heard(&notes, &solo(), 0.025);
    }
}

#[test]
fn rates_of_the_band_are_alike() {
    let track = drums_and_bass(RATE);
    let mic = mic(&track);
    let expected = heard(&mic, &track);
    for rate in [22_050, 44_100, 96_000] {
        let other = drums_and_bass(rate);
        let events = events(&mic, &at_analysis(&other, rate), &[4_096]);
        let ended = events.iter().filter(|event| matches!(event, NoteEvent::Ended(_))).count();
        assert!(ended.abs_diff(expected.len()) <= 2, "{rate}: {ended}, {}", expected.len());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4))]

    #[test]
    fn any_size_of_block_gives_the_same_notes_beside_a_band(sizes in prop::collection::vec(1..5_000_usize, 1..6)) {
        let band = drums_and_bass(RATE);
        let (mic, band) = (mic(&band), at_analysis(&band, RATE));
        prop_assert_eq!(events(&mic, &band, &sizes), events(&mic, &band, &[mic.len()]));
    }
}
