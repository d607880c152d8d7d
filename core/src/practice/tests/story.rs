//! An evening's practice in one take: free playing, a climbing line, phrase starts, free playing again.

use super::player::{Player, Timing, drill, report};
use crate::phrase::Phrase;
use crate::phrase::figures::figures;
use crate::practice::{GoalResult, NoteValue};
use crate::stats::Share;
use crate::take::settings::AlertSettings;

/// Choruses of twelve bars.
const CHORUS: f64 = 48.0;

#[test]
fn two_choruses_free_a_climbing_line_entries_and_free_again() {
    let timing = Timing { tempo: 132.0, lag: 25.0, jitter: 18.0, swing: 1.4 };
    let mut player = Player::new(timing, 19);
    // Choruses 1 and 2, free: every phrase starts on beat one.
    (0..12).for_each(|phrase| player.phrase(f64::from(phrase) * 8.0, 9));
    // Choruses 3 to 6: half notes, quarters, and two choruses of eighths, the first of which breaks
    // off in bar 9.
    let values = [NoteValue::Half, NoteValue::Quarter, NoteValue::Eighth, NoteValue::Eighth];
    for (index, value) in values.into_iter().enumerate() {
        let from = (index as f64 + 2.0) * CHORUS;
        let gap = if index == 2 { 66..69 } else { 0..0 };
        player.line(value, from, from + CHORUS, |place| gap.contains(&place));
    }
    // Choruses 7 and 8: starts on the "and" of 4, except one on 1 and one on the "and" of 3.
    for phrase in 0..12 {
        let place = match phrase {
            4 => 4.0,
            7 => 2.5,
            _ => 3.5,
        };
        player.phrase(6.0 * CHORUS + f64::from(phrase) * 8.0 + place, 7);
    }
    // Choruses 9 and 10, free: starts have moved.
    for phrase in 0..12 {
        let place = [3.5, 1.5, 0.0, 2.5][phrase % 4];
        player.phrase(8.0 * CHORUS + phrase as f64 * 8.0 + place, 7);
    }
    let (take, phrases) = player.take();

    let free = |from: f64, to: f64| {
        let inside = |phrase: &&Phrase| (from - 0.3..to - 0.3).contains(&phrase.entry.beat.0);
        let phrases: Vec<Phrase> = phrases.iter().filter(inside).copied().collect();
        figures(&phrases, &AlertSettings::default())
    };
    let before = free(0.0, 2.0 * CHORUS);
    assert_eq!(before.beat_one_entries, Share { count: 12, of: 12 });

    let mut line = drill("line half,quarter,eighth,eighth", 12, 4);
    line.form.first_bar = Some(25);
    let line = report(line, player.settings, &take, &phrases);
    let each: Vec<_> = line
        .choruses
        .iter()
        .map(|chorus| match &chorus.goals[0] {
            GoalResult::UnbrokenLine(line) => {
                (chorus.first_bar, line.value, line.places.count, line.places.of)
            }
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(
        each,
        [
            (25, NoteValue::Half, 24, 24),
            (37, NoteValue::Quarter, 48, 48),
            (49, NoteValue::Eighth, 93, 96),
            (61, NoteValue::Eighth, 96, 96),
        ]
    );
    assert!(line.over && line.passed);
    let GoalResult::UnbrokenLine(whole) = &line.whole[0] else { panic!("{line}") };
    let gaps: Vec<_> = whole.breaks.iter().map(|gap| (gap.chorus, gap.bar, gap.places)).collect();
    assert_eq!((gaps, whole.off), (vec![(3, 9, 3)], 0));
    // Two choruses and eight bars, up to the break on 2 of bar 9.
    assert!((whole.longest_bars - 32.25).abs() < 1e-6, "{}", whole.longest_bars);
    assert!((whole.unsteady_ms.unwrap() - 18.0).abs() < 2.5, "{whole:?}");
    let text = line.to_string();
    assert!(text.contains("1 break: bar 9 from beat 2.00 (3 missing)"), "{text}");
    assert!(text.ends_with(": passed (needs 90 %)\n"), "{text}");

    let mut entries = drill("entry 4&", 12, 2);
    entries.form.first_bar = Some(73);
    let entries = report(entries, player.settings, &take, &phrases);
    let GoalResult::StartPosition(whole) = &entries.whole[0] else { panic!("{entries}") };
    assert_eq!(whole.hits, Share { count: 10, of: 12 });
    assert_eq!(whole.others.iter().map(|other| other.count).sum::<u32>(), 2);
    assert!(entries.over && !entries.passed);

    let after = free(8.0 * CHORUS, 10.0 * CHORUS);
    assert_eq!((after.phrases, after.beat_one_entries.count), (12, 3));
}
