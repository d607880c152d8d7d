//! Progress over days and weeks: nothing, ten weeks of it, more than fits, and what can go wrong.

use crate::scenes::{self, Scene, in_tab};
use overbar::view_model::look::Tab;
use overbar::view_model::progress::{NamedProgress, ProgressFilter, ProgressView};
use overbar_core::phrase::figures::EntryCount;
use overbar_core::quantization::PositionClass;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::{Progress, progress};
use overbar_library::LibraryError;

/// Every view, from nothing to too much.
pub fn all() -> Vec<Scene> {
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    let long = "The long one from Thursday evening, with the window open";
    let overfull = ProgressView {
        filter: ProgressFilter { player: None, tune: Some(long.to_owned()) },
        tunes: names(&[long]),
        by_player: side_by_side(&[long; 24]),
        by_tune: side_by_side(&[long; 24]),
        unreadable: 3,
        ..progress_of(
            &ten_weeks(),
            &drills(18, "Line in eighths, climbing: keep eighths going unbroken"),
        )
    };
    let class = ["Second chair", "Left desk", "Back row", "New one", "Evening group", "Corner"];
    let tunes = ["Etude in F", "Slow one", "Harbour lights out"];
    let ordinary = ProgressView {
        players: names(&class),
        tunes: names(&tunes),
        by_player: side_by_side(&class),
        by_tune: side_by_side(&tunes),
        ..progress_of(&ten_weeks(), &drills(1, "Target position"))
    };
    let one = ProgressView {
        players: names(&class[..1]),
        by_player: side_by_side(&class[..1]),
        ..progress_of(&ten_weeks(), &drills(1, "Target position"))
    };
    vec![
        scene("progress_asked", ProgressView::default()),
        scene("progress_empty", progress_of(&[], &[])),
        scene("progress", ordinary),
        scene("progress_alone", one),
        scene("progress_overfull", overfull),
        scene(
            "progress_counting",
            ProgressView { busy: Some((640, 2_400)), ..ProgressView::default() },
        ),
        scene(
            "progress_fault",
            ProgressView { fault: Some(LibraryError::Busy.to_string()), ..ProgressView::default() },
        ),
    ]
}

fn scene(name: &'static str, progress: ProgressView) -> Scene {
    let scene = in_tab(Scene::new(name, scenes::three_takes().snapshot()), Tab::Progress);
    Scene { progress, ..scene }
}

/// Each of these from some of the weeks.
fn side_by_side(names: &[&str]) -> Vec<NamedProgress> {
    let each = names.iter().enumerate().map(|(at, name)| {
        let takes = ten_weeks().into_iter().step_by(at + 1).skip(at);
        let takes: Vec<DatedTake> = takes.collect();
        let progress = progress(&takes, &[], TakeFilter::default(), today());
        NamedProgress { name: (*name).to_owned(), progress }
    });
    each.collect()
}

fn progress_of(takes: &[DatedTake], drills: &[DatedDrill]) -> ProgressView {
    let found: Progress = progress(takes, drills, TakeFilter::default(), today());
    ProgressView { progress: Some(found), ..ProgressView::default() }
}

fn today() -> Day {
    Day::parse("2026-05-08").unwrap()
}

/// Five takes a week; entries on beat one go from three in five to one in five.
fn ten_weeks() -> Vec<DatedTake> {
    let days = (0..70).filter(|day| day % 7 < 5);
    days.map(|ago| {
        let on_one = 5 + ago * 10 / 70;
        let share = |count: i32, of| Share { count: count.unsigned_abs(), of };
        let entry = |(pulse, class, count): (u8, PositionClass, i32)| EntryCount {
            pulse,
            class,
            count: count.unsigned_abs(),
        };
        let one = (1, PositionClass::One, on_one);
        let mut measures = Measures {
            entries: [one, (2, PositionClass::And, 10), (4, PositionClass::And, 15 - on_one)]
                .map(entry)
                .into(),
            beat_one_entries: share(on_one, 25),
            short_phrases: share(10 + ago % 5, 25),
            long_lines: share(9 + ago % 3, 16),
            over_the_bar: share(15 + ago % 4, 20),
            room: share(12, 16),
            on_beat_exits: share(11, 25),
            uneven_eighths: share(12 - ago % 2, 60),
            ..Measures::default()
        };
        (0..40).for_each(|n| measures.lag_from_usual_ms.push(f64::from((n * 7 + ago) % 21) - 6.0));
        let [player, tune] = ["Second chair", "Etude in F"].map(str::to_owned);
        DatedTake { day: today().plus(-ago), player, tune, measures }
    })
    .collect()
}

/// Each drill played on four days.
fn drills(number: u32, name: &str) -> Vec<DatedDrill> {
    let each = (0..number).flat_map(|drill| (0..4).map(move |ago| (drill, ago)));
    each.map(|(drill, ago): (u32, u32)| DatedDrill {
        day: today().plus(-3 * ago.cast_signed()),
        player: "Second chair".to_owned(),
        tune: "Etude in F".to_owned(),
        drill: if number == 1 { name.to_owned() } else { format!("{name} {drill}") },
        result: Share { count: [10, 11, 9, 7][ago as usize], of: 12 },
    })
    .collect()
}
