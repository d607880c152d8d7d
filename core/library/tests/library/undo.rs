//! Undo and redo: undoing any edits leads back to the start, and redoing them to the end.

use crate::take_store::{Instance, in_library};
use overbar_core::grid::anchors::Anchors;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::time::{Second, SecondSpan};
use overbar_library::LibraryError;
use overbar_library::take_store::{Change, MAX_UNDONE, TakeParts};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// An edit of a take by its index.
#[derive(Debug, Clone)]
enum Edit {
    Rename(usize, String),
    Star(usize, bool),
    Comment(usize, String),
    Tune(usize, String),
    Delete(usize),
    Grid(usize, u8),
    Split(usize, usize),
    Merge(usize),
    Undo,
    Redo,
}

/// Mostly edits, among them some that change nothing.
fn edit() -> impl Strategy<Value = Edit> {
    let (place, text) = (0..6_usize, "[ab]{0,1}");
    prop_oneof![
        (place.clone(), text).prop_map(|(take, text)| Edit::Rename(take, text)),
        (place.clone(), any::<bool>()).prop_map(|(take, star)| Edit::Star(take, star)),
        (place.clone(), text).prop_map(|(take, text)| Edit::Comment(take, text)),
        (place.clone(), text).prop_map(|(take, text)| Edit::Tune(take, text)),
        place.clone().prop_map(Edit::Delete),
        (place.clone(), 0..4_u8).prop_map(|(take, how)| Edit::Grid(take, how)),
        (place.clone(), 1..40_usize).prop_map(|(take, note)| Edit::Split(take, note)),
        place.prop_map(Edit::Merge),
        Just(Edit::Undo),
        Just(Edit::Redo),
    ]
}

fn make(instance: &mut Instance, edit: &Edit) {
    let ids = instance.ids();
    let Instance { session, store } = instance;
    let at = |place: &usize| ids.get(*place).copied();
    match edit {
        Edit::Rename(take, name) => {
            at(take).into_iter().for_each(|id| store.rename(id, name));
        }
        Edit::Star(take, star) => at(take).into_iter().for_each(|id| store.star(id, *star)),
        Edit::Comment(take, text) => at(take).into_iter().for_each(|id| store.remark(id, text)),
        Edit::Tune(take, name) => at(take).into_iter().for_each(|id| store.retune(id, name)),
        Edit::Delete(take) => at(take).into_iter().for_each(|id| store.delete(session, &[id])),
        Edit::Grid(take, how) => {
            let edit = match how {
                0 => GridEdit::Host,
                1 => GridEdit::Nudge(SecondSpan(0.005)),
                2 => GridEdit::HalfTempo,
                _ => GridEdit::BeatOneLater { at: Second(0.0), beats: 1 },
            };
            let Some(id) = at(take) else { return };
            match store.edit_grid(session, id, edit) {
                Ok(()) | Err(LibraryError::Grid(_)) => {}
                Err(why) => panic!("{why}"),
            }
        }
        Edit::Split(take, note) => {
            let Some(copy) = at(take).and_then(|id| store.copy(session, id)) else { return };
            let notes = copy.notes().soloist.notes();
            let Some(place) = notes.get(*note).map(|note| note.on.second) else { return };
            if let Ok(parts) = TakeParts::split(copy, &[place]) {
                store.replace(session, parts);
            }
        }
        Edit::Merge(take) => {
            let two = [at(take), at(&(take + 1))].into_iter().flatten();
            let copies: Vec<_> = two.filter_map(|id| store.copy(session, id)).collect();
            if copies.len() == 2
                && let Ok(merged) = TakeParts::merge(copies)
            {
                store.replace(session, merged);
            }
        }
        Edit::Undo => store.undo(session),
        Edit::Redo => store.redo(session),
    }
}

/// A take as the user sees it.
type Seen = (TakeId, usize, String, bool, String, String, Option<Anchors>, String);

