//! Comps of takes a week apart, compared: dates tell them apart, and what has changed is reported.

use crate::desk::{Desk, folder, text};
use crate::player::Solo;
use overbar::command::comp::CompareCommand;
use overbar::command::export::{FileKind, Subject};
use overbar::view_model::dates::day;
use overbar::view_model::selection::Columns;
use overbar_core::study::comp::Aim;
use overbar_core::take::TakeId;
use overbar_library::project::{Project, Unpacked};

/// Forty-eight bars.
const END: f64 = 192.0;

/// Milliseconds of a week.
const WEEK: i64 = 7 * 86_400_000;

/// Plays three takes, cuts the cleanest comp and keeps it; the comp.
fn practise(desk: &mut Desk, entries: &[f64], seed: u64) -> TakeId {
    let before = desk.takes();
    for round in 0..3 {
        let seed = seed + round;
        let beats = (0.0, END);
        let solo = Solo { tempo: 120.0, metre: (4, 4), beats, apart: 8.0, entries, seed };
        desk.play(&solo.song(), (0.0, END));
    }
    let new: Vec<TakeId> = desk.takes().into_iter().filter(|id| !before.contains(id)).collect();
    assert_eq!(new.len(), 3);
    desk.wish(CompareCommand::Columns(Columns::Bars(8)));
    desk.wish(CompareCommand::Aim(Aim::LongLines));
    desk.choose(&new);
    desk.wish(CompareCommand::Propose);
    desk.worked_out(|board| !board.compare.selection.cells.is_empty());
    let known = desk.takes();
    desk.wish(CompareCommand::Keep);
    let shared = desk.shared.clone();
    desk.until("the comp is kept", |_| shared.session().takes().len() > known.len());
    *desk.takes().iter().find(|id| !known.contains(id)).unwrap()
}

/// The project of a desk as it would be a week later.
fn a_week_later(desk: &Desk) -> Project {
    let session = desk.shared.session();
    let mut project = desk.shared.take_store().copy_project(&session).pack();
    for take in &mut project.takes {
        take.began.0 -= WEEK;
    }
    project
}

#[test]
fn comps_a_week_apart() {
    let folder = folder("weeks");
    let mut first = Desk::open();
    let early = practise(&mut first, &[0.0, 0.0, 0.0, 1.0], 10);
    let project = a_week_later(&first);
    drop(first);

    let mut desk = Desk::open();
    {
        let mut session = desk.shared.session();
        let unpacked = Unpacked { project, missing: 0 };
        let notices = desk.shared.take_store().load_project(&mut session, unpacked);
        assert_eq!(notices, Vec::<String>::new());
    }
    let late = practise(&mut desk, &[0.5, 1.5, 3.5, 2.5], 20);
    let board = desk.choose(&[early, late]);
    let against = board.compare.comparison.as_deref().unwrap().as_ref().unwrap();
    let days = [early, late].map(|id| day(board.labels[&id].began));
    assert_eq!(days[1].since(days[0]), 7);
    for (take, day) in against.comparison.takes.iter().zip(days) {
        assert!(take.name.starts_with("Comp of "), "{}", take.name);
        assert!(take.name.ends_with(&format!(", {day}")), "{}", take.name);
        assert!(take.figures.phrases >= 16, "{}", take.figures.phrases);
    }
    let claim = &against.sentences[0];
    assert!(claim.holds && claim.text.contains("starts more phrases off the beat"), "{claim:?}");
    assert!(claim.text.starts_with(&against.comparison.takes[1].name), "{claim:?}");

    desk.wish(CompareCommand::Folder(folder.to_str().unwrap().to_owned()));
    let page = text(&desk.export(Subject::Comparison, FileKind::Page));
    assert!(days.iter().all(|day| page.contains(&day.to_string())));
    std::fs::remove_dir_all(&folder).unwrap();
}
