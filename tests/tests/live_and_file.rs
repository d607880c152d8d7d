//! The same solo, live through a built plugin and as a file through `review`, gives the same
//! phrases; so do blocks of any size.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::Choice;
use overbar_core::output::review::{Review, ReviewedPhrase};
use overbar_core::take::settings::Settings;
use overbar_testkit::labelled_solos;
use overbar_tests::host::{ClapRig, Host, Vst3Rig, ragged};
use overbar_tests::song::Song;
use overbar_tests::{bundle, live, practice, smf};
use proptest::prelude::*;

/// Samples are rounded to, ticks are not: what is left between live and file, in beats and
/// seconds, after rounding to three decimals.
const ROUNDING: f64 = 0.0021;

fn live_phrases(
    host: &mut dyn Host,
    song: &Song,
    sizes: &mut dyn Iterator<Item = usize>,
) -> Vec<ReviewedPhrase> {
    let before = live::takes(host).len();
    live::play(host, song, sizes);
    let takes = live::takes(host);
    assert_eq!(takes.len(), before + 1, "one pass, one take");
    Review::of_take("live", &TakeAnalysis::of(takes[before].clone(), Settings::default())).phrases
}

fn file_phrases(bytes: &[u8]) -> Vec<ReviewedPhrase> {
    Review::of("file", bytes, Choice::default(), Settings::default()).unwrap().phrases
}

fn assert_the_same(live: &[ReviewedPhrase], file: &[ReviewedPhrase], what: &str) {
    let firsts = |p: &[ReviewedPhrase]| p.iter().map(|p| p.first_note).collect::<Vec<_>>();
    assert_eq!(firsts(live), firsts(file), "{what}");
    for (a, b) in live.iter().zip(file) {
        let whole = |p: &ReviewedPhrase| {
            let places = [p.entry, p.exit].map(|e| (e.bar, e.class));
            (p.first_note, p.last_note, p.notes, places, p.subdivision, p.eighth_run)
        };
        assert_eq!(whole(a), whole(b), "{what}");
        let parts = |p: &ReviewedPhrase| {
            let rest = p.rest_before_seconds.unwrap_or(0.0);
            [p.entry.beat, p.exit.beat, p.beats, p.bars, p.seconds, rest]
        };
        for (x, y) in parts(a).into_iter().zip(parts(b)) {
            assert!((x - y).abs() <= ROUNDING, "{what}: {a:?} {b:?}");
        }
    }
}

/// A solo with changes of metre and tempo, most of them not on the edge of a block.
fn changing() -> (Vec<u8>, Song) {
    let mut song = practice::takes()[1].song.clone();
    song.metres = vec![(0.0, 4, 4), (16.0, 3, 4), (28.0, 6, 8), (40.0, 7, 8), (47.0, 4, 4)];
    song.tempo = vec![(0.0, 138.0), (10.3, 140.0), (21.7, 131.0), (33.0, 120.0), (52.5, 96.0)];
    let bytes = smf::write(&song);
    let song = smf::read(&bytes);
    (bytes, song)
}

#[test]
fn through_the_built_clap_and_vst3_as_through_a_file() {
    let mut songs: Vec<(Vec<u8>, Song)> = vec![changing()];
    for take in practice::takes() {
        let bytes = smf::write(&take.song);
        let song = smf::read(&bytes);
        songs.push((bytes, song));
    }
    for (bytes, song) in &songs {
        // New instances, for two of the songs have the same notes at other tempos, which one
        // instance would take for played back: the VST3 host cannot say that it records.
        let mut clap = ClapRig::load(&bundle::clap()).unwrap();
        let mut vst3 = Vst3Rig::load(&bundle::vst3()).unwrap();
        let file = file_phrases(bytes);
        assert!(file.len() > 4);
        for (what, host) in [("CLAP", &mut clap as &mut dyn Host), ("VST3", &mut vst3)] {
            let live = live_phrases(host, song, &mut std::iter::repeat(512));
            assert_the_same(&live, &file, what);
        }
    }
}

/// Against solos as people played them, whose tempo changes with every beat.
#[test]
fn recorded_solos_live_as_from_their_files() {
    let Some(solos) = labelled_solos("recorded solos, live and from their files") else { return };
    let mut clap = ClapRig::load(&bundle::clap()).unwrap();
    for number in (1..=212).step_by(15) {
        let name = format!("open-{number:03}.mid");
        let bytes = std::fs::read(solos.join("midi").join(&name)).unwrap();
        let song = smf::read(&bytes);
        // A block must not hold two tempo changes: a host tells only one of them.
        let live = live_phrases(&mut clap, &song, &mut ragged(number, 1_024));
        assert_the_same(&live, &file_phrases(&bytes), &name);
    }
}

fn sizes(choice: usize, seed: u64) -> Box<dyn Iterator<Item = usize>> {
    match choice {
        0 => Box::new(std::iter::repeat(1)),
        1 => Box::new(std::iter::repeat(32)),
        2 => Box::new(std::iter::repeat(64)),
        3 => Box::new(std::iter::repeat(1_024)),
        _ => Box::new(ragged(seed, 2_048)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(6) })]

    /// Invented solos over random metres and tempo changes.
    #[test]
    fn blocks_of_any_size_give_the_same_phrases(
        seed in any::<u64>(),
        metre in prop::sample::select(vec![(4, 4), (3, 4), (6, 8), (7, 8), (2, 2), (5, 4)]),
        tempo in 90.0..300.0_f64,
        change in 3.0..9.0_f64,
    ) {
        let mut random = fastrand::Rng::with_seed(seed);
        let mut song = Song::steady(tempo, 4, 4);
        song.tempo.push((change, tempo * 1.15));
        song.metres.push((8.0, metre.0, metre.1));
        let mut beat = 0.3;
        while beat < 13.0 {
            let length = 0.1 + 0.4 * random.f64();
            song = song.with_note(beat, length, random.u8(50..80));
            beat += length + if random.u8(0..5) == 0 { 1.5 } else { 0.05 * random.f64() };
        }
        let mut all = Vec::new();
        for choice in 0..5 {
            let mut host = ClapRig::linked().unwrap();
            all.push(live_phrases(&mut host, &song, &mut sizes(choice, seed)));
        }
        for other in &all[1..] {
            assert_the_same(other, &all[0], "block sizes");
        }
    }
}
