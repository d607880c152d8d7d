//! An evening's practice in a host: two choruses of free play, a line that climbs from half notes to
//! eighths, entries on the "and" of 4, free play again. All of it is one take, and each drill has
//! its result.

use overbar::jobs::progress_job;
use overbar::practice::drill_book::SavedPractice;
use overbar::practice::results::KeptResult;
use overbar::view_model::progress::ProgressFilter;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::phrase::Phrase;
use overbar_core::phrase::figures::{Figures, figures};
use overbar_core::stats::Share;
use overbar_core::take::settings::{AlertSettings, Settings};
use overbar_library::{FOLDER_VARIABLE, default_path};
use overbar_testkit::soloist::{Bar, Hand, Intent, Timing};
use overbar_tests::host::{ClapRig, Host, Player, parameter_number};
use overbar_tests::live;
use overbar_tests::song::Song;
use std::time::{Duration, Instant};

/// Quarters a minute.
const TEMPO: f64 = 132.0;

/// Beats of a bar, and bars of a chorus.
const BAR: f64 = 4.0;
const CHORUS: f64 = 12.0 * BAR;

/// A player 20 ms behind the beat, with a spread of 6 ms.
struct Soloist {
    song: Song,
    hand: Hand,
    random: fastrand::Rng,
}

impl Soloist {
    fn note(&mut self, beat: f64, length: f64) {
        let intent = Intent { place: beat, swings: false, accent: false };
        let on = self.hand.strike(intent, TEMPO, &mut self.random);
        let key = 55 + self.random.u8(0..24);
        let song = std::mem::replace(&mut self.song, Song::steady(TEMPO, 4, 4));
        self.song = song.with_note(on, length, key);
    }

    /// Notes of `step` beats from one beat to another, but for the places that are left out.
    fn line(&mut self, step: f64, from: f64, left_out: std::ops::Range<usize>) {
        let places = (CHORUS / step).round() as usize;
        for place in (0..places).filter(|place| !left_out.contains(place)) {
            self.note(from + place as f64 * step, step * 0.85);
        }
    }

    fn phrase(&mut self, from: f64) {
        (0..7).for_each(|note| self.note(from + f64::from(note) * 0.5, 0.42));
    }
}

/// Where each drill is begun, and where the first bar line after the count-in lies.
const CLIMB: (f64, f64) = (95.0, 100.0);
const ENTRIES: (f64, f64) = (247.0, 252.0);
const ENDED: f64 = 307.0;
const FREE_AGAIN: f64 = 308.0;

fn evening() -> Song {
    let timing = Timing { off_beat_lag: 20.0, ..Timing::simple(20.0, 6.0, 1.0) };
    let mut soloist = Soloist {
        song: Song::steady(TEMPO, 4, 4),
        hand: Hand::new(timing, Bar::COMMON),
        random: fastrand::Rng::with_seed(3),
    };
    // Free: every phrase comes in on beat one.
    (0..12).for_each(|phrase| soloist.phrase(f64::from(phrase) * 8.0));
    // Half notes, quarters, and eighths that break off in bar 9.
    soloist.line(2.0, CLIMB.1, 0..0);
    soloist.line(1.0, CLIMB.1 + CHORUS, 0..0);
    soloist.line(0.5, CLIMB.1 + 2.0 * CHORUS, 66..69);
    // Entries on the "and" of 4, but one on 1 and one on the "and" of 3.
    for (phrase, place) in (0..).zip([3.5, 3.5, 4.0, 3.5, 2.5, 3.5]) {
        soloist.phrase(ENTRIES.1 + f64::from(phrase) * 8.0 + place);
    }
    // Free, and entries have moved.
    for phrase in 0..12_u32 {
        let place = [3.5, 1.5, 0.0, 2.5][phrase as usize % 4];
        soloist.phrase(FREE_AGAIN + f64::from(phrase) * 8.0 + place);
    }
    soloist.song
}

