//! What a user comes to do with takes, done through what a screen reader reads.

use crate::errands::{Desktop, opened, press, until};
use crate::scenes;
use crate::undo_errands::undo;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use overbar::panel::widgets::keys::Keys;
use overbar::view_model::TakeLabel;
use overbar_core::analysis::parts::PartName;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_library::delta::DeltaTracker;
use overbar_library::{
    Labels, Library, Origin, Query, Stamp, TakeHeader, TuneId, WriterLock, default_path,
    new_take_id,
};
use std::sync::Arc;

/// Types `text` into the field that is called `label`, as soon as it is there.
pub fn type_into(desktop: &mut Desktop, label: &str, text: &str) {
    until(desktop, |d| d.query_by_label_contains(label).is_some());
    desktop.get_by_label_contains(label).click_accesskit();
    desktop.run();
    desktop.get_by_role(egui::accesskit::Role::TextInput).set_text_value_accesskit(text);
    desktop.run();
    desktop.key_press(Key::Enter);
    desktop.run();
}

pub fn takes(desktop: &Desktop) -> usize {
    desktop.state().shared.session().takes().len()
}

#[test]
fn name_a_take_star_it_and_find_it_again() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.query_by_label_contains("Take 2, 0:").is_some());
    press(&mut desktop, "Star of Take 2");
    press(&mut desktop, "Edit");
    type_into(&mut desktop, "Name: empty", "Slow and low");
    until(&mut desktop, |d| d.query_by_label_contains("Name: Slow and low").is_some());
    type_into(&mut desktop, "Comment: empty", "keep the ending");
    until(&mut desktop, |d| d.query_by_label_contains("Slow and low, 0:").is_some());
    type_into(&mut desktop, "Search takes", "ENDING");
    assert!(desktop.query_by_label_contains("Slow and low, 0:").is_some());
    assert!(desktop.query_by_label_contains("Take 1, ").is_none());
    type_into(&mut desktop, "Search takes", "");
    until(&mut desktop, |d| d.query_by_label_contains("Take 1, ").is_some());
    press(&mut desktop, "Starred takes only");
    assert!(desktop.query_by_label_contains("Slow and low, 0:").is_some());
    assert!(desktop.query_by_label_contains("Take 1, ").is_none());
    let labels = desktop.state().shared.publisher.view_model().labels.clone();
    let label = labels.values().find(|label| label.name == "Slow and low").unwrap();
    assert!(label.star);
    assert_eq!(label.remark, "keep the ending");
}

#[test]
fn rename_a_take_without_the_mouse() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.query_by_label_contains("Take 2, 0:").is_some());
    let keys = [("Take 2", Key::Enter, "By Enter"), ("By Enter", Key::F2, "By the other key")];
    for (before, key, name) in keys {
        desktop.get_by_label_contains(&format!("{before}, 0:")).click_accesskit();
        desktop.run();
        desktop.key_press(key);
        until(&mut desktop, |d| d.query_by_role(egui::accesskit::Role::TextInput).is_some());
        desktop.get_by_role(egui::accesskit::Role::TextInput).set_text_value_accesskit(name);
        desktop.run();
        desktop.key_press(Key::Enter);
        until(&mut desktop, |d| d.query_by_label_contains(&format!("{name}, 0:")).is_some());
        assert!(
            desktop.query_by_role(egui::accesskit::Role::TextInput).is_none(),
            "Enter ends the typing and begins none"
        );
    }
}

