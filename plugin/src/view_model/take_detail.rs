//! A take from near: in its parts, with what to work on next and, where chords are given, its
//! notes against them.

use crate::view_model::changes::Changes;
use crate::view_model::tune::Tune;
use overbar_core::analysis::parts::Parts;
use overbar_core::microtiming::{Feel, feel};
use overbar_core::phrase::Phrase;
use overbar_core::quantization::BarLines;
use overbar_core::settings::Settings;
use overbar_core::study::advice::{Advice, advise};
use overbar_core::take::{Take, TakeId};
use overbar_core::theory::counts::{HarmonyCounts, TakeHarmony, harmony};
use overbar_core::theory::form::Form;
use overbar_core::time::{Beat, Second};
use overbar_library::Summary;

/// See the module.
#[derive(Debug, Clone, PartialEq)]
pub struct OneTake {
    /// What it is known by.
    pub id: TakeId,
    /// The form of its tune; `None` where that has none.
    pub form: Option<Form>,
    /// Its parts.
    pub parts: Parts,
    /// What was played, in short.
    pub summary: Summary,
    /// How tempo and metre change in it.
    pub changes: Changes,
    /// Its time feel.
    pub feel: Feel,
    /// From how many bars of rest on its solos are told apart; 0 where only marks do.
    pub dividing_rest_bars: u8,
    /// What to work on next.
    pub advice: Advice,
    /// Its notes against the chords; `None` where no chords are given.
    pub harmony: Option<TakeHarmony>,
    /// The first note of each phrase.
    first_notes: Vec<usize>,
}

impl OneTake {
    /// Of `take`, whose phrases these are.
    #[must_use]
    pub fn of(
        take: &Take,
        phrases: &[Phrase],
        tune: &Tune,
        marks: &[Second],
        settings: &Settings,
    ) -> Self {
        let performance = &take.performance;
        let parts = Parts::of(performance, phrases, tune.form(), marks, settings);
        Self {
            id: take.id,
            form: tune.form().cloned(),
            parts,
            summary: Summary::of(performance),
            changes: Changes::of(performance),
            feel: feel(performance, phrases, settings).take,
            dividing_rest_bars: settings.solos.dividing_rest_bars,
            advice: advise(performance, phrases, settings),
            harmony: against_chords(take, phrases, tune, settings),
            first_notes: phrases.iter().map(|phrase| phrase.first_note).collect(),
        }
    }

    /// The phrase that begins with this note, against the chords; `None` where no chords are given,
    /// or none begins there.
    #[must_use]
    pub fn phrase_on_chords(&self, first_note: usize) -> Option<&HarmonyCounts> {
        let phrase = self.first_notes.binary_search(&first_note).ok()?;
        self.harmony.as_ref()?.phrases.get(phrase)
    }
}

fn against_chords(
    take: &Take,
    phrases: &[Phrase],
    tune: &Tune,
    settings: &Settings,
) -> Option<TakeHarmony> {
    let take = &take.performance;
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let first = take.metres.bar_line(tune.form()?.first_bar());
    let chart = tune.chart(take.metres.metre_at(first).pulses())?;
    let last = take.heard.notes().last().map_or(Beat(0.0), |note| note.on.beat);
    let changes = chart.laid(lines, first, last);
    Some(harmony(take, phrases, settings, &changes))
}
