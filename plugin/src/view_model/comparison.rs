//! Takes side by side: their figures, the differences, and recorded solos.

use crate::view_model::comp_sheet::CompSheet;
use crate::view_model::own_set::OwnSet;
use crate::view_model::selection::Selection;
use overbar_core::study::compare::{Comparison, DifferenceSentence, Style};
use overbar_core::take::TakeId;
use std::sync::Arc;

/// The comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeComparison {
    /// Ids of the takes.
    pub ids: Vec<TakeId>,
    /// Their figures and differences.
    pub comparison: Comparison,
    /// Sentences about them; clear differences come first.
    pub sentences: Vec<DifferenceSentence>,
    /// The style of the recorded solos.
    pub style: Style,
    /// Each take against the recorded solos, a line per figure; empty if it is not in 4/4.
    pub norms: Vec<Vec<String>>,
    /// Each take against the user's own set, or why that could not be read; `None` if none is set.
    pub own: Option<Result<BesideOwn, String>>,
}

/// Takes against the user's own set.
#[derive(Debug, Clone, PartialEq)]
pub struct BesideOwn {
    /// The set.
    pub set: Arc<OwnSet>,
    /// For each take a line per figure.
    pub lines: Vec<Vec<String>>,
}

/// The view of comparing and cutting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CompareView {
    /// The user's selection.
    pub selection: Selection,
    /// Takes side by side, or why there are none; `None` with fewer than two.
    pub comparison: Option<Arc<Result<TakeComparison, String>>>,
    /// The comp sheet, or why there is none.
    pub sheet: Option<Arc<Result<CompSheet, String>>>,
    /// The tune of the takes has a form.
    pub has_form: bool,
    /// A job is running: what is shown may be out of date.
    pub working: bool,
    /// The search for the best comp is running.
    pub proposing: bool,
    /// Which file of the user's own set is being read, of how many.
    pub reading: Option<(usize, usize)>,
}
