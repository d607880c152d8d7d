//! Each rule on an invented performance that fires it and on a similar one that does not.

use super::findings::MAX_POINTS;
use super::measure::Measure;
use super::measures::Measures;
use super::rules::RuleId;
use super::spans::BarSpan;
use super::suggestion::Suggestion;
use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::input::event::{Event, NoteOff, NoteOn};
use crate::practice::NoteValue;
use crate::quantization::PositionClass;
use crate::session::Session;
use crate::take::settings::Settings;
use crate::time::Second;
use crate::time::transport::TransportPoint;

/// How eighths are played: seconds late, and the position in its beat of the n-th off-beat.
#[derive(Clone, Copy)]
struct Manner {
    late: f64,
    off_beat: fn(u32) -> f64,
}

const PLAIN: Manner = Manner { late: 0.0, off_beat: |_| 0.5 };

/// The analysis of phrases in 4/4, each as (first beat, eighths).
pub(super) fn heard(tempo: f64, phrases: &[(f64, u32)]) -> TakeAnalysis {
    played((4, 4), tempo, phrases, PLAIN)
}

fn played(metre: (i32, i32), tempo: f64, phrases: &[(f64, u32)], manner: Manner) -> TakeAnalysis {
    let mut session = Session::new(Settings::default());
    session.push(Event::Transport(TransportPoint {
        beat: Some(-1.0),
        tempo: Some(tempo),
        metre: Some(metre),
        rolling: true,
        ..TransportPoint::default()
    }));
    let (key, channel, beat) = (Some(60), Some(0), None);
    let mut off_beats = 0;
    for (start, eighths) in phrases {
        for eighth in 0..*eighths {
            let mut at = start + f64::from(eighth) * 0.5;
            if at.fract() != 0.0 {
                at = at.floor() + (manner.off_beat)(off_beats);
                off_beats += 1;
            }
            let at = Second((at + 1.0) * 60.0 / tempo + manner.late);
            session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.7 }));
            let at = Second(at.0 + 0.3 * 60.0 / tempo);
            session.push(Event::Off(NoteOff { at, beat, key, channel }));
        }
    }
    session.finish();
    let take = session.takes()[0].performance.clone();
    TakeAnalysis::of(take, Settings::default())
}

fn advice_of(phrases: &[(f64, u32)], manner: Manner) -> Advice {
    let take = played((4, 4), 120.0, phrases, manner);
    advise(&take)
}

/// 24 phrases, one every `bars` bars, with these first beats and numbers of eighths in turn.
fn turns(bars: u32, turns: &[(f64, u32)]) -> Vec<(f64, u32)> {
    (0..24)
        .zip(turns.iter().cycle())
        .map(|(turn, (offset, eighths))| (f64::from(turn * bars * 4) + offset, *eighths))
        .collect()
}

/// Starts all over the bar, long and short phrases, rests, and mostly endings off the beat.
const WELL_PHRASED: [(f64, u32); 6] =
    [(0.5, 17), (1.0, 8), (2.5, 20), (3.5, 13), (1.5, 18), (3.0, 6)];

/// The point of a rule that fires here, but not on the similar performance.
fn check(
    rule: RuleId,
    (earns, manner): (&[(f64, u32)], Manner),
    (neighbour, other): (&[(f64, u32)], Manner),
) -> Point {
    let advice = advice_of(earns, manner);
    let rules = |advice: &Advice| advice.points.iter().map(|p| p.rule).collect::<Vec<_>>();
    let point = advice.points.iter().find(|point| point.rule == rule);
    let point = point.unwrap_or_else(|| panic!("{rule:?} is not among {:?}", rules(&advice)));
    assert!(!point.bars.is_empty() && point.bars.len() <= 3 && point.bars.is_sorted());
    assert!(!advice.nothing_to_fix);
    assert!(advice.points.len() <= MAX_POINTS);
    let beside = advice_of(neighbour, other);
    assert!(!rules(&beside).contains(&rule), "{rule:?} on the similar performance: {beside}");
    assert!(
        !beside.too_few.iter().any(|few| few.rule == rule),
        "the similar performance has enough"
    );
    point.clone()
}

