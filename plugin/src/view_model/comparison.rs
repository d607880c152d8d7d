//! Takes side by side: figures, how far they differ, and what recorded solos do.

use crate::view_model::comp_sheet::CompSheet;
use crate::view_model::own_set::OwnSet;
use crate::view_model::selection::Selection;
use overbar_core::study::compare::{Comparison, DifferenceSentence, Style};
use overbar_core::take::TakeId;
use std::sync::Arc;

/// See the module.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeComparison {
    /// Ids of the takes.
    pub ids: Vec<TakeId>,
    /// Their figures and differences.
    pub comparison: Comparison,
    /// Sentences about them; those that hold come first.
    pub sentences: Vec<DifferenceSentence>,
    /// The style of the recorded solos.
    pub style: Style,
    /// Each take against the recorded solos, a line a figure; empty if it is not in 4/4.
    pub norms: Vec<Vec<String>>,
    /// Each take against the user's own set, or why that could not be read; `None` if none is set.
    pub own: Option<Result<BesideOwn, String>>,
}

/// The user's own set, and takes beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct BesideOwn {
    /// The set.
    pub set: Arc<OwnSet>,
    /// Each take, a line a figure.
    pub lines: Vec<Vec<String>>,
}

/// The views of comparing and cutting.
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
    /// A job is running, and what is shown may be older than the selection.
    pub working: bool,
    /// The best comp is being searched for.
    pub proposing: bool,
    /// Which file of how many of the user's own set is being read.
    pub reading: Option<(usize, usize)>,
}
