//! The analysis of a finished take.

use crate::analysis::analyser::Analyser;
use crate::analysis::overview::TakeOverview;
use crate::melody::RoleCounts;
use crate::microtiming::tally::FeelTally;
use crate::microtiming::{TakeFeel, TimeFeel, feel_of};
use crate::phrase::figures::{Figures, figures};
use crate::phrase::{AnalysisContext, Phrase};
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::theory::changes::Changes;
use crate::theory::chart::{Chart, ChartError};
use crate::theory::counts::{TakeHarmony, harmony};
use crate::theory::form::Form;
use crate::time::Beat;
use std::sync::Arc;

/// The melody line, phrases, figures and time feel of one take with one set of settings. Advice,
/// comparison, comps, reports and views all use this.
///
/// It shares the take's notes, which are copied when changed: an analysis always matches its own
/// [`TakeAnalysis::take`].
#[derive(Debug, Clone)]
pub struct TakeAnalysis {
    take: Arc<Performance>,
    analyser: Analyser,
    phrases: Vec<Phrase>,
    figures: Figures,
    feel: TimeFeel,
}

impl TakeAnalysis {
    /// Analyses a whole take.
    pub fn of(take: impl Into<Arc<Performance>>, settings: Settings) -> Self {
        let take = take.into();
        let (analyser, phrases) = Analyser::whole(&take, settings);
        let mut feel = FeelTally::of_whole(&phrases, analyser.context(&take));
        for phrase in &phrases {
            feel.add(phrase, analyser.context(&take));
        }
        let feel = feel.feel();
        Self { figures: figures(&phrases, &settings.alerts), take, analyser, phrases, feel }
    }

    /// Whether this is the analysis of `take` under `settings`.
    pub fn is_of(&self, take: &Arc<Performance>, settings: &Settings) -> bool {
        Arc::ptr_eq(&self.take, take) && self.settings() == settings
    }

    /// What was played.
    #[must_use]
    pub fn take(&self) -> &Arc<Performance> {
        &self.take
    }

    /// Its settings.
    pub fn settings(&self) -> &Settings {
        self.analyser.settings()
    }

    /// All phrases, in order; none of them is open. Empty without a beat grid.
    pub fn phrases(&self) -> &[Phrase] {
        &self.phrases
    }

    /// The figures of all phrases.
    pub fn figures(&self) -> &Figures {
        &self.figures
    }

    /// The time feel of the take.
    pub fn feel(&self) -> &TimeFeel {
        &self.feel
    }

    /// The time feel of the take and of each phrase, computed at each call: for a long take it would need
    /// as much memory as the notes.
    pub fn phrase_feel(&self) -> TakeFeel {
        feel_of(&self.phrases, self.context())
    }

    /// Note count per role.
    pub fn roles(&self) -> RoleCounts {
        self.analyser.roles()
    }

    /// The melody line with its positions.
    pub fn context(&self) -> AnalysisContext<'_> {
        self.analyser.context(&self.take)
    }

    /// The chords of a form over the take; `None` without any.
    ///
    /// # Errors
    /// [`ChartError`] with the bar and the symbol that cannot be read.
    pub fn changes(&self, form: &Form) -> Result<Option<Changes>, ChartError> {
        let bars: Vec<&str> = (1..=form.chorus_bars()).map(|bar| form.chords_at(bar)).collect();
        if bars.iter().all(|chords| chords.trim().is_empty()) {
            return Ok(None);
        }
        let lines = self.context().lines;
        let first = lines.bar(form.first_bar());
        let chart = Chart::parse(&bars.join(" | "), first.metre.pulses())?;
        let last = self.take.soloist.notes().last().map_or(Beat(0.0), |note| note.on.beat);
        Ok(Some(chart.laid(lines, first.start, last)))
    }

    /// The notes against the chords of `changes`.
    pub fn harmony(&self, changes: &Changes) -> TakeHarmony {
        harmony(&self.phrases, self.context(), changes)
    }

    /// Its overview.
    pub fn overview(&self) -> TakeOverview {
        let parts = (self.figures.clone(), self.feel, self.roles());
        TakeOverview::of(self.phrases.iter().copied(), self.phrases.len(), parts)
    }
}