fn seen(instance: &Instance) -> Vec<Seen> {
    let takes = instance.session.takes().iter();
    takes
        .map(|take| {
            let labels = &instance.store.metadata(take.id).unwrap().labels;
            let notes = take.performance.soloist.notes().len();
            let (name, star) = (labels.name.value.clone(), labels.star.value);
            let (remark, tune) = (labels.remark.value.clone(), labels.tune.value.clone());
            let beats = take.performance.soloist.notes().iter().map(|note| note.on.beat.0);
            let beats = beats.map(|beat| format!("{beat:.3} ")).collect();
            let grid = take.performance.own_grid.as_ref().map(|own| own.anchors.clone());
            (take.id, notes, name, star, remark, tune, grid, beats)
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]
    #[test]
    fn undoing_all_leads_to_the_start_and_redoing_all_to_the_end(
        edits in prop::collection::vec(edit(), 1..40),
    ) {
        let mut instance = Instance::with(&[0, 1, 2]);
        // The appearance of each state that can be restored.
        let mut past = vec![seen(&instance)];
        let mut undone: Vec<Vec<Seen>> = Vec::new();
        for edit in &edits {
            let could = instance.store.redoable();
            make(&mut instance, edit);
            let now = seen(&instance);
            match edit {
                Edit::Undo if past.len() > 1 => undone.extend(past.pop()),
                Edit::Redo => past.extend(undone.pop()),
                Edit::Undo => {}
                _ if now != past[past.len() - 1] => {
                    past.push(now.clone());
                    undone.clear();
                    prop_assert_eq!(instance.store.redoable(), None, "a new change clears redo");
                }
                _ => prop_assert_eq!(instance.store.redoable(), could, "nothing has changed"),
            }
            prop_assert_eq!(&now, &past[past.len() - 1], "after {:?}", edit);
        }
        for state in past.iter().rev().skip(1) {
            instance.store.undo(&mut instance.session);
            prop_assert_eq!(&seen(&instance), state);
        }
        prop_assert_eq!(instance.store.undoable(), None);
        for state in &past[1..] {
            instance.store.redo(&mut instance.session);
            prop_assert_eq!(&seen(&instance), state);
        }
        for state in undone.iter().rev() {
            instance.store.redo(&mut instance.session);
            prop_assert_eq!(&seen(&instance), state);
        }
        prop_assert_eq!(instance.store.redoable(), None);
        // A saved project matches what the user sees.
        let saved = instance.saves();
        let mut away = Instance::default();
        away.loads(&saved);
        prop_assert_eq!(seen(&away), seen(&instance));
    }
}

#[test]
fn undo_and_redo_reach_the_library() {
    let folder = tempfile::tempdir().unwrap();
    let mut instance = Instance::with(&[0, 1]);
    instance.keeps_in(folder.path());
    let [first, second] = instance.ids()[..] else { panic!("two takes") };
    let Instance { session, store } = &mut instance;
    store.rename(first, "early");
    store.rename(first, "late");
    store.delete(session, &[second]);
    assert_eq!(store.undoable(), Some(Change::Delete));
    (0..3).for_each(|_| store.undo(session));
    assert_eq!(store.metadata(first).unwrap().labels.name.value, "");
    assert_eq!(store.redoable(), Some(Change::Rename));
    (0..3).for_each(|_| store.redo(session));
    store.undo(session);
    store.undo(session);
    instance.store.close(&instance.session);
    let rows = in_library(folder.path());
    let names: BTreeMap<TakeId, &str> = rows.iter().map(|row| (row.0, row.1.as_str())).collect();
    assert_eq!(names, BTreeMap::from([(first, "early"), (second, "")]));
}

#[test]
fn the_oldest_changes_are_dropped() {
    let mut instance = Instance::with(&[0]);
    let id = instance.ids()[0];
    let Instance { session, store } = &mut instance;
    (0..MAX_UNDONE + 5).for_each(|number| store.rename(id, &number.to_string()));
    while store.undoable().is_some() {
        store.undo(session);
    }
    assert_eq!(store.metadata(id).unwrap().labels.name.value, "4");
    while store.redoable().is_some() {
        store.redo(session);
    }
    let last = MAX_UNDONE + 4;
    assert_eq!(store.metadata(id).unwrap().labels.name.value, last.to_string());
}

/// Steps whose takes are gone for another reason are skipped.
#[test]
fn a_change_to_a_missing_take_is_skipped() {
    let mut instance = Instance::with(&[0, 1]);
    let [first, second] = instance.ids()[..] else { panic!("two takes") };
    let Instance { session, store } = &mut instance;
    store.star(first, true);
    store.rename(second, "gone");
    session.rearrange(|takes| takes.retain(|take| take.id == first));
    store.sync(session);
    store.undo(session);
    assert!(!store.metadata(first).unwrap().labels.star.value);
    assert_eq!((store.undoable(), store.redoable()), (None, Some(Change::Star)));
}
