//! The notes of the selected take against the chords of its tune.

use crate::panel::frame::Frame;
use crate::panel::playing::chords as words;
use crate::panel::widgets::{Sentence, Sign};

const NO_CHORDS: &str = "This tune has no chords yet. Enter them under Tune.";

/// The view, filling its area.
pub fn chords(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = f.view.shown_take_detail() else { return };
    let Some(harmony) = &one.harmony else { return f.say(area, NO_CHORDS) };
    let told = words::of_take(&harmony.take).into_iter();
    let mut rows =
        vec![Sentence::new(Sign::Heading, "notes against the chords, with likely ranges")];
    rows.extend(told.map(|text| Sentence::new(Sign::Plain, text)));
    f.pen.sentences(area, ("notes against the chords", &rows), &mut f.state.takes.scroll);
}
