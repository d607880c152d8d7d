//! What the system is asked for: an invented desktop answers, and remembers what it was asked.

use crate::errands::{Desktop as Opened, opened, opened_with, press, until};
use egui::{DroppedFile, HoveredFile, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::jobs::system::desktop::{Desktop, Dialog};
use overbar::view_model::look::Tab;
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A desktop of the tests.
#[derive(Default)]
pub struct Invented {
    /// Where the manual may be.
    pub manuals: Mutex<Vec<PathBuf>>,
    /// What was opened.
    pub opened: Mutex<Vec<PathBuf>>,
    /// What was shown in its folder.
    pub shown: Mutex<Vec<PathBuf>>,
    /// What the user chooses in its dialog, in turn; it stays open until there is something.
    pub answers: Mutex<VecDeque<Result<Vec<PathBuf>, String>>>,
    /// The dialogs that were opened.
    pub asked: Mutex<Vec<Dialog>>,
    /// It has no programs.
    pub bare: Mutex<bool>,
}

impl Desktop for Invented {
    fn open(&self, file: &Path) -> Result<(), String> {
        if *self.bare.lock().unwrap() {
            return Err("no program for it".to_owned());
        }
        self.opened.lock().unwrap().push(file.to_owned());
        Ok(())
    }

    fn show(&self, file: &Path) -> Result<(), String> {
        if *self.bare.lock().unwrap() {
            return Err("no file manager".to_owned());
        }
        self.shown.lock().unwrap().push(file.to_owned());
        Ok(())
    }

    fn choose(&self, dialog: &Dialog) -> Result<Vec<PathBuf>, String> {
        self.asked.lock().unwrap().push(dialog.clone());
        let began = Instant::now();
        while began.elapsed() < Duration::from_secs(20) {
            if let Some(answer) = self.answers.lock().unwrap().pop_front() {
                return answer;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
        Ok(Vec::new())
    }

    fn manuals(&self) -> Vec<PathBuf> {
        self.manuals.lock().unwrap().clone()
    }
}

/// The source has it here.
pub fn manual() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../plugin/manual")
}

const OPEN: &str = "Open the manual";

#[test]
fn open_the_manual_from_the_first_steps_and_from_the_settings() {
    let mut desktop = opened_with(Session::new(Settings::default()));
    let system = desktop.state().system.clone();
    let elsewhere = std::env::temp_dir().join("overbar_no_manual");
    *system.manuals.lock().unwrap() = vec![elsewhere, manual()];
    press(&mut desktop, OPEN);
    until(&mut desktop, |_| system.opened.lock().unwrap().len() == 1);
    assert_eq!(*system.opened.lock().unwrap(), [manual().join("README.md")]);
    desktop.state_mut().state.look.tab = Tab::Settings;
    desktop.set_size(vec2(1280.0, 800.0));
    press(&mut desktop, OPEN);
    until(&mut desktop, |_| system.opened.lock().unwrap().len() == 2);
}

#[test]
fn a_manual_that_cannot_be_opened_is_told_of() {
    let mut desktop = opened();
    let system = desktop.state().system.clone();
    let elsewhere = std::env::temp_dir().join("overbar_no_manual");
    *system.manuals.lock().unwrap() = vec![elsewhere.clone()];
    desktop.state_mut().state.look.tab = Tab::Settings;
    desktop.set_size(vec2(1280.0, 800.0));
    press(&mut desktop, OPEN);
    let says =
        |text: String| move |d: &Opened| d.query_all_by_label_contains(&text).next().is_some();
    let shown = elsewhere.display();
    until(&mut desktop, says(format!("The manual isn't installed. Its folder would be {shown}")));
    *system.manuals.lock().unwrap() = vec![manual()];
    *system.bare.lock().unwrap() = true;
    press(&mut desktop, OPEN);
    until(&mut desktop, says("README.md: no program for it.".to_owned()));
    assert!(system.opened.lock().unwrap().is_empty());
}

impl Invented {
    /// What the user chooses in the dialog that is open, or in the next one.
    pub fn answer(&self, answer: Result<Vec<PathBuf>, String>) {
        self.answers.lock().unwrap().push_back(answer);
    }
}

fn is_disabled(desktop: &Opened, label: &str) -> bool {
    desktop.get_by_label(label).accesskit_node().is_disabled()
}

/// Whether a notice says this; its button to dismiss it says it, too.
fn is_shown(desktop: &Opened, text: &str) -> bool {
    desktop.query_all_by_label_contains(text).next().is_some()
}

/// Presses a button that opens the dialog once it can be pressed, and waits until it is open.
fn open_dialog(desktop: &mut Opened, label: &str) {
    until(desktop, |d| d.query_by_label(label).is_some() && !is_disabled(d, label));
    let before = desktop.state().system.asked.lock().unwrap().len();
    press(desktop, label);
    until(desktop, |d| d.state().system.asked.lock().unwrap().len() > before);
    until(desktop, |d| is_disabled(d, label));
}

const EXPORT: &str = "Export takes, the comp, a comparison or class reports";

#[test]
fn choose_the_folders_instead_of_typing_them() {
    let mut desktop = opened();
    let folder = std::env::temp_dir();
    let selection = |d: &Opened| d.state().shared.publisher.compare.selection();
    press(&mut desktop, "Takes");
    press(&mut desktop, EXPORT);
    open_dialog(&mut desktop, "Choose the export folder");
    // The panel goes on meanwhile, and there is no second dialog.
    until(&mut desktop, |d| is_disabled(d, "Choose the folder of the class"));
    let began = Instant::now();
    (0..20).for_each(|_| desktop.step());
    assert!(began.elapsed() < Duration::from_secs(2), "{:?}", began.elapsed());
    desktop.state().system.answer(Ok(vec![folder.join("out")]));
    until(&mut desktop, |d| d.query_by_label_contains("Export folder: /").is_some());
    assert_eq!(selection(&desktop).folder, folder.join("out").to_str().unwrap());

    // The next one begins where files go, and changes nothing where the user changes their mind.
    open_dialog(&mut desktop, "Choose the export folder");
    assert_eq!(desktop.state().system.asked.lock().unwrap()[1].from, Some(folder.clone()));
    desktop.state().system.answer(Ok(Vec::new()));
    open_dialog(&mut desktop, "Choose the folder of the class");
    assert_eq!(selection(&desktop).folder, folder.join("out").to_str().unwrap());
    desktop.state().system.answer(Ok(vec![folder.clone(), folder.join("more")]));
    until(&mut desktop, |d| is_shown(d, "Choose one folder only."));
    open_dialog(&mut desktop, "Choose the folder of the class");
    desktop.state().system.answer(Ok(vec![folder.join("class")]));
    until(&mut desktop, |d| selection(d).class.ends_with("class"));

    ["Check Take 1", "Check Take 2"].iter().for_each(|take| press(&mut desktop, take));
    press(&mut desktop, "Compare the checked takes");
    open_dialog(&mut desktop, "Choose the reference folder");
    desktop.state().system.answer(Ok(vec![folder.join("solos")]));
    until(&mut desktop, |d| selection(d).own_set.ends_with("solos"));
    assert!(desktop.state().system.asked.lock().unwrap().iter().all(|dialog| dialog.folders));
}

#[test]
fn choose_midi_files_to_import() {
    let folder = std::env::temp_dir().join(format!("overbar_chosen_{}", std::process::id()));
    crate::bench_errands::solos(&folder);
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Import MIDI files as takes");
    let takes = |d: &Opened| d.state().shared.session().takes().len();
    let before = takes(&desktop);
    let file = |number: u32| folder.join(format!("student {number}.mid"));
    open_dialog(&mut desktop, "Choose MIDI files to import");
    desktop.state().system.answer(Ok(vec![file(0), file(1)]));
    until(&mut desktop, |d| takes(d) == before + 2);
    until(&mut desktop, |d| d.query_by_label_contains("Imported 2 files.").is_some());
    open_dialog(&mut desktop, "Choose a folder of MIDI files to import");
    desktop.state().system.answer(Ok(vec![folder.clone()]));
    until(&mut desktop, |d| takes(d) == before + 5);
    let shown = format!("MIDI file, or a folder of them: {}", folder.display());
    until(&mut desktop, |d| d.query_by_label_contains(&shown).is_some());
    // Without a dialog the typed path remains.
    open_dialog(&mut desktop, "Choose MIDI files to import");
    desktop.state().system.answer(Err("No file dialog on this system.".to_owned()));
    until(&mut desktop, |d| is_shown(d, "No file dialog on this system."));
    assert!(desktop.query_by_label_contains(&shown).is_some());
    std::fs::remove_dir_all(&folder).unwrap();
}

/// A file that is dropped on the window.
#[derive(Debug)]
struct Dropped(PathBuf);

impl DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("the panel reads no files".to_owned())
    }
}

