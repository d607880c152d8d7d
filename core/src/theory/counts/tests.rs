use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::input::event::{Event, NoteOff, NoteOn};
use crate::session::Session;
use crate::take::settings::{Pulse, Settings};
use crate::theory::chart::Chart;
use crate::time::Second;
use crate::time::transport::TransportPoint;

/// Notes as (beat, length in beats, key) at 120 BPM in this metre, over a chart from bar 1.
fn heard(metre: (i32, i32), chart: &str, notes: &[(f64, f64, u8)]) -> TakeHarmony {
    felt(Pulse::Host, metre, chart, notes)
}

fn felt(pulse: Pulse, metre: (i32, i32), chart: &str, notes: &[(f64, f64, u8)]) -> TakeHarmony {
    let mut session = Session::new(Settings::default());
    session.push(Event::Transport(TransportPoint {
        beat: Some(0.0),
        tempo: Some(120.0),
        metre: Some(metre),
        rolling: true,
        ..TransportPoint::default()
    }));
    let (channel, beat) = (Some(0), None);
    for (start, length, key) in notes {
        let (key, at) = (Some(*key), Second(start / 2.0));
        session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.7 }));
        let at = Second((start + length) / 2.0);
        session.push(Event::Off(NoteOff { at, beat, key, channel }));
    }
    session.finish();
    let settings = Settings { pulse, ..Settings::default() };
    let analysis = TakeAnalysis::of(session.takes()[0].performance.clone(), settings);
    let take = analysis.take();
    let lines = BarLines { metres: &take.metres, beat_one_offset: 0, pulse: Pulse::Host };
    let pulses = take.metres.metre_at(Beat(0.0)).pulses();
    let changes = Chart::parse(chart, pulses).unwrap().laid(lines, Beat(0.0), Beat(64.0));
    analysis.harmony(&changes)
}

fn share(count: u32, of: u32) -> Share {
    Share { count, of }
}

#[test]
fn notes_on_the_beat_and_on_strong_beats() {
    // Eighths over C7: C D E F | G A Bb B, tones are C E G Bb, guide tones E and Bb.
    let keys = [60, 62, 64, 65, 67, 69, 70, 71];
    let line: Vec<_> = (0..8).zip(keys).map(|(i, key)| (f64::from(i) * 0.5, 0.5, key)).collect();
    let take = heard((4, 4), "| C7 |", &line).take;
    assert_eq!(take.notes, ToneCounts { chord_tones: share(4, 8), guide_tones: share(2, 8) });
    // On the beats C, E, G, Bb; strong are 1 and 3: C and G.
    assert_eq!(take.on_beats, ToneCounts { chord_tones: share(4, 4), guide_tones: share(2, 4) });
    let strong = ToneCounts { chord_tones: share(2, 2), guide_tones: share(0, 2) };
    assert_eq!(take.on_strong_beats, strong);
    // In double time every eighth is a felt beat; 1 and 3 stay the strong ones.
    let take = felt(Pulse::Double, (4, 4), "| C7 |", &line).take;
    assert_eq!((take.on_beats.chord_tones, take.on_strong_beats), (share(4, 8), strong));
    let take = heard((3, 4), "| C7 |", &line[..6]).take;
    assert_eq!(take.on_strong_beats.chord_tones, share(1, 1), "only beat one of 3/4");
}

#[test]
fn arrivals_are_struck_on_the_change_or_held_over_it() {
    let line = [(2.0, 1.0, 62), (3.0, 0.5, 65), (3.5, 1.5, 71)];
    let held = heard((4, 4), "| Dm7 | G7 |", &line).take;
    assert_eq!(held.changes, 1);
    assert_eq!(held.arrivals, ToneCounts { chord_tones: share(1, 1), guide_tones: share(1, 1) });
    // The same note ends on the bar line: no change is met.
    let ends = [(2.0, 1.0, 62), (3.0, 0.5, 65), (3.5, 0.5, 71)];
    let ended = heard((4, 4), "| Dm7 | G7 |", &ends).take;
    assert_eq!((ended.changes, ended.arrivals.chord_tones), (0, share(0, 0)));
    // Played 20 ms ahead of the bar line, a note is on it.
    let struck = [(2.0, 1.0, 62), (3.0, 0.9, 65), (3.96, 1.0, 66)];
    let struck = heard((4, 4), "| Dm7 | G7 |", &struck).take;
    assert_eq!((struck.changes, struck.arrivals.chord_tones), (1, share(0, 1)));
    // Struck after it: no note meets the change.
    let close = [(2.0, 1.0, 62), (3.0, 0.9, 65), (4.25, 1.0, 71)];
    let close = heard((4, 4), "| Dm7 | G7 |", &close).take;
    assert_eq!((close.changes, close.arrivals.chord_tones), (1, share(0, 0)));
}

#[test]
fn a_start_before_the_change_counts_for_the_next_chord() {
    // B on the "and" of 4 is the third of G7 and no tone of Dm7.
    let before = [(3.5, 0.5, 71), (4.0, 1.0, 74)];
    let take = heard((4, 4), "| Dm7 | G7 |", &before).take;
    assert_eq!(take.entries_before_change, share(1, 1));
    assert_eq!(take.notes.chord_tones, share(2, 2));
    // A is a tone of Dm7 only: compared with the current chord.
    let take = heard((4, 4), "| Dm7 | G7 |", &[(3.5, 0.5, 69), (4.0, 1.0, 74)]).take;
    assert_eq!(take.entries_before_change, share(0, 1));
    assert_eq!(take.notes.chord_tones, share(2, 2));
    // Inside a phrase the same B counts for the current chord.
    let inside = [(3.0, 0.5, 69), (3.5, 0.5, 71), (4.0, 1.0, 74)];
    let take = heard((4, 4), "| Dm7 | G7 |", &inside).take;
    assert_eq!(take.entries_before_change, share(0, 0));
    assert_eq!(take.notes.chord_tones, share(2, 3));
}

#[test]
fn notes_without_a_chord_are_counted_separately() {
    let line = [(0.0, 1.0, 60), (1.0, 1.0, 61), (2.0, 1.0, 64), (3.0, 1.0, 60)];
    let take = heard((4, 4), "| NC C5 |", &line).take;
    assert_eq!(take.notes_without_chord, 2);
    assert_eq!(take.notes.chord_tones, share(1, 2));
    assert_eq!(take.notes.guide_tones, share(0, 0), "a power chord has no guide tones");
}
