//! Compares the chosen takes.

use crate::jobs::comp::request::Request;
use crate::jobs::files::own_sets::OwnSets;
use crate::view_model::comparison::{BesideOwn, TakeComparison};
use overbar_core::study::compare::{DifferenceSentence, NamedTake, against_norm, compare};

/// Compares the takes of `request`.
///
/// # Errors
/// A sentence for the user.
pub(super) fn compare_takes(
    request: &Request,
    sets: &OwnSets,
    reading: impl Fn(usize, usize) -> Result<(), String>,
) -> Result<TakeComparison, String> {
    let settings = request.settings;
    let heard = |index: usize| request.takes.get(index).map(|take| &take.notes);
    let analyses = request.analyses();
    let takes: Vec<NamedTake<'_>> = request
        .takes
        .iter()
        .zip(&analyses)
        .map(|(take, analysis)| NamedTake { name: &take.title, phrases: analysis.phrases() })
        .collect();
    let comparison = compare(&takes, &settings.alerts).map_err(|why| format!("{why}."))?;
    let style = request.selection.style;
    let norms = comparison.takes.iter().enumerate().map(|(index, take)| {
        let notes = heard(index);
        notes.map(|notes| against_norm(&take.figures, &notes.metres, style)).unwrap_or_default()
    });
    let mut sentences: Vec<DifferenceSentence> = comparison.sentences().collect();
    sentences.sort_by_key(|told| !told.holds);
    let own = sets.get(&request.selection.own_set, settings, reading).transpose();
    let own = own.map(|set| {
        set.map(|set| {
            let takes = comparison.takes.iter();
            BesideOwn { lines: takes.map(|take| set.lines(&take.figures)).collect(), set }
        })
    });
    Ok(TakeComparison {
        own,
        ids: request.takes.iter().map(|take| take.id).collect(),
        sentences,
        style,
        norms: norms.collect(),
        comparison,
    })
}
