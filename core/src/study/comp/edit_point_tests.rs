//! Faults at edits, and how nudging avoids them.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::stats::Share;
use crate::study::comp::{By, Comp, EditFault, EditSide, Nudge, Sheet, Source, cues, cues_as_text};
use crate::take::invented::{self, Line};
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::theory::form::Form;
use crate::time::Beat;
use crate::time::metre::Metre;

const EIGHTHS: [f64; 32] = [0.5; 32];

fn analysed(take: Performance) -> TakeAnalysis {
    TakeAnalysis::of(take, Settings::default())
}

fn take(tempo: f64, lines: &[Line<'_>]) -> TakeAnalysis {
    analysed(invented::take(tempo, lines))
}

fn sheet(takes: &[TakeAnalysis], bars: u32) -> Sheet<'_> {
    let names = ["take 1", "take 2", "take 3"];
    let sources: Vec<Source<'_>> =
        takes.iter().zip(names).map(|(analysis, name)| Source { name, analysis }).collect();
    let form = Form::new(8, 1).unwrap();
    Sheet::new(&sources, &form, By::Bars(bars)).unwrap()
}

fn cut(takes: &[TakeAnalysis], nudge: Nudge) -> Comp {
    sheet(takes, 4).cut(&[0, 1], nudge).unwrap()
}

fn faults(comp: &Comp) -> &[EditFault] {
    assert_eq!(comp.edits.len(), 1);
    &comp.edits[0].faults
}

#[test]
fn a_clean_edit_has_nothing_wrong() {
    let a = take(120.0, &[(1, 1.0, &EIGHTHS[..8]), (6, 1.5, &EIGHTHS[..8])]);
    let b =
        take(120.0, &[(2, 1.0, &EIGHTHS[..4]), (5, 2.5, &EIGHTHS[..8]), (7, 1.5, &EIGHTHS[..8])]);
    let comp = cut(&[a, b], Nudge::No);
    assert!(faults(&comp).is_empty(), "{comp:?}");
    // The first phrase of take 1, and the last two of take 2.
    let entries: Vec<_> =
        comp.analysis.phrases().iter().map(|p| (p.entry.bar, p.entry.pulse)).collect();
    assert_eq!(entries, [(1, 1), (5, 2), (7, 1)]);
    assert_eq!(comp.analysis.figures().off_beat_entries, Share { count: 2, of: 3 });
    assert!(comp.analysis.take().tempo.is_sound() && comp.analysis.take().metres.is_sound());
}

#[test]
fn a_phrase_cut_on_either_side_is_reported_and_nudged_away() {
    // Take 1 plays across the bar line to beat 2 of bar 5; take 2 rests there until beat 4.
    let a = take(120.0, &[(4, 2.0, &EIGHTHS[..8])]);
    let b = take(120.0, &[(2, 1.0, &EIGHTHS[..4]), (5, 4.0, &EIGHTHS[..8])]);
    let takes = [a, b];
    let straight = cut(&takes, Nudge::No);
    assert_eq!(faults(&straight), [EditFault::CutsPhrase { side: EditSide::Outgoing }]);
    let nudged = cut(&takes, Nudge::ToRest);
    assert!(faults(&nudged).is_empty(), "{nudged:?}");
    // The end of take 1's phrase: eight eighths from beat 2 of bar 4 is beat 2 of bar 5.
    assert_eq!(nudged.edits[0].nudged.0, 1.0);
    assert_eq!(nudged.analysis.phrases()[0].notes, 8);

    let turned = [takes[1].clone(), takes[0].clone()];
    let straight = cut(&turned, Nudge::No);
    assert_eq!(faults(&straight), [EditFault::CutsPhrase { side: EditSide::Incoming }]);
    assert_eq!(straight.analysis.phrases()[1].notes, 2);
    // That phrase starts in a bar of the other take: past its end there is nothing to cut.
    let nudged = cut(&turned, Nudge::ToRest);
    assert!(faults(&nudged).is_empty(), "{nudged:?}");
    assert_eq!((nudged.edits[0].nudged.0, nudged.analysis.phrases().len()), (1.0, 1));
}

