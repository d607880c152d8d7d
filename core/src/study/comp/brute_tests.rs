//! The search compared with trying every comp, and timed.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_precision_loss,
    reason = "invented takes are short"
)]

use crate::analysis::take_analysis::TakeAnalysis;
use crate::stats::evidence::Fixed;
use crate::study::comp::{Aim, By, EditFault, Nudge, Sheet, Source};
use crate::take::invented::{Line, take};
use crate::take::settings::Settings;
use crate::theory::form::Form;
use crate::time::Beat;
use overbar_testkit::time::within;
use std::time::Duration;

const LENGTHS: [f64; 64] = [0.5; 64];

/// A take of phrases anywhere in `bars` bars, many of them across bar lines.
fn invent(fixed: &mut Fixed, bars: usize) -> TakeAnalysis {
    let mut at = fixed.below(16);
    let mut lines: Vec<Line<'_>> = Vec::new();
    while at < bars * 8 {
        let notes = 1 + fixed.below(30);
        let bar = i32::try_from(at / 8).unwrap() + 1;
        lines.push((bar, 1.0 + (at % 8) as f64 / 2.0, &LENGTHS[..notes]));
        at += notes + 2 + fixed.below(8);
    }
    if lines.is_empty() {
        lines.push((1, 1.0, &LENGTHS[..4]));
    }
    TakeAnalysis::of(take(140.0, &lines), Settings::default())
}

/// The score of a choice, computed note by note from the takes: unplayed cells, then the aims.
fn score(
    sheet: &Sheet<'_>,
    chorus_bars: u32,
    choice: &[usize],
    aims: &[Aim],
    nudge: Nudge,
) -> Vec<i64> {
    let comp = sheet.cut(choice, nudge).unwrap();
    let line = |take: usize, bar| sheet.lanes[take].line(bar).0;
    let (mut off, mut long) = (0, Vec::new());
    let mut faults = 0;
    let mut unplayed = 0;
    for (index, run) in comp.runs.iter().enumerate() {
        let lane = &sheet.lanes[run.take];
        let columns = &sheet.columns[run.first_column..run.end_column];
        unplayed +=
            columns.iter().filter(|c| !lane.covers(c.first_bar, c.end_bar())).count() as i64;
        let edit =
            |at: usize, left: usize, right: usize| sheet.edit(at, left, right, nudge).unwrap();
        let begin = index
            .checked_sub(1)
            .map(|before| edit(run.first_column, comp.runs[before].take, run.take));
        let end = comp.runs.get(index + 1).map(|next| edit(next.first_column, run.take, next.take));
        let nudged = begin.as_ref().map_or(0.0, |s| s.nudged.0);
        let from = line(run.take, columns[0].first_bar) + nudged - 1e-3;
        let to = end.as_ref().map_or(f64::INFINITY, |s| {
            line(run.take, sheet.columns[s.column].first_bar) + s.nudged.0 - 1e-3
        });
        faults += end.as_ref().map_or(0, |s| s.faults.len() as i64);
        let mut fused = begin.is_some_and(|s| s.faults.contains(&EditFault::FusesPhrases));
        for phrase in lane.phrases {
            let notes = &lane.notes()[phrase.first_note..=phrase.last_note];
            let kept: Vec<_> = notes.iter().filter(|n| (from..to).contains(&n.on.beat.0)).collect();
            let Some(first) = kept.first() else { continue };
            let at = first.on.beat.0;
            // All notes are on eighths, so off the beat means not on a quarter.
            off += i64::from(!fused && at.fract() != 0.0);
            fused = false;
            let whole_bars = |beat: f64| beat / 4.0;
            let is_long = notes.iter().filter(|n| n.on.beat.0 >= at).any(|n| {
                let end = n.off.unwrap().beat.0;
                end <= to + 2e-3 && whole_bars(end) - whole_bars(at) >= 2.0
            });
            let chorus = (at / 4.0).floor() as i64 / i64::from(chorus_bars);
            if is_long && !long.contains(&chorus) {
                long.push(chorus);
            }
        }
    }
    let mut worth = vec![unplayed];
    for aim in super::score::order(aims) {
        worth.push(match aim {
            Aim::Clean => faults,
            Aim::FewestEdits => comp.edits.len() as i64,
            _ if !aims.contains(&aim) => 0,
            Aim::OffBeat => -off,
            Aim::LongLines => -(long.len() as i64),
        });
    }
    worth
}

#[test]
fn the_best_comp_is_the_best_of_all() {
    let mut fixed = Fixed::new(11);
    let aims: [&[Aim]; 6] = [
        &[Aim::FewestEdits],
        &[Aim::OffBeat],
        &[Aim::LongLines, Aim::OffBeat],
        &[Aim::Clean, Aim::OffBeat, Aim::FewestEdits],
        &[Aim::LongLines, Aim::Clean],
        &[Aim::OffBeat, Aim::LongLines, Aim::FewestEdits],
    ];
    let mut edits = 0;
    for round in 0..30 {
        let takes = [(); 3].map(|()| invent(&mut fixed, 12));
        let names = ["a", "b", "c"];
        let sources: Vec<Source<'_>> =
            takes.iter().zip(names).map(|(analysis, name)| Source { name, analysis }).collect();
        let (chorus, bars) = [(8, 4), (4, 4), (10, 5), (16, 4), (9, 5)][round % 5];
        let form = Form::new(chorus, 1).unwrap();
        let sheet = Sheet::new(&sources, &form, By::Bars(bars)).unwrap();
        let aims = aims[round % 6];
        let nudge = if round % 2 == 0 { Nudge::No } else { Nudge::ToRest };
        let found = sheet.propose(aims, nudge).unwrap();
        let columns = sheet.columns().len();
        let best = (0..3_usize.pow(u32::try_from(columns).unwrap()))
            .map(|code| {
                let choice: Vec<usize> = (0..columns)
                    .map(|c| code / 3_usize.pow(u32::try_from(c).unwrap()) % 3)
                    .collect();
                score(&sheet, chorus, &choice, aims, nudge)
            })
            .min()
            .unwrap();
        assert_eq!(
            score(&sheet, chorus, &found.choice, aims, nudge),
            best,
            "round {round}: {aims:?}"
        );
        edits += found.edits.len();
    }
    assert!(edits > 20, "the takes were too similar: {edits}");
}

#[test]
fn eight_takes_by_64_columns_within_a_tenth_of_a_second() {
    let mut fixed = Fixed::new(12);
    let takes: Vec<TakeAnalysis> = (0..8).map(|_| invent(&mut fixed, 256)).collect();
    let sources: Vec<Source<'_>> =
        takes.iter().map(|analysis| Source { name: "take", analysis }).collect();
    let form = Form::new(32, 1).unwrap();
    let sheet = Sheet::new(&sources, &form, By::Bars(4)).unwrap();
    assert!(sheet.columns().len() >= 64);
    let aims = [Aim::LongLines, Aim::OffBeat, Aim::Clean, Aim::FewestEdits];
    within(Duration::from_millis(100), "a comp of eight takes", || {
        let comp = sheet.propose(&aims, Nudge::ToRest).unwrap();
        assert!(
            comp.runs.len() > 8
                && comp.analysis.take().soloist.notes().last().unwrap().on.beat > Beat(1e3)
        );
    });
}
