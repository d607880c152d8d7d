//! One of each page, of invented takes, some with names that are long or full of markup.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::output::notation::WritingOptions;
use overbar_core::output::report::{
    CompareReport, Entry, OwnSolos, Student, TakeReport, comp_report, compare_report, index,
    progress_report, take_report,
};
use overbar_core::output::review::take_of;
use overbar_core::stats::Share;
use overbar_core::study::advice::advise_on;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::comp::{Aim, By, Nudge, Sheet, Source};
use overbar_core::study::compare::{NamedTake, Style, compare};
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::progress;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::{Form, Section};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use std::path::Path;

/// How many takes of the class can be read; one more cannot.
pub const CLASS: usize = 23;

const WILD: &str =
    "<b onclick=\"x()\">Étude</b> & a_name_that_goes_on_and_on_without_any_space.mid";

/// A take of 64 bars in 4/4 at 140, with a phrase every three bars or so.
///
/// `off` in ten phrases start off the beat, and `long` is the length of the longest in eighths.
fn take(seed: u64, off: u64, long: u64) -> TakeAnalysis {
    let mut random = fastrand::Rng::with_seed(seed);
    let eighth = QUARTER / 2;
    let mut track = Track::default().tempo(0, 428_571).metre(0, (4, 4));
    let mut at = 0;
    while at < 64 * 8 {
        let start = at + 2 * random.u64(0..4) + u64::from(random.u64(0..10) < off);
        let notes = random.u64(2..=long);
        for note in 0..notes {
            let (from, key) = ((start + note) * eighth, 57 + random.u8(0..15));
            track = track.note(0, key, from, from + eighth * 9 / 10);
        }
        at = (start + notes).next_multiple_of(8) + 8 * random.u64(0..2);
    }
    let midi = MidiFile::read(&midi_file(0, &[track])).unwrap();
    let settings = Settings::default();
    TakeAnalysis::of(take_of(&midi, Choice::default(), settings, &[], None).unwrap(), settings)
}

fn form() -> Form {
    let section = |name: &str| Section { name: name.into(), bars: 8 };
    let sections = ["A", "A", "B", "A"].map(section).to_vec();
    let chords = vec!["Cm7", "F7", "Bbmaj7", "Ebmaj7"].into_iter().map(str::to_owned).collect();
    Form::new(32, 1).unwrap().with_sections(sections).unwrap().with_chords(chords).unwrap()
}

/// The pages by name. They are also written down, to be looked at.
pub fn pages() -> Vec<(&'static str, String)> {
    let settings = Settings::default();
    let takes = [take(1, 7, 26), take(2, 1, 10), take(3, 5, 18)];
    let names = ["Monday, slow", "Thursday", WILD];
    let form = form();
    let report = TakeReport {
        name: "Thursday evening",
        note: "After the break, with the window open.",
        analysis: &takes[1],
        form: Some(&form),
        style: Style::Swing,
        own: OwnSolos::None,
        writing: WritingOptions::default(),
    };
    let named: Vec<NamedTake<'_>> =
        names.iter().zip(&takes).map(|(name, take)| NamedTake::of(name, take)).collect();
    let comparison = compare(&named, &settings.alerts).unwrap();
    let metres: Vec<_> = takes.iter().map(|take| &take.take().metres).collect();
    let compared = CompareReport {
        title: "Takes compared",
        comparison: &comparison,
        takes: &named,
        metres: &metres,
        style: Style::All,
        own: OwnSolos::Unread("no file with 8 or more phrases."),
    };
    let sources: Vec<Source<'_>> =
        names.iter().zip(&takes).map(|(name, analysis)| Source { name, analysis }).collect();
    let sheet = Sheet::new(&sources, &form, By::Bars(4)).unwrap();
    let comp = sheet.propose(&[Aim::OffBeat], Nudge::No).unwrap();
    let all = vec![
        ("take", take_report(&report)),
        ("small", take_report(&TakeReport { name: WILD, analysis: &take(9, 5, 200), ..report })),
        ("compare", compare_report(&compared)),
        ("comp", comp_report("Comp of three takes", &sheet, &comp, &form, report.writing)),
        ("index", index("Thursday group", &class())),
        ("progress", progress_report("Progress", day(28), &[student("Ada", 0), student(WILD, 9)])),
    ];
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, page) in &all {
        std::fs::write(folder.join(format!("{name}.html")), page).unwrap();
    }
    all
}

fn class() -> Vec<Entry> {
    let names = ["Ada", "ben", "Cleo", "Dora", "Emil", "Fay", "Gus", WILD];
    let mut class: Vec<Entry> = (0..CLASS)
        .map(|number| {
            let name = format!("{} {}", names[number % names.len()], number / names.len() + 1);
            let analysis = take(number as u64 + 40, number as u64 % 10, 6 + number as u64);
            Entry::of(name, Some(format!("{number}.html")), &analysis)
        })
        .collect();
    class.push(Entry::unread("Hugo".into(), "not a Standard MIDI File".into()));
    class
}

fn day(of_march: i32) -> Day {
    Day::parse("2025-03-01").unwrap().plus(of_march - 1)
}

/// A student who starts on beat one at first, and less so in the last week.
fn student(name: &str, seed: u64) -> Student {
    let takes: Vec<DatedTake> = (1..=28)
        .step_by(3)
        .map(|number| {
            let off = if number > 21 { 8 } else { 1 };
            let measures = Measures::of(&take(seed + 100 + number as u64, off, 14));
            let (player, tune) = (name.to_owned(), "Study in F".to_owned());
            DatedTake { day: day(number), player, tune, measures }
        })
        .collect();
    let drills = [(22, 4), (25, 8)].map(|(date, count)| DatedDrill {
        day: day(date),
        player: name.to_owned(),
        tune: "Study in F".to_owned(),
        drill: "Start on the \"and\" of 1".to_owned(),
        result: Share { count, of: 10 },
    });
    let progress = progress(&takes, &drills, TakeFilter::default(), day(28));
    Student {
        name: name.to_owned(),
        tunes: vec!["Study in F".to_owned()],
        advice: advise_on(&progress.last_month),
        progress,
        advice_on: "the takes of last month together".to_owned(),
        listen_in: "Study in F, 2025-03-28".to_owned(),
    }
}
