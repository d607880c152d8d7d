//! Splits a long take into solos, at long rests and at the user's markers.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::time::Second;
use core::ops::Range;

/// The solos of a take, as ranges of phrase indices. A new one starts after a rest as long as in
/// [`crate::take::settings::Solos`], and with the first phrase at or after each of `marks`, which are in order.
pub fn solos(analysis: &TakeAnalysis, marks: &[Second]) -> Vec<Range<usize>> {
    let (take, phrases) = (analysis.take(), analysis.phrases());
    let rest = f64::from(analysis.settings().solos.dividing_rest_bars);
    let notes = take.soloist.notes();
    let begins = |phrase: &Phrase| notes.get(phrase.first_note).map(|note| note.on);
    let marks_until = |phrase: &Phrase| {
        begins(phrase).map_or(0, |on| marks.partition_point(|mark| *mark <= on.second))
    };
    let rested = |phrase: &Phrase| {
        let bars = |on, rest| take.metres.bars_to(on) - take.metres.bars_to(on - rest);
        let before = begins(phrase).zip(phrase.rest_before);
        before.is_some_and(|(on, before)| bars(on.beat, before.beats) >= rest)
    };
    let mut solos: Vec<Range<usize>> = Vec::new();
    let mut marked = 0;
    for (index, phrase) in phrases.iter().enumerate() {
        let passed = marks_until(phrase);
        match solos.last_mut() {
            Some(solo) if passed == marked && !(rest > 0.0 && rested(phrase)) => {
                solo.end = index + 1;
            }
            _ => solos.push(index..index + 1),
        }
        marked = passed;
    }
    solos
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take::invented;
    use crate::take::performance::Performance;
    use crate::take::settings::{Settings, Solos};

    const EIGHTHS: [f64; 8] = [0.5; 8];

    /// Phrases of one bar that start on beat one of bars 1, 4, 13 (after exactly eight bars of rest), 21
    /// (after seven) and 40, with solos divided by `dividing_rest_bars`.
    fn rehearsal(dividing_rest_bars: u8) -> TakeAnalysis {
        let lines = [1, 4, 13, 21, 40].map(|bar| (bar, 1.0, &EIGHTHS[..]));
        let settings = Settings { solos: Solos { dividing_rest_bars }, ..Settings::default() };
        let take = TakeAnalysis::of(invented::take(120.0, &lines), settings);
        assert_eq!(take.phrases().len(), 5);
        take
    }

    #[test]
    fn eight_bars_of_rest_split_two_solos_and_seven_do_not() {
        let usual = Solos::default().dividing_rest_bars;
        assert_eq!(solos(&rehearsal(usual), &[]), [0..2, 2..4, 4..5]);
        let whole = solos(&rehearsal(0), &[]);
        assert!(matches!(&whole[..], [all] if *all == (0..5)), "{whole:?}");
        assert_eq!(solos(&rehearsal(7), &[]), [0..2, 2..3, 3..4, 4..5]);
        let empty = TakeAnalysis::of(Performance::default(), Settings::default());
        assert!(solos(&empty, &[]).is_empty());
    }

    #[test]
    fn a_marker_starts_a_solo_with_the_next_phrase() {
        let take = rehearsal(0);
        let at = |phrase: usize| {
            take.take().soloist.notes()[take.phrases()[phrase].first_note].on.second
        };
        // Two markers in one rest count once; one before the first phrase does not count; one at an onset
        // counts as before it.
        let marks = [Second(-1.0), Second(at(1).0 - 0.5), Second(at(1).0 - 0.2), at(3)];
        assert_eq!(solos(&take, &marks), [0..1, 1..3, 3..5]);
    }
}
