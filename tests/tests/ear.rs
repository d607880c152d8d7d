//! The boundary models here give what `fit/expect_boundaries.py` gives, onset by onset: two
//! implementations, in two languages, over five labelled solos.

use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::segmentation::{Hindsight, judge_onsets};
use overbar_core::session::Session;
use overbar_core::take::settings::Melody;
use overbar_testkit::labelled_solos;
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
struct Expected {
    id: String,
    live: Vec<f64>,
    settled: Vec<f64>,
    after: Vec<f64>,
}

#[test]
fn probabilities_are_those_of_the_script() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let Some(solos) = labelled_solos("the boundary models against another implementation") else {
        return;
    };
    let text = std::fs::read_to_string(here.join("fit/expected.jsonl")).unwrap();
    let mut compared = 0;
    for line in text.lines() {
        let expected: Expected = serde_json::from_str(line).unwrap();
        let bytes = std::fs::read(solos.join("midi").join(format!("{}.mid", expected.id))).unwrap();
        let midi = MidiFile::read(&bytes).unwrap();
        let mut session = Session::default();
        for event in midi.events(midi.line(Choice::default()).unwrap()) {
            session.push(event);
        }
        session.finish();
        let notes = session.takes()[0].performance.soloist.notes();
        for (hindsight, probabilities) in
            Hindsight::ALL.into_iter().zip([&expected.live, &expected.settled, &expected.after])
        {
            let found = judge_onsets(notes, hindsight, 0.0, Melody::All);
            assert_eq!(found.len(), probabilities.len(), "{}", expected.id);
            for (opening, probability) in found.iter().zip(probabilities) {
                let apart = (opening.judgement.probability - probability).abs();
                assert!(apart < 1e-5, "{} {hindsight:?} note {}", expected.id, opening.onset.first);
                compared += 1;
            }
        }
    }
    assert!(compared > 1_000);
}
