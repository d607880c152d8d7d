//! What the system is asked for: an invented desktop answers, and remembers what it was asked.

use crate::errands::{Desktop as Opened, opened, opened_with, press, until};
use egui::vec2;
use egui_kittest::kittest::Queryable as _;
use overbar::jobs::system::desktop::Desktop;
use overbar::view_model::look::Tab;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// A desktop of the tests.
#[derive(Default)]
pub struct Invented {
    /// Where the manual may be.
    pub manuals: Mutex<Vec<PathBuf>>,
    /// What was opened.
    pub opened: Mutex<Vec<PathBuf>>,
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
