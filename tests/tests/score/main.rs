//! What `cargo xtask score` says of labelled solos.

mod counted;
mod labelled;
mod performed;
#[path = "../support/mod.rs"]
mod support;
mod taps;

use serde_json::Value;
use std::path::Path;
use support::command::call;

const GRADES: [&str; 3] = ["live", "settled", "after"];

/// The weights that ship.
const WEIGHTS: &str = include_str!("../../../core/src/segmentation/weights.txt");

/// Scores with these options, read from the JSON.
fn scored(folder: &Path, options: &[&str]) -> Value {
    let ran =
        call("xtask-analysis", &[&["score", folder.to_str().unwrap(), "--json"], options].concat());
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    serde_json::from_str(&ran.out).unwrap()
}

/// How many entries of a folder agree in beat, "and" or other, as a share.
fn agreed(scores: &Value, grade: &str) -> f64 {
    let classes = &scores["entries"][grade]["pooled"];
    classes["three_agree"].as_f64().unwrap() / classes["of"].as_f64().unwrap()
}