#[test]
fn set_the_form_and_read_a_chorus() {
    let mut desktop = opened();
    press(&mut desktop, "Tune: No tune");
    type_into(&mut desktop, "Bars per chorus: empty", "12");
    until(&mut desktop, |d| d.query_by_label_contains("A chorus of 12 bars").is_some());
    type_into(&mut desktop, "Sections: empty", "A8 B8");
    until(&mut desktop, |d| d.query_by_label_contains("Sections add up to 16 bars").is_some());
    type_into(&mut desktop, "Sections: A8 B8", "A8 B4");
    until(&mut desktop, |d| d.query_by_label_contains("in 2 sections").is_some());
    press(&mut desktop, "Takes");
    press(&mut desktop, "Choruses");
    until(&mut desktop, |d| d.query_by_label_contains("Chorus 1, bars").is_some());
    let sections = |d: &Desktop| {
        let model = d.state().shared.publisher.view_model();
        model.take_detail.as_ref().map_or(0, |detail| detail.parts.sections.len())
    };
    until(&mut desktop, |d| sections(d) == 2);
    let board = desktop.state().shared.publisher.view_model();
    let parts = &board.take_detail.as_ref().unwrap().parts;
    assert_eq!(parts.choruses[0].part, PartName::Chorus(1));
    let phrases: u32 = parts.choruses.iter().map(|part| part.figures.phrases).sum();
    assert_eq!(phrases, desktop.state().shared.panel.snapshot().figures.phrases);
    // The phrase a part begins with is looked into.
    desktop.get_by_label_contains("Chorus 2, bars").click_accesskit();
    until(&mut desktop, |d| d.query_by_label_contains("notes of phrase").is_some());
}

#[test]
fn part_a_take_before_a_phrase_and_have_it_back() {
    let mut desktop = opened();
    press(&mut desktop, "Tune: No tune");
    type_into(&mut desktop, "Bars per chorus: empty", "12");
    press(&mut desktop, "Takes");
    press(&mut desktop, "Choruses");
    until(&mut desktop, |d| d.query_by_label_contains("Chorus 2, bars").is_some());
    desktop.get_by_label_contains("Chorus 2, bars").click_accesskit();
    until(&mut desktop, |d| d.query_by_label("Split take here").is_some());
    let notes = |desktop: &Desktop| -> Vec<usize> {
        let session = desktop.state().shared.session();
        let lengths = session.takes().iter().map(|take| take.performance.soloist.notes().len());
        let mut lengths: Vec<usize> = lengths.collect();
        lengths.sort_unstable();
        lengths
    };
    let whole = notes(&desktop);
    press(&mut desktop, "Split take here");
    until(&mut desktop, |d| takes(d) == 3);
    let parts = notes(&desktop);
    assert_eq!(parts.iter().sum::<usize>(), whole.iter().sum::<usize>());
    assert!(parts.iter().all(|notes| *notes > 0));
    undo(&mut desktop, "Undo split");
    until(&mut desktop, |d| takes(d) == 2);
    assert_eq!(notes(&desktop), whole);
}

/// Two tunes: choosing one brings its form back, and a take is labelled as of the other.
/// Their names are first in order: the library outlives tests, and the row has room for few tunes.
#[test]
fn choose_a_tune_and_say_which_a_take_is_of() {
    let mut desktop = opened();
    press(&mut desktop, "Tune: No tune");
    // One field right after the other: neither is taken back by the other.
    type_into(&mut desktop, "Tune: empty", "A hill");
    type_into(&mut desktop, "Bars per chorus: empty", "12");
    until(&mut desktop, |d| d.query_by_label_contains("A chorus of 12 bars").is_some());
    type_into(&mut desktop, "Tune: A hill, edit", "A bend");
    until(&mut desktop, |d| d.query_by_label("Known tune: A bend").is_some());
    type_into(&mut desktop, "Bars per chorus: 12", "8");
    until(&mut desktop, |d| d.query_by_label_contains("A chorus of 8 bars").is_some());
    press(&mut desktop, "Known tune: A hill");
    until(&mut desktop, |d| d.query_by_label_contains("A chorus of 12 bars").is_some());
    press(&mut desktop, "Takes");
    press(&mut desktop, "Edit");
    until(&mut desktop, |d| d.query_by_label_contains("Tune: A hill, edit").is_some());
    let choruses = |desktop: &Desktop| {
        let board = desktop.state().shared.publisher.view_model();
        board.take_detail.as_ref().map_or(0, |one| one.parts.choruses.len())
    };
    until(&mut desktop, |d| choruses(d) > 0);
    let of_twelve = choruses(&desktop);
    type_into(&mut desktop, "Tune: A hill, edit", "A bend");
    until(&mut desktop, |d| choruses(d) > of_twelve);
}