#[test]
fn two_phrases_made_one_and_a_held_note_cut() {
    // A note held over the bar line, and a phrase that starts on it.
    let a = take(120.0, &[(4, 3.0, &[0.5, 0.5, 4.0])]);
    let b = take(120.0, &[(5, 1.0, &EIGHTHS[..8])]);
    let comp = cut(&[a, b], Nudge::No);
    assert_eq!(faults(&comp), [EditFault::HangingNotes { notes: 1 }, EditFault::FusesPhrases]);
    assert_eq!(comp.analysis.phrases().len(), 1);
    // It ends at the edit.
    let held =
        comp.analysis.take().soloist.notes().iter().find(|n| n.on.beat == Beat(15.0)).unwrap();
    assert_eq!(held.off.unwrap().beat, Beat(16.0));
}

#[test]
fn different_tempos_and_metres_are_reported() {
    let a = take(120.0, &[(1, 1.0, &EIGHTHS[..8])]);
    let fast = take(126.0, &[(7, 1.0, &EIGHTHS[..8])]);
    let comp = cut(&[a.clone(), fast], Nudge::No);
    assert_eq!(faults(&comp), [EditFault::Tempo { from: 120.0, to: 126.0 }]);
    // Bar 7 is 16 beats at 120 and 8 at 126 from the start.
    let second = comp.analysis.take().soloist.notes().last().unwrap().on.second.0;
    assert!((second - (8.0 + 11.5 * 60.0 / 126.0)).abs() < 1e-9, "{second}");
    let same = take(122.0, &[(7, 1.0, &EIGHTHS[..8])]);
    assert!(faults(&cut(&[a.clone(), same], Nudge::No)).is_empty());

    let mut waltz = invented::take(120.0, &[(4, 1.0, &EIGHTHS[..8])]);
    waltz.metres = crate::time::metre_map::MetreMap::new(Metre::new(3, 4).unwrap());
    let comp = cut(&[a, analysed(waltz)], Nudge::No);
    assert_eq!(faults(&comp), [EditFault::Metre]);
    // Bar 5 of the waltz is at beat 12 of its own, and at 16 of the comp, and so is its metre.
    let entry = comp.analysis.phrases().last().unwrap().entry;
    assert_eq!((entry.bar, entry.beat), (5, Beat(16.0)));
    assert_eq!(comp.analysis.take().metres.metre_at(Beat(17.0)).to_string(), "3/4");
}

#[test]
fn a_choice_must_fit_the_sheet() {
    let a = take(120.0, &[(1, 1.0, &EIGHTHS[..8])]);
    let takes = [a.clone(), a.clone()];
    let sheet = sheet(&takes, 4);
    assert_eq!(sheet.columns().len(), 2);
    assert_eq!(sheet.columns()[1].label, "bars 5\u{2013}8");
    assert_eq!(sheet.cell(0, 0).len(), 1);
    assert!(sheet.cut(&[0], Nudge::No).is_err());
    assert!(sheet.cut(&[0, 2], Nudge::No).is_err());
    let form = Form::new(4, 1).unwrap();
    let one = [Source { name: "a", analysis: &a }];
    assert!(Sheet::new(&one, &form, By::Chorus).is_err());
    let empty = analysed(Performance::default());
    let two = [Source { name: "a", analysis: &a }, Source { name: "b", analysis: &empty }];
    let error = Sheet::new(&two, &form, By::Chorus).unwrap_err();
    assert_eq!(error.to_string(), "b: no notes with a position in the bar");
    let late = Form::new(4, 99).unwrap();
    let two = [Source { name: "a", analysis: &a }; 2];
    assert!(Sheet::new(&two, &late, By::Chorus).is_err());
    let far = take(120.0, &[(5_000, 1.0, &EIGHTHS[..8])]);
    let two = [Source { name: "a", analysis: &far }; 2];
    assert!(Sheet::new(&two, &form, By::Chorus).is_err());
}

#[test]
fn the_cue_list_has_bars_and_takes() {
    let a = take(120.0, &[(4, 2.0, &EIGHTHS[..8])]);
    let b = take(120.0, &[(5, 4.0, &EIGHTHS[..8])]);
    let takes = [a, b];
    let sheet = sheet(&takes, 4);
    let list = cues(&sheet, &sheet.cut(&[0, 1], Nudge::ToRest).unwrap());
    assert_eq!(
        cues_as_text(&list),
        "bars 1 to 4: take 1, out 1.00 quarter notes after the bar line\n\
         bars 5 to 8: take 2, in 1.00 quarter notes after the bar line\n"
    );
    let straight = cues(&sheet, &sheet.cut(&[0, 1], Nudge::No).unwrap());
    assert!(cues_as_text(&straight).ends_with("; edit-in: clips the end of the outgoing phrase\n"));
}
