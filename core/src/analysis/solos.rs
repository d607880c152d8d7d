//! A long take in its solos: a rehearsal that was recorded in one pass divides itself where the
//! soloist rests for long, and where the user set marks.

use crate::phrase::Phrase;
use crate::settings::Solos;
use crate::take::performance::Performance;
use crate::time::Second;
use core::ops::Range;

/// The solos among the `phrases` of `take`, as ranges of their indices, in order. One begins after
/// a rest as long as `dividing` asks for, and with the first phrase at or after each of `marks`,
/// which are in order.
#[must_use]
pub fn solos(
    take: &Performance,
    phrases: &[Phrase],
    dividing: Solos,
    marks: &[Second],
) -> Vec<Range<usize>> {
    let rest = f64::from(dividing.dividing_rest_bars);
    let notes = take.heard.notes();
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

    fn rests(dividing_rest_bars: u8) -> Solos {
        Solos { dividing_rest_bars }
    }
    use crate::analysis::analyser::Analyser;
    use crate::settings::Settings;
    use crate::take::invented;

    const EIGHTHS: [f64; 8] = [0.5; 8];

    /// Phrases of one bar that enter on beat one of bars 1, 4, 13 (after exactly eight bars of
    /// rest), 21 (after seven) and 40.
    fn rehearsal() -> (Performance, Vec<Phrase>) {
        let lines = [1, 4, 13, 21, 40].map(|bar| (bar, 1.0, &EIGHTHS[..]));
        let take = invented::take(120.0, &lines);
        let phrases = Analyser::phrases_of(&take, Settings::default());
        assert_eq!(phrases.len(), 5);
        (take, phrases)
    }

    #[test]
    fn eight_bars_of_rest_part_two_solos_and_seven_do_not() {
        let (take, phrases) = rehearsal();
        assert_eq!(solos(&take, &phrases, Solos::default(), &[]), [0..2, 2..4, 4..5]);
        let whole = solos(&take, &phrases, rests(0), &[]);
        assert!(matches!(&whole[..], [all] if *all == (0..5)), "{whole:?}");
        assert_eq!(solos(&take, &phrases, rests(7), &[]), [0..2, 2..3, 3..4, 4..5]);
        assert!(solos(&take, &[], Solos::default(), &[]).is_empty());
    }

    #[test]
    fn a_mark_begins_a_solo_with_the_next_phrase() {
        let (take, phrases) = rehearsal();
        let at = |phrase: usize| take.heard.notes()[phrases[phrase].first_note].on.second;
        // Two marks in one rest are one; one before the first phrase is none; one at an onset
        // is before it.
        let marks = [Second(-1.0), Second(at(1).0 - 0.5), Second(at(1).0 - 0.2), at(3)];
        assert_eq!(solos(&take, &phrases, rests(0), &marks), [0..1, 1..3, 3..5]);
    }
}