fn label(library: &mut Library, id: TakeId, edit: impl FnOnce(&mut Labels, Stamp)) {
    let edited = library.edit_labels(id, |mut labels| {
        edit(&mut labels, Stamp::now());
        labels
    });
    edited.unwrap();
}

/// A host ended in mid-take. What was played until then is in the library, and comes back.
#[test]
fn fetch_a_take_that_was_cut_off() {
    let path = default_path().unwrap();
    let id = new_take_id();
    let lock = WriterLock::new(&path);
    let mut library = Library::open(&path).unwrap().library;
    library
        .begin_take(&TakeHeader { id, began: Stamp::now(), origin: Origin::Played }, &lock)
        .unwrap();
    let played = scenes::three_takes().takes()[0].performance.clone();
    let delta = DeltaTracker::default().next(&played).unwrap();
    library.append(id, &delta, &lock).unwrap();
    // A name of its own: the library outlives the test.
    let name = format!("Cut off at bridge {id}");
    label(&mut library, id, |labels, now| labels.name.set(name.clone(), now));
    drop((library, lock));

    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Takes: Library");
    until(&mut desktop, |d| d.query_by_label("Load the list again").is_some());
    type_into(&mut desktop, "Search takes", &id.to_string());
    until(&mut desktop, |d| {
        d.query_by_label_contains(&format!("Add to this project: {name}, just now")).is_some()
    });
    assert!(desktop.query_by_label_contains("Recovered ").is_some());
    desktop.get_by_label_contains(&format!("Add to this project: {name}")).click_accesskit();
    until(&mut desktop, |d| takes(d) == 3);
    let shared = &desktop.state().shared;
    let session = shared.session();
    let fetched = session.takes().iter().find(|take| take.id == id).unwrap();
    assert_eq!(fetched.performance.soloist.notes(), played.soloist.notes());
}

/// Puts a take without a name into the library whose host ended in the middle of it.
pub fn put_cut_off_into_library() {
    let path = default_path().unwrap();
    let lock = WriterLock::new(&path);
    let id = new_take_id();
    let mut library = Library::open(&path).unwrap().library;
    library
        .begin_take(&TakeHeader { id, began: Stamp::now(), origin: Origin::Played }, &lock)
        .unwrap();
    let played = scenes::three_takes().takes()[0].performance.clone();
    library.append(id, &DeltaTracker::default().next(&played).unwrap(), &lock).unwrap();
}

/// Puts a take of twelve phrases into the library, of this tune. Gives its notes, and how many takes of
/// that tune there are: the library outlives tests.
pub fn put_into_library(tune: &str) -> (Arc<Performance>, u32) {
    let path = default_path().unwrap();
    let lock = WriterLock::new(&path);
    let id = new_take_id();
    let mut library = Library::open(&path).unwrap().library;
    library
        .begin_take(&TakeHeader { id, began: Stamp::now(), origin: Origin::Played }, &lock)
        .unwrap();
    let played = scenes::stopped_session().takes()[1].performance.clone();
    library.append(id, &DeltaTracker::default().next(&played).unwrap(), &lock).unwrap();
    library.finish_take(id).unwrap();
    label(&mut library, id, |labels, now| labels.tune.set(tune.to_owned(), now));
    label(&mut library, id, |labels, now| labels.player.set("Second chair".to_owned(), now));
    let query = Query { tune: TuneId::of(tune), ..Query::default() };
    (played, library.list(&query).unwrap().of)
}

