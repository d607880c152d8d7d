//! Hearing a phrase, done through what a screen reader reads.

use crate::errands::{Desktop, opened, press, until};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::audio::hear::{HearBlock, HearOutput, HearSettings};
use overbar_core::output::hear::HearOptions;

/// An audio thread that has taken what is asked for.
fn taken(desktop: &mut Desktop) -> HearOutput {
    let link = desktop.state().shared.publisher.hear.link().clone();
    let mut output = HearOutput::new(link.clone());
    let options = HearOptions { speed: 1.0, looped: false, clicks: false };
    let settings = HearSettings { options, tone: None, click_level: 0.0 };
    let before = link.begun();
    while link.begun() == before {
        let block = HearBlock { may_play: true, frames: 64, sample_rate: 48_000.0 };
        output.begin_block(block, || settings);
        output.play(u32::MAX, &mut [], |_| true);
        output.end_block(&mut []);
        std::thread::yield_now();
    }
    desktop.run();
    output
}

fn is_disabled(desktop: &Desktop, label: &str) -> bool {
    desktop.get_by_label(label).accesskit_node().is_disabled()
}

#[test]
fn hear_a_phrase_at_70_percent_and_stop() {
    let mut desktop = opened();
    desktop.get_by_label_contains("phrase 5: starts on").click_accesskit();
    press(&mut desktop, "Hear phrase 5 of Take 2");
    let _output = taken(&mut desktop);
    until(&mut desktop, |d| d.query_by_label("Stop phrase 5 of Take 2").is_some());
    assert!(desktop.query_by_label_contains("phrase 5 of Take 2 · bar").is_some());
    for _ in 0..6 {
        press(&mut desktop, "Hear speed: less");
    }
    until(&mut desktop, |d| d.query_by_label("Hear speed: 70 %").is_some());
    press(&mut desktop, "Hear loop");
    press(&mut desktop, "Stop phrase 5 of Take 2");
    until(&mut desktop, |d| d.query_by_label("Hear phrase 5 of Take 2").is_some());
    // The strip stays, to hear it again, until it is closed.
    assert!(!is_disabled(&desktop, "Hear again"));
    press(&mut desktop, "Close Hear");
    until(&mut desktop, |d| d.query_by_label("Hear again").is_none());
}
