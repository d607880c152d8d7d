//! One take in detail: its parts, what to work on next and, if the tune has chords, its notes against them.

use crate::view_model::changes::Changes;
use crate::view_model::staff::Staff;
use crate::view_model::take_grid::TakeGrid;
use crate::view_model::tune::Tune;
use overbar_core::analysis::parts::Parts;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::microtiming::TimeFeel;
use overbar_core::study::advice::{Advice, advise};
use overbar_core::take::TakeId;
use overbar_core::theory::changes::Changes as Chords;
use overbar_core::theory::counts::{HarmonyCounts, TakeHarmony};
use overbar_core::theory::form::Form;
use overbar_core::theory::instrument::InstrumentPitch;
use overbar_core::time::{Beat, Second};
use overbar_library::Summary;

/// The details.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeDetail {
    /// Its id.
    pub id: TakeId,
    /// The form of its tune, if any.
    pub form: Option<Form>,
    /// Its parts.
    pub parts: Parts,
    /// A summary of what was played.
    pub summary: Summary,
    /// The changes of tempo and metre.
    pub changes: Changes,
    /// Its time feel.
    pub feel: TimeFeel,
    /// Bars of rest that separate its solos; 0 for markers only.
    pub dividing_rest_bars: u8,
    /// What to work on next.
    pub advice: Advice,
    /// Its notes against the chords; `None` if there are no chords.
    pub harmony: Option<TakeHarmony>,
    /// Its notation.
    pub staff: Staff,
    /// Its beat grid.
    pub grid: TakeGrid,
    /// The first note of each phrase.
    first_notes: Vec<usize>,
}

/// A take's metadata.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// Its tune.
    pub tune: Tune,
    /// Its markers.
    pub marks: Vec<Second>,
    /// The instrument that it is notated for.
    pub written_for: InstrumentPitch,
}

impl TakeDetail {
    /// Of the take `id`.
    pub fn of(id: TakeId, analysis: &TakeAnalysis, about: &About) -> Self {
        let tune = &about.tune;
        let chords = chords_of(analysis, tune);
        Self {
            id,
            form: tune.form().cloned(),
            parts: Parts::of(analysis, tune.form(), &about.marks),
            summary: Summary::of(analysis.take()),
            changes: Changes::of(analysis.take()),
            feel: *analysis.feel(),
            dividing_rest_bars: analysis.settings().solos.dividing_rest_bars,
            advice: advise(analysis),
            harmony: chords.as_ref().map(|chords| analysis.harmony(chords)),
            grid: TakeGrid::of(analysis),
            staff: Staff::of(analysis, (tune.form(), chords.as_ref()), about.written_for),
            first_notes: analysis.phrases().iter().map(|phrase| phrase.first_note).collect(),
        }
    }

    /// The phrase that starts with this note, against the chords; `None` if there are no chords or no phrase
    /// starts there.
    pub fn phrase_on_chords(&self, first_note: usize) -> Option<&HarmonyCounts> {
        let phrase = self.first_notes.binary_search(&first_note).ok()?;
        self.harmony.as_ref()?.phrases.get(phrase)
    }
}

/// The chords of its tune, aligned to the take.
fn chords_of(analysis: &TakeAnalysis, tune: &Tune) -> Option<Chords> {
    let take = analysis.take();
    let first = take.metres.bar(tune.form()?.first_bar()).start;
    let chart = tune.chart(take.metres.metre_at(first).pulses())?;
    let last = take.soloist.notes().last().map_or(Beat(0.0), |note| note.on.beat);
    Some(chart.laid(analysis.context().lines, first, last))
}
