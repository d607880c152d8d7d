//! Notices come, go away when they are dismissed, and come again.

use crate::errands::{Desktop, opened, press, until};
use egui_kittest::kittest::Queryable as _;

/// A notice goes away and the others stay; it comes back when it is given again, a count when it grows.
#[test]
fn dismiss_a_notice() {
    let mut desktop = opened();
    let [state, disk] = ["The saved takes are damaged.", "The disk is full."];
    desktop.state_mut().dropped = 12;
    [state, disk].iter().for_each(|notice| desktop.state().shared.panel.notice(*notice));
    desktop.run();
    let shown = |d: &Desktop, notice: &str| d.query_by_label_contains(notice).is_some();
    let dismiss = |desktop: &mut Desktop, notice: &str| {
        let label = format!("Dismiss: {notice}");
        until(desktop, |d| d.query_by_label(&label).is_some());
        press(desktop, &label);
        until(desktop, |d| d.query_by_label(&label).is_none());
    };
    dismiss(&mut desktop, "12 MIDI events dropped (computer overloaded)");
    dismiss(&mut desktop, disk);
    assert!(shown(&desktop, "Dismiss: The saved takes"), "another one stays");
    assert!(!shown(&desktop, disk) && !shown(&desktop, "dropped"));
    desktop.state_mut().dropped = 13;
    desktop.state().shared.panel.notice(disk);
    desktop.run();
    dismiss(&mut desktop, "13 MIDI events dropped (computer overloaded)");
    dismiss(&mut desktop, state);
    dismiss(&mut desktop, disk);
    assert!(desktop.query_by_role(egui::accesskit::Role::Status).is_none());
}