/// How often did I come in on beat one this week, in this tune?
#[test]
fn read_progress_over_one_tune() {
    const TUNE: &str = "Etude for errands";
    let (played, takes) = put_into_library(TUNE);
    let mut desktop = opened();
    press(&mut desktop, "Progress");
    until(&mut desktop, |d| d.query_by_label_contains("Phrases that start on beat one").is_some());
    press(&mut desktop, "Tune: All tunes");
    press(&mut desktop, &format!("Tune: {TUNE}, choose"));
    let takes_line = if takes == 1 { "1 take ·".to_owned() } else { format!("{takes} takes ·") };
    until(&mut desktop, |d| d.query_by_label_contains(&takes_line).is_some());
    assert!(desktop.query_by_label(&format!("Tune: {TUNE}")).is_some());
    let phrases = TakeAnalysis::of(played.clone(), Settings::default()).phrases().to_vec().len()
        * takes as usize;
    let weeks = format!("of {phrases}); in the week of ");
    until(&mut desktop, |d| d.query_all_by_label_contains(&weeks).next().is_some());
}

/// The menu of a take, by the pointer and by the keyboard.
#[test]
fn open_the_menu_of_a_take() {
    const NAME: &str = "Menu of Take 1";
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.query_by_label_contains("Take 1, 0:").is_some());
    let open = |desktop: &mut Desktop| {
        desktop.get_by_label_contains("Take 1, 0:").click_secondary();
        until(desktop, |d| d.query_by_label(NAME).is_some());
    };
    let role = egui::accesskit::Role::MenuItem;
    open(&mut desktop);
    let entries = |d: &Desktop| d.query_all_by_role(role).count();
    assert!(entries(&desktop) >= 9, "{}", entries(&desktop));
    assert_eq!(desktop.state().state.keys, Keys::List, "the arrows lead through it");
    // Escape and a press beside it close it, and do nothing else.
    desktop.key_press(Key::Escape);
    until(&mut desktop, |d| d.query_by_label(NAME).is_none());
    open(&mut desktop);
    desktop.hover_at(egui::pos2(600.0, 10.0));
    for pressed in [true, false] {
        desktop.event(egui::Event::PointerButton {
            pos: egui::pos2(600.0, 10.0),
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        });
        desktop.run();
    }
    until(&mut desktop, |d| d.query_by_label(NAME).is_none());
    assert!(desktop.query_by_label_contains("Take 1, 0:").is_some(), "still under Takes");
    // By keys: the third entry gives the star.
    assert_eq!(desktop.state().state.keys, Keys::Takes);
    desktop.key_press_modifiers(egui::Modifiers::SHIFT, Key::F10);
    until(&mut desktop, |d| d.query_by_label(NAME).is_some());
    [Key::ArrowDown, Key::ArrowDown, Key::Enter].into_iter().for_each(|key| {
        desktop.key_press(key);
        desktop.run();
    });
    let label = |d: &Desktop, is: fn(&TakeLabel) -> bool| {
        d.state().shared.publisher.view_model().labels.values().any(is)
    };
    until(&mut desktop, |d| label(d, |label| label.star));
    assert!(desktop.query_by_label(NAME).is_none());
    // A name, typed at once.
    open(&mut desktop);
    press(&mut desktop, "Rename");
    desktop.get_by_role(egui::accesskit::Role::TextInput).set_text_value_accesskit("From a menu");
    desktop.run();
    desktop.key_press(Key::Enter);
    until(&mut desktop, |d| label(d, |label| label.name == "From a menu"));
    until(&mut desktop, |d| d.query_by_label_contains("From a menu, 0:").is_some());
    desktop.get_by_label_contains("From a menu, 0:").click_secondary();
    until(&mut desktop, |d| d.query_by_label("Menu of From a menu").is_some());
    let delete = desktop.get_all_by_role(role).last().unwrap();
    delete.click_accesskit();
    until(&mut desktop, |d| takes(d) == 1);
}
