//! What the models reach on the labelled solos, where they are at hand.

use crate::support::command::folder;
use crate::{GRADES, WEIGHTS, agreed, scored};
use overbar_testkit::labelled_solos;
use serde_json::Value;

/// What is promised of the boundary models, on the open half of the labelled solos.
#[test]
fn what_the_models_reach_on_labelled_solos() {
    let Some(solos) = labelled_solos(
        "phrase starts of .900, .911 and .913 (live, settled, after; cross-validated), entry classes of \
         .905, .968 and .967 (three classes), what corrections teach and the shipped weights are taken \
         on trust",
    ) else {
        return;
    };
    let weights = folder("score-weights").join("weights.txt");
    let fit = ["--cross-validate", "--taught", "--fit", weights.to_str().unwrap()];
    let scores = scored(&solos, &fit);
    let f1 = |starts: &Value| starts["f1"].as_f64().unwrap();
    let held_out =
        |scores: &Value, grade: usize| f1(&scores["held_out"][grade]["starts"]["pooled"]);
    for (grade, least) in [0.900, 0.911, 0.913].into_iter().enumerate() {
        assert!(held_out(&scores, grade) >= least, "{}: {}", GRADES[grade], scores["held_out"]);
        let model = &scores["held_out"][grade];
        for error in ["error", "error_of_rests"] {
            assert!(model["calibration"][error].as_f64().unwrap() <= 0.025, "{model}");
        }
        let bands = model["starts"]["by_tempo"].as_object().unwrap();
        assert_eq!(bands.len(), 6);
        for (band, starts) in bands {
            assert!(f1(starts) >= 0.86, "{} {band}: {starts}", GRADES[grade]);
        }
    }
    for (grade, least) in [("at_onset", 0.905), ("settled", 0.968), ("classes", 0.967)] {
        assert!(agreed(&scores, grade) >= least, "{grade}: {}", scores["entries"][grade]);
    }
    for lesson in scores["taught"]["lessons"].as_array().unwrap() {
        assert!(f1(&lesson["taught"]) > f1(&lesson["untaught"]), "{lesson}");
        assert!(f1(&lesson["oracle"]) > f1(&lesson["taught"]), "{lesson}");
    }
    let (gate, legato) = (
        scored(&solos, &["--cross-validate", "--gate", "40"]),
        scored(&solos, &["--cross-validate", "--legato", "0.15"]),
    );
    for grade in 0..3 {
        assert!(held_out(&gate, grade) >= 0.78, "{}", gate["held_out"][grade]);
        assert!(held_out(&scores, grade) - held_out(&legato, grade) <= 0.01, "{}", GRADES[grade]);
    }
    let fitted = std::fs::read_to_string(&weights).unwrap();
    let shipped = WEIGHTS.lines().filter(|line| !line.starts_with('#'));
    assert_eq!(fitted.lines().count(), shipped.clone().count());
    for (fitted, shipped) in fitted.lines().zip(shipped) {
        let parts = |row: &str| {
            let (name, weight) = row.rsplit_once(' ').unwrap();
            (name.to_owned(), weight.parse::<f64>().unwrap())
        };
        let ((name, weight), (known, ships)) = (parts(fitted), parts(shipped));
        assert_eq!(name, known);
        // The last of six decimals may be rounded either way.
        assert!((weight - ships).abs() < 1.5e-6, "{name}: {weight} fitted, {ships} shipped");
    }
}