#[test]
fn starts_on_beat_one() {
    let ones = turns(3, &WELL_PHRASED.map(|(_, eighths)| (0.0, eighths)));
    let mut once = WELL_PHRASED;
    once[0].0 = 0.0;
    let point = check(RuleId::BeatOne, (&ones, PLAIN), (&turns(3, &once), PLAIN));
    assert_eq!((point.evidence.count, point.evidence.of), (Some(24), 24));
    assert_eq!(point.suggestion, Suggestion::StartPosition { pulse: 1, class: PositionClass::And });
    assert_eq!(point.bars, [BarSpan { from: 1, to: 70 }], "a single run");
}

#[test]
fn starts_at_one_position() {
    let same = turns(3, &WELL_PHRASED.map(|(_, eighths)| (3.5, eighths)));
    let mut twice = WELL_PHRASED;
    twice[0].0 = 3.5;
    let point = check(RuleId::OnePlace, (&same, PLAIN), (&turns(3, &twice), PLAIN));
    assert_eq!(point.suggestion, Suggestion::StartPosition { pulse: 2, class: PositionClass::And });
}

#[test]
fn lines_that_stop_at_every_bar_line() {
    let stops = turns(2, &[(0.5, 7), (1.0, 6), (0.0, 8), (1.5, 5)]);
    let carries = turns(2, &[(0.5, 9), (1.0, 8), (0.0, 10), (1.5, 7)]);
    let point = check(RuleId::StopsAtBarLine, (&stops, PLAIN), (&carries, PLAIN));
    assert_eq!(point.evidence.count, Some(0));
    assert_eq!(point.suggestion, Suggestion::LongLine { bars: 2 });
}

#[test]
fn short_phrases_throughout() {
    let short = turns(2, &WELL_PHRASED.map(|(offset, _)| (offset.min(2.5), 3)));
    let mut later: Vec<_> = short[..12].to_vec();
    later.extend(turns(3, &WELL_PHRASED)[..12].iter().map(|(at, n)| (at + 96.0, *n)));
    let point = check(RuleId::ShortPhrases, (&short, PLAIN), (&later, PLAIN));
    assert_eq!((point.evidence.count, point.evidence.of), (Some(24), 24));
    let line = Suggestion::UnbrokenLine { subdivision: NoteValue::Quarter };
    assert_eq!(point.suggestion, line);
}

#[test]
fn no_long_line() {
    let offsets = WELL_PHRASED.map(|(offset, _)| offset);
    let middling = turns(3, &offsets.map(|offset| (offset, 10)));
    let mut third = offsets.map(|offset| (offset, 10));
    (third[0].1, third[3].1) = (17, 17);
    let point = check(RuleId::NoLongLine, (&middling, PLAIN), (&turns(3, &third), PLAIN));
    assert_eq!(point.suggestion, Suggestion::LongLine { bars: 4 });
}

#[test]
fn no_room() {
    // One endless line is one phrase: only its windows have enough counts.
    let point = check(RuleId::NoRoom, (&[(0.0, 320)], PLAIN), (&turns(4, &[(0.0, 27)]), PLAIN));
    assert_eq!((point.evidence.count, point.evidence.of), (Some(0), 10));
    assert_eq!(point.suggestion, Suggestion::BreathingRoom { beats: 2 });
    assert_eq!(point.bars, [BarSpan { from: 1, to: 40 }]);
}

#[test]
fn endings_always_on_the_beat() {
    let ends = turns(3, &[(0.5, 16), (1.0, 9), (2.5, 20), (3.5, 14), (1.5, 18), (3.0, 7)]);
    let point = check(RuleId::EndsOnBeat, (&ends, PLAIN), (&turns(3, &WELL_PHRASED), PLAIN));
    assert_eq!(point.suggestion, Suggestion::EndingPosition);
}

