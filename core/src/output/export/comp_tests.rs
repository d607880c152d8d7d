//! The source of a comp's beats.

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::grid::PulseNumber;
use crate::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use crate::study::comp::{By, Comp, Nudge, Sheet, Source};
use crate::take::approximate::Approximate;
use crate::take::grid_summary::GridSummary;
use crate::take::invented;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::theory::form::Form;
use crate::time::metre::Metre;
use crate::time::{Beat, Second};

/// Phrases four quarters long in bars 1, 3, 5 and 7, at 120 BPM.
fn played() -> Performance {
    invented::take(120.0, &[1, 3, 5, 7].map(|bar| (bar, 1.5, &[0.5; 8][..])))
}

/// The same on a grid with an anchor every `every` of its 32 beats.
fn on(source: AnchorSource, every: i32) -> TakeAnalysis {
    let anchor = |pulse: i32| Anchor {
        at: Second(f64::from(pulse) * 0.5),
        pulse: PulseNumber(pulse.into()),
        source,
        in_doubt: false,
    };
    let each = (0..=32 / every).map(|number| anchor(number * every)).collect();
    let line = BarLine { pulse: PulseNumber(0), bar: 1 };
    let mut take = played();
    take.set_grid(Some(&Anchors::new(Metre::COMMON, vec![line], each).unwrap()));
    TakeAnalysis::of(take, Settings::default())
}

/// Bars 1 to 4 of the first take, and 5 to 8 of the second.
fn comp(takes: &[TakeAnalysis; 2]) -> Comp {
    let source = |(analysis, name)| Source { name, analysis };
    let sources: Vec<Source<'_>> = takes.iter().zip(["one", "two"]).map(source).collect();
    let form = Form::new(8, 1).unwrap();
    Sheet::new(&sources, &form, By::Bars(4)).unwrap().cut(&[0, 1], Nudge::No).unwrap()
}

/// The last three cells of each line.
fn last_cells(table: &str) -> Vec<String> {
    let last = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        cells[cells.len() - 3..].join(",")
    };
    table.lines().skip(1).map(last).collect()
}

fn tables(comp: &Comp) -> (Vec<String>, Vec<String>) {
    let rows = PhraseRow::all(&comp.analysis, None);
    let document = Document::of("comp", &comp.analysis, None, None);
    let parts = [("comp", "take", &document.figures)];
    let about = rows.iter().any(|row| row.about);
    let figures = figures_csv(&parts, about, document.grid.as_ref());
    (last_cells(&phrases_csv("comp", &rows)), last_cells(&figures))
}

fn lines(comp: &Comp) -> Vec<String> {
    GridSummary::of(comp.analysis.take()).unwrap().lines()
}

#[test]
fn each_phrase_of_a_comp_has_the_beat_source_of_its_take() {
    let host = || TakeAnalysis::of(played(), Settings::default());
    let comp = comp(&[on(AnchorSource::Tap, 1), host()]);
    let (phrases, figures) = tables(&comp);
    assert_eq!(phrases, ["0,tap,0", "0,tap,0", "0,host,0", "0,host,0"]);
    assert_eq!(figures, ["0,tap; host,0"]);
    let grid = Document::of("comp", &comp.analysis, None, None).grid.unwrap();
    // The first sixteen beats of the comp.
    assert_eq!((grid.source, grid.anchors, grid.about), (AnchorSource::Tap, 16, false));
    assert!(lines(&comp)[0].starts_with("beat grid: from taps and from the host, "));
    // Takes on the host's beats make a comp on the host's.
    let comp = self::comp(&[host(), host()]);
    assert_eq!(tables(&comp).1, ["0,host,0"]);
    assert_eq!(GridSummary::of(comp.analysis.take()), None);
}

#[test]
fn the_bridged_share_is_that_of_the_stretch() {
    let sources = [AnchorSource::Band, AnchorSource::Hand];
    // The second has an anchor at both ends of its 32 beats, and nothing between.
    let takes = [on(sources[0], 1), on(sources[1], 32)];
    let comp = comp(&takes);
    let (phrases, figures) = tables(&comp);
    assert_eq!(phrases, ["0,band,0", "0,band,0", "1,hand,1", "1,hand,1"]);
    assert_eq!(figures, ["1,band; hand,0.5"]);
    let take = comp.analysis.take();
    let grid = GridSummary::of(take).unwrap();
    let bars: Vec<_> = grid.bridges.iter().map(|of| (of.from_bar, of.bridged)).collect();
    assert_eq!((bars, grid.about), (vec![(5, true)], true), "{grid:?}");
    let Approximate::In(about) = take.approximate() else { panic!("{:?}", take.approximate()) };
    assert_eq!(about.len(), 1);
    assert!((about[0].0 - Beat(16.0)).0.abs() < 0.01, "{about:?}");
    // A comp cut from the comp keeps the source of each stretch.
    let again = self::comp(&[
        TakeAnalysis::of(take.clone(), Settings::default()),
        TakeAnalysis::of(played(), Settings::default()),
    ]);
    assert_eq!(tables(&again).1, ["0,band; host,0"]);
    let turned = self::comp(&[
        TakeAnalysis::of(played(), Settings::default()),
        TakeAnalysis::of(take.clone(), Settings::default()),
    ]);
    assert_eq!(tables(&turned).0, ["0,host,0", "0,host,0", "1,hand,1", "1,hand,1"]);
}