fn drag(desktop: &mut Opened, name: &str) {
    let path = Some(PathBuf::from(name));
    desktop.input_mut().hovered_files = vec![HoveredFile { path, ..HoveredFile::default() }];
    desktop.step();
}

fn drop_on(desktop: &mut Opened, paths: &[PathBuf]) {
    let input = desktop.input_mut();
    input.hovered_files.clear();
    input.dropped_files = paths.iter().map(|path| Arc::new(Dropped(path.clone())) as _).collect();
    desktop.step();
}

#[test]
fn files_dropped_on_the_window_become_takes() {
    let folder = std::env::temp_dir().join(format!("overbar_dropped_{}", std::process::id()));
    let inner = folder.join("more");
    crate::bench_errands::solos(&inner);
    let (one, text) = (folder.join("one.mid"), folder.join("notes.txt"));
    std::fs::copy(inner.join("student 0.mid"), &one).unwrap();
    std::fs::write(&text, "a shopping list").unwrap();
    let mut desktop = opened();
    let takes = |d: &Opened| d.state().shared.session().takes().len();
    let says = |d: &Opened, text: &str| d.query_all_by_label_contains(text).next().is_some();
    let before = takes(&desktop);

    drag(&mut desktop, "notes.txt");
    assert!(says(&desktop, "Only MIDI files and folders of them can be imported"));
    drag(&mut desktop, "Solo.MID");
    assert!(says(&desktop, "Drop MIDI files or folders here to import them as takes"));
    drop_on(&mut desktop, std::slice::from_ref(&one));
    assert!(!says(&desktop, "Drop MIDI files"), "nothing is dragged any more");
    until(&mut desktop, |d| takes(d) == before + 1);
    until(&mut desktop, |d| says(d, "Imported 1 file."));
    assert!(says(&desktop, &format!("MIDI file, or a folder of them: {}", one.display())));

    // Folders as well; a file that is not MIDI is reported, and the others are imported.
    drop_on(&mut desktop, &[text.clone(), folder.join("gone"), inner]);
    until(&mut desktop, |d| takes(d) == before + 5);
    until(&mut desktop, |d| says(d, "Imported 5 files; 3 failed (first: ") && says(d, "gone"));
    drop_on(&mut desktop, &[text]);
    until(&mut desktop, |d| says(d, "Nothing imported: notes.txt: "));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn show_what_was_written_in_its_folder() {
    let folder = std::env::temp_dir().join(format!("overbar_shown_{}", std::process::id()));
    let mut desktop = opened();
    let system = desktop.state().system.clone();
    let into = Command::Compare(CompareCommand::Folder(folder.display().to_string()));
    desktop.state().shared.panel.send(into);
    press(&mut desktop, "Takes");
    press(&mut desktop, EXPORT);
    assert!(desktop.query_by_label(SHOW).is_none(), "nothing is written yet");
    press(&mut desktop, "Export this take as CSV and JSON");
    press(&mut desktop, SHOW);
    until(&mut desktop, |_| system.shown.lock().unwrap().len() == 1);
    let shown = system.shown.lock().unwrap()[0].clone();
    assert!(shown.starts_with(&folder) && shown.is_file(), "{}", shown.display());

    // The page of a comparison is shown where it was asked for.
    ["Check Take 1", "Check Take 2"].iter().for_each(|take| press(&mut desktop, take));
    press(&mut desktop, "Compare the checked takes");
    let page = "Create a report of the comparison";
    until(&mut desktop, |d| d.query_by_label(page).is_some() && !is_disabled(d, page));
    press(&mut desktop, page);
    let files = |d: &Opened| d.state().shared.publisher.view_model().files.clone();
    until(&mut desktop, |d| files(d).written.is_some_and(|file| file.ends_with(COMPARISON)));
    press(&mut desktop, SHOW);
    until(&mut desktop, |_| system.shown.lock().unwrap().len() == 2);
    assert!(system.shown.lock().unwrap()[1].ends_with(COMPARISON));

    *system.bare.lock().unwrap() = true;
    press(&mut desktop, SHOW);
    until(&mut desktop, |d| is_shown(d, "html: no file manager."));
    std::fs::remove_dir_all(&folder).unwrap();
}

const SHOW: &str = "Show the file in its folder";
const COMPARISON: &str = "Comparison of Take 1, Take 2.html";