#[test]
fn dragging_and_rushing() {
    let line = turns(3, &WELL_PHRASED);
    let late = |late| Manner { late, ..PLAIN };
    let point = check(RuleId::Drags, (&line, late(0.060)), (&line, late(0.030)));
    assert!((point.evidence.behind_the_beat_ms.unwrap() - 60.0).abs() < 1.0);
    // Exactly on the beat is ahead of most recorded soloists, but is not rushing.
    check(RuleId::Rushes, (&line, late(-0.030)), (&line, late(0.0)));
    let steady = Suggestion::UnbrokenLine { subdivision: NoteValue::Quarter };
    assert_eq!(point.suggestion, steady);
}

#[test]
fn uneven_eighths() {
    let line = turns(3, &WELL_PHRASED);
    let uneven = Manner { off_beat: |n| if n % 2 == 0 { 0.44 } else { 0.62 }, ..PLAIN };
    let swung = Manner { off_beat: |_| 0.62, ..PLAIN };
    let point = check(RuleId::UnevenEighths, (&line, uneven), (&line, swung));
    let eighths = Suggestion::UnbrokenLine { subdivision: NoteValue::Eighth };
    assert_eq!(point.suggestion, eighths);
}

#[test]
fn nothing_to_fix() {
    let advice = advice_of(&turns(3, &WELL_PHRASED), PLAIN);
    assert!(advice.nothing_to_fix, "{advice}");
    assert_eq!(advice.points, []);
    assert_eq!(advice.went_well.len(), 3);
    assert!(advice.to_string().contains("Nothing stands out"));
    let beside = advice_of(&turns(3, &WELL_PHRASED.map(|(_, n)| (0.0, n))), PLAIN);
    assert!(!beside.nothing_to_fix);
}

#[test]
fn too_few_phrases_and_other_metres_are_reported() {
    let few = advice_of(&turns(3, &[(0.0, 3)])[..7], PLAIN);
    assert_eq!(few.points, []);
    assert!(!few.nothing_to_fix);
    let first = TooFew { rule: RuleId::BeatOne, count: 7, least: 8 };
    assert_eq!(few.too_few.first(), Some(&first));
    assert!(few.to_string().contains("Not enough phrases for advice yet."));
    let take = played((3, 4), 120.0, &turns(3, &[(0.0, 3)]), PLAIN);
    let other = advise(&take);
    assert_eq!(other, Advice { other_metre: true, ..Advice::default() });
    let take = heard(120.0, &[(0.0, 1)]);
    assert!(!advise(&take).nothing_to_fix);
    assert_eq!(advise_on(&Measures::default()).too_few.len(), rules::RULES.len());
}

/// Short phrases on beat one that stop at the bar line and end on the beat fire many rules: the first three
/// families show one point each.
#[test]
fn at_most_three_points_and_one_of_a_family() {
    let advice = advice_of(&turns(1, &[(0.0, 5)]), Manner { late: 0.060, ..PLAIN });
    let rules: Vec<_> = advice.points.iter().map(|p| p.rule).collect();
    assert_eq!(rules, [RuleId::BeatOne, RuleId::StopsAtBarLine, RuleId::EndsOnBeat]);
}

/// Counts of several takes add up to those of all their phrases.
#[test]
fn takes_add_up() {
    let of = |phrases: &[(f64, u32)]| {
        let take = heard(120.0, phrases);
        Measures::of(&take)
    };
    let (a, b) = (of(&turns(3, &WELL_PHRASED)), of(&turns(2, &[(3.5, 7), (0.0, 4)])));
    let mut both = a.clone();
    both.absorb(&b);
    for measure in Measure::ALL.into_iter().filter(|m| *m != Measure::OnePlaceEntries) {
        assert_eq!(both.count_of(measure), a.count_of(measure) + b.count_of(measure));
        if let (Some(all), Some(a), Some(b)) =
            (both.share(measure), a.share(measure), b.share(measure))
        {
            assert_eq!(all.count, a.count + b.count, "{measure:?}");
        }
    }
    assert_eq!(both.entries.iter().map(|e| e.count).sum::<u32>(), 48);
    assert_eq!(
        both.most_frequent_entry().map(|e| (e.pulse, e.class)),
        Some((4, PositionClass::And))
    );
}
