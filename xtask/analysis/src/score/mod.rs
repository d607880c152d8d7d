//! `score`: phrase starts and their positions against solos labelled by people.
//!
//! The folder holds `labels.jsonl`, one object per solo, and its MIDI files. A solo's first note begins a
//! phrase by definition and is left out of the count of starts.
//!
//! - `--cross-validate` also scores the boundary models on held-out solos: the solos are dealt in turn into
//!   five folds, and each fold is scored by models fitted to the other four. That is the honest figure if the
//!   shipped weights were fitted to the same folder.
//! - `--taught` also scores learning from a player's corrections.
//! - `--taps` scores beat grids from taps instead; see [`taps`].
//! - `--gate MS` gives every note this length, `--legato S` fills rests shorter than this, before the
//!   analysis. Models are always fitted to the notes as played.
//! - `--fit OUT` writes weights fitted to the whole folder.
//! - `--line`, `--feel`, `--pulse` and `--latency` set the analysis of starts. The boundary models are scored
//!   on the line as detected by default.
//! - `--json` writes JSON; its fields are documented in [`report`].

mod calibration;
mod confusion;
mod cross;
mod examples;
mod feel;
mod grades;
mod labels;
mod logistic;
mod model;
mod note_ends;
mod options;
mod parts;
mod report;
mod share_error;
mod solo;
mod starts;
mod taps;
mod taught;
mod weights_file;

use clap::Parser as _;
use examples::SoloExamples;
use grades::Grade;
use labels::Label;
use model::ModelPair;
use options::Options;
use overbar_cli::{Outcome, say};
use overbar_core::segmentation::Hindsight;
use report::{Models, Report};
use solo::Solo;
use std::ffi::OsString;
use taught::Taught;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    match Options::try_parse_from(arguments) {
        Ok(options) => score(&options).map(|text| say(&text)).into(),
        Err(error) => Outcome::Wrong(error.to_string().trim_start_matches("error: ").to_owned()),
    }
}

fn score(options: &Options) -> Result<String, String> {
    if options.taps {
        return taps::score(options);
    }
    let (note_ends, settings) = (options.note_ends(), options.analysis.settings());
    let hear = |label| Solo::hear(&options.folder, label, note_ends, settings);
    let labels = Label::read_all(&options.folder)?;
    let solos: Vec<Solo> = labels.into_iter().map(hear).collect::<Result<_, _>>()?;
    let scored = every_grade(&solos, options)?;
    let mut models = Models::default();
    let mut fitted = Vec::new();
    for (hindsight, scores) in Hindsight::ALL.into_iter().zip(scored) {
        models.shipped.push(scores.shipped);
        if let Some(held_out) = scores.held_out {
            models.held_out.get_or_insert_default().push(held_out);
        }
        if let Some(taught) = scores.taught {
            models.taught.get_or_insert_default().extend(taught);
        }
        fitted.extend(scores.fitted.map(|pair| (hindsight, pair)));
    }
    if let Some(path) = &options.fit {
        weights_file::write(path, &fitted)?;
    }
    let report = Report::of(&solos, note_ends, models)?;
    if options.json {
        serde_json::to_string(&report).map_err(|error| error.to_string())
    } else {
        Ok(report.text())
    }
}

/// The requested scores of one grade.
struct Scores {
    shipped: Grade,
    held_out: Option<Grade>,
    taught: Option<Vec<Taught>>,
    fitted: Option<ModelPair>,
}

/// The grades, each on its own thread: fitting is slow.
fn every_grade(solos: &[Solo], options: &Options) -> Result<Vec<Scores>, String> {
    std::thread::scope(|scope| {
        let started =
            Hindsight::ALL.map(|grade| scope.spawn(move || one_grade(grade, solos, options)));
        started.into_iter().map(|thread| thread.join().map_err(|_| "a grade failed")?).collect()
    })
}

fn one_grade(hindsight: Hindsight, solos: &[Solo], options: &Options) -> Result<Scores, String> {
    let examples: Vec<SoloExamples> =
        solos.iter().map(|solo| SoloExamples::of(solo, hindsight)).collect();
    let shipped = ModelPair::shipped(hindsight);
    let scored: Vec<_> = examples.iter().map(|examples| examples.scored(&shipped)).collect();
    let held_out = options.cross_validate.then(|| cross::scored(&examples)).transpose()?;
    // Corrections are made with hindsight, in one of the later grades.
    let taught = options.taught && hindsight != Hindsight::Live;
    Ok(Scores {
        shipped: Grade::of(hindsight, solos, &scored),
        taught: taught.then(|| Taught::all(hindsight, held_out.as_ref().unwrap_or(&scored))),
        held_out: held_out.map(|scored| Grade::of(hindsight, solos, &scored)),
        fitted: options.fit.as_ref().map(|_| cross::fit(examples.iter())).transpose()?,
    })
}