fn practice(host: &mut dyn Host) -> SavedPractice {
    overbar::host::state::practice_in(&host.save_state()).expect("a state of Overbar's")
}

/// Sets the parameter and waits until the worker has seen to it.
fn set(host: &mut dyn Host, value: f64, done: impl Fn(&SavedPractice) -> bool) {
    host.set_parameter(parameter_number("drill"), value);
    let began = Instant::now();
    while !done(&practice(host)) {
        assert!(began.elapsed() < Duration::from_secs(20), "the worker never saw to it");
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn met(kept: &KeptResult) -> (u32, u32) {
    (kept.goals[0].met, kept.goals[0].due)
}

#[test]
fn two_choruses_free_a_climbing_line_entries_and_free_again() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: nothing else of this process is under way yet.
    unsafe { std::env::set_var(FOLDER_VARIABLE, folder.path()) };
    let song = evening();
    let mut host = ClapRig::linked().unwrap();
    host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    let mut player = Player::new(&song, live::RATE, -2.0);
    let mut play_to = |host: &mut ClapRig, beat: f64| {
        while player.position() < beat {
            let block = player.block(512);
            host.process(&block);
        }
        if beat > FREE_AGAIN {
            host.process(&player.stopped(64));
        }
    };
    play_to(&mut host, CLIMB.0);
    set(&mut host, 2.0, |saved| saved.drill.contains("Halves, quarters, eighths"));
    play_to(&mut host, ENTRIES.0);
    set(&mut host, 3.0, |saved| saved.drill.contains("Target position"));
    play_to(&mut host, ENDED);
    set(&mut host, 0.0, |saved| saved.kept.len() == 2);
    play_to(&mut host, FREE_AGAIN + 2.0 * CHORUS + 8.0);

    let kept = practice(&mut host).kept;
    let [line, entries] = &kept[..] else { panic!("{kept:?}") };
    // 24 half notes, 48 quarters, and 93 of 96 eighths.
    assert_eq!((met(line), line.choruses, line.over, line.passed), ((165, 168), 3, true, true));
    let words = line.words();
    assert!(words[0].starts_with("Halves, quarters, eighths: passed, "), "{words:?}");
    assert!(words[1].starts_with("165 of 168: Play unbroken "), "{words:?}");
    assert_eq!((met(entries), entries.choruses, entries.over), ((4, 6), 1, true));
    assert!(!entries.passed);

    let takes = live::takes(&mut host);
    assert_eq!(takes.len(), 1, "drills do not cut takes");
    let phrases = TakeAnalysis::of(takes[0].clone(), Settings::default()).phrases().to_vec();
    let free = |from: f64, to: f64| -> Figures {
        let inside = |phrase: &&Phrase| (from - 0.3..to - 0.3).contains(&phrase.entry.beat.0);
        let phrases: Vec<Phrase> = phrases.iter().filter(inside).copied().collect();
        figures(&phrases, &AlertSettings::default())
    };
    let (before, after) = (free(0.0, 2.0 * CHORUS), free(FREE_AGAIN, FREE_AGAIN + 2.0 * CHORUS));
    assert_eq!(before.beat_one_entries, Share { count: 12, of: 12 });
    assert_eq!(after.beat_one_entries, Share { count: 3, of: 12 });

    // Take and drills are in the library, where progress is read.
    drop(host);
    let read =
        progress_job::read(&default_path().unwrap(), &ProgressFilter::default(), |_, _| true)
            .unwrap();
    let progress = read.progress.unwrap();
    let drills: Vec<_> =
        progress.drills.iter().map(|d| (&*d.drill, d.times, d.best.result)).collect();
    let share = |count, of| Share { count, of };
    assert_eq!(
        drills,
        [("Halves, quarters, eighths", 1, share(165, 168)), ("Target position", 1, share(4, 6))],
        "in order of name"
    );
    assert_eq!((progress.takes, progress.days.days, progress.days.current), (1, 1, 1));
    assert_eq!(progress.this_week.beat_one_entries.of as usize, phrases.len());
}
