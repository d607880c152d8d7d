//! Compares the chosen takes.

use crate::jobs::comp::request::CompareRequest;
use crate::jobs::files::own_sets::OwnSets;
use crate::view_model::comparison::{BesideOwn, TakeComparison};
use overbar_core::study::compare::{DifferenceSentence, against_norm};

/// Compares the takes of `request`.
///
/// # Errors
/// A sentence for the user.
pub(super) fn compare_takes(
    request: &CompareRequest,
    sets: &OwnSets,
    reading: impl Fn(usize, usize) -> Result<(), String>,
) -> Result<TakeComparison, String> {
    let (_, comparison) = request.compare(&request.analyses())?;
    let style = request.selection.style;
    let norms = comparison.takes.iter().zip(&request.takes);
    let norms = norms.map(|(take, of)| against_norm(&take.figures, &of.notes.metres, style));
    let mut sentences: Vec<DifferenceSentence> = comparison.sentences().collect();
    sentences.sort_by_key(|sentence| !sentence.holds);
    let own = sets.get(&request.selection.own_set, request.settings, reading).transpose();
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
