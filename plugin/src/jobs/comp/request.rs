//! A request to compare takes and cut a comp: the takes and everything else that the result depends on, so
//! that no session is needed.

use crate::jobs::analyses::Analyses;
use crate::view_model::selection::Selection;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::study::comp::{Comp, CompError, Sheet, Source};
use overbar_core::study::compare::{Comparison, NamedTake, compare};
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::Form;
use std::sync::Arc;

/// A self-contained request.
#[derive(Debug, Clone)]
pub struct CompareRequest {
    /// The takes.
    pub takes: Vec<Copied>,
    /// The tune's form, if one is set.
    pub form: Option<Form>,
    /// The user's selection.
    pub selection: Selection,
    /// The analysis settings.
    pub settings: Settings,
    /// Whether to search for the best comp.
    pub propose: bool,
    /// Cached analyses.
    pub made: Arc<Analyses>,
}

/// A take of the request.
#[derive(Debug, Clone)]
pub struct Copied {
    /// Its id.
    pub id: TakeId,
    /// Its title.
    pub title: String,
    /// Its notes.
    pub notes: Arc<Performance>,
}

impl Copied {
    fn is_same(&self, other: &Self) -> bool {
        self.id == other.id && self.title == other.title && Arc::ptr_eq(&self.notes, &other.notes)
    }
}

impl CompareRequest {
    /// The analyses of the takes.
    pub fn analyses(&self) -> Vec<Arc<TakeAnalysis>> {
        self.takes.iter().map(|take| self.made.of(&take.notes, &self.settings)).collect()
    }

    /// Compares the takes, given their `analyses`.
    ///
    /// # Errors
    /// A sentence for the user.
    pub fn compare<'a>(
        &'a self,
        analyses: &'a [Arc<TakeAnalysis>],
    ) -> Result<(Vec<NamedTake<'a>>, Comparison), String> {
        let takes = self.takes.iter().zip(analyses);
        let takes: Vec<NamedTake<'_>> =
            takes.map(|(take, analysis)| NamedTake::of(&take.title, analysis)).collect();
        let made = compare(&takes, &self.settings.alerts).map_err(|why| format!("{why}."))?;
        Ok((takes, made))
    }

    /// Whether `other` gives the same comparison.
    pub(super) fn compares_as(&self, other: &Self) -> bool {
        self.takes.len() == other.takes.len()
            && self.takes.iter().zip(&other.takes).all(|(a, b)| a.is_same(b))
            && self.settings == other.settings
            && self.selection.style == other.selection.style
            && self.selection.own_set == other.selection.own_set
    }

    /// Whether `other` gives the same result.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        let cuts_as = |s: &Selection| (s.columns, s.cells.clone(), s.aim, s.nudge);
        self.compares_as(other)
            && self.form == other.form
            && cuts_as(&self.selection) == cuts_as(&other.selection)
            && self.propose == other.propose
    }

    /// The form of the sheet: the tune's form, or else one as long as a column, starting at the bar of the
    /// first phrase.
    fn columns_form(&self, analyses: &[Arc<TakeAnalysis>]) -> Result<Form, String> {
        if let Some(form) = &self.form {
            return Ok(form.clone());
        }
        let bars = self.selection.columns.bars();
        let first = analyses
            .iter()
            .filter_map(|take| take.phrases().first())
            .map(|phrase| phrase.entry.bar)
            .min()
            .unwrap_or(1);
        // Columns start where they would in a song counted from bar 1.
        let wide = i64::from(bars);
        let first = (first - 1).div_euclid(wide) * wide + 1;
        Form::new(bars, first).map_err(|why| format!("{why}."))
    }

    /// Lays out the sheet, cuts the comp and gives both to `make`.
    ///
    /// # Errors
    /// A sentence for the user.
    pub fn cut<T>(&self, make: impl FnOnce(&Sheet<'_>, &Comp, &Form) -> T) -> Result<T, String> {
        let message = |why: CompError| format!("{why}.");
        let analyses = self.analyses();
        let form = self.columns_form(&analyses)?;
        let sources: Vec<Source<'_>> = self
            .takes
            .iter()
            .zip(&analyses)
            .map(|(take, analysis)| Source { name: &take.title, analysis })
            .collect();
        let by = self.selection.columns.by(self.form.is_some());
        let sheet = Sheet::new(&sources, &form, by).map_err(message)?;
        let comp = if self.propose {
            sheet.propose(&self.selection.aims(), self.selection.nudge())
        } else {
            let ids: Vec<TakeId> = self.takes.iter().map(|take| take.id).collect();
            sheet.cut(&self.selection.choice(sheet.columns(), &ids), self.selection.nudge())
        };
        Ok(make(&sheet, &comp.map_err(message)?, &form))
    }
}
