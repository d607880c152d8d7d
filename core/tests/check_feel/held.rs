//! Notes held over the bar line.

use super::Take;
use overbar_core::stats::Share;

/// One note from `from` to `to` in 4/4 at 120, where a fifth of a beat is 100 ms.
fn one(from: f64, to: f64) -> (Share, Share) {
    let feel = Take::new(120.0, (4, 4)).note(from, to).feel();
    (feel.entries_held_over, feel.exits_held_over)
}

#[test]
fn held_over_or_let_go_on_the_bar_line() {
    for (from, to, held) in [
        (3.5, 5.0, true),
        (3.5, 4.25, true),
        // Let go on the bar line, by a player who is late.
        (3.5, 4.15, false),
        (3.5, 4.0, false),
        (0.0, 3.9, false),
        // A whole note, let go in time.
        (4.0, 8.0, false),
        (4.0, 8.5, true),
        // It anticipates bar 2 and is held to its end.
        (3.97, 8.0, false),
        (3.97, 8.5, true),
    ] {
        let expected = Share { count: u32::from(held), of: 1 };
        assert_eq!(one(from, to), (expected, expected), "{from} to {to}");
    }
}

#[test]
fn entries_and_exits_are_told_apart() {
    let take = Take::new(120.0, (4, 4))
        .legato(&[3.5, 5.0, 5.5], 6.0)
        .legato(&[9.0, 10.0, 11.5], 13.0)
        .legato(&[16.0, 17.0], 18.0);
    let feel = take.whole();
    assert_eq!(feel.take.entries_held_over, Share { count: 1, of: 3 });
    assert_eq!(feel.take.exits_held_over, Share { count: 1, of: 3 });
    let exits: Vec<u32> = feel.phrases.iter().map(|f| f.exits_held_over.count).collect();
    assert_eq!(exits, [0, 1, 0]);
}

/// The player's beat one counts, not the host's.
#[test]
fn the_bar_line_is_the_players() {
    let mut take = Take::new(120.0, (4, 4)).note(3.5, 5.0);
    take.settings.beat_one_offset = 2;
    assert_eq!(take.feel().exits_held_over, Share { count: 0, of: 1 });
    take.settings.beat_one_offset = 0;
    assert_eq!(take.feel().exits_held_over, Share { count: 1, of: 1 });
}

/// A change of metre in mid-bar puts a bar line there.
#[test]
fn a_bar_that_is_cut_short_ends_early() {
    let mut take = Take::new(120.0, (4, 4)).note(1.5, 3.0);
    assert_eq!(take.feel().exits_held_over.count, 0);
    take.changes.push((2.0, (3, 4)));
    assert_eq!(take.feel().exits_held_over.count, 1);
}

/// Without a known end there is no value.
#[test]
fn a_note_without_an_end_does_not_count() {
    let mut take = Take::new(120.0, (4, 4));
    take.notes.push((3.5, None));
    let feel = take.feel();
    assert_eq!((feel.entries_held_over.of, feel.exits_held_over.of), (0, 0));
}
