//! Schedules of invented takes, and their playback.

use super::{HearEvent, HearOptions, Player, Schedule, SoundingNotes, Stretch};
use crate::input::note::{Note, Oddities};
use crate::input::pairing::NoteLine;
use crate::take::invented::take;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::{Knot, TempoMap};
use crate::time::{Beat, Moment, Second, SecondSpan, Tempo};
use proptest::prelude::*;

const RATE: f64 = 48_000.0;
const ONCE: HearOptions = HearOptions { speed: 1.0, looped: false, clicks: false };

/// Eighths from beat 4 of bar 2 to beat 3 of bar 4, at 120 BPM: from 3.5 s, a note every 0.25 s.
fn phrase() -> Performance {
    take(120.0, &[(2, 4.0, &[0.5; 12])])
}

fn schedule(take: &Performance, stretch: Stretch) -> Schedule {
    Schedule::of(take, stretch, &Settings::default()).unwrap()
}

fn ons(schedule: &Schedule) -> Vec<f64> {
    let on = |(at, event)| matches!(event, HearEvent::On { .. }).then_some(at);
    schedule.events().filter_map(on).collect()
}

fn beats(schedule: &Schedule) -> Vec<(f64, bool)> {
    let click = |(at, event)| match event {
        HearEvent::Click { beat_one } => Some((at, beat_one)),
        _ => None,
    };
    schedule.events().filter_map(click).collect()
}

/// All events with their samples, up to `samples` or the end; `sizes` are the block sizes.
fn played(
    schedule: &Schedule,
    mut options: impl FnMut(u64) -> HearOptions,
    samples: u64,
    mut sizes: impl FnMut() -> usize,
) -> Vec<(u64, HearEvent)> {
    let mut player = Player::new(schedule.clone());
    let (mut now, mut all) = (0, Vec::new());
    while now < samples && !player.is_over() {
        let frames = sizes().clamp(1, (samples - now) as usize);
        player.begin_block(options(now), RATE, frames);
        while let Some((offset, event)) = player.next_event(u32::MAX) {
            assert!((offset as usize) < frames);
            all.push((now + u64::from(offset), event));
        }
        now += frames as u64;
    }
    all
}

fn at_once(schedule: &Schedule, options: HearOptions) -> Vec<(u64, HearEvent)> {
    played(schedule, |_| options, 48_000 * 20, || 512)
}

/// Notes that sound after these events.
fn hanging(events: &[(u64, HearEvent)]) -> SoundingNotes {
    let mut sounding = SoundingNotes::default();
    for (_, event) in events {
        match *event {
            HearEvent::On { key, channel, .. } => sounding.insert(key, channel),
            HearEvent::Off { key, channel } => sounding.remove(key, channel),
            HearEvent::Click { .. } => {}
        }
    }
    sounding
}

#[test]
fn a_phrase_is_framed_by_bar_lines() {
    let take = phrase();
    let heard = schedule(&take, Stretch::Notes { first: 0, last: 11 });
    // Bar 2 begins at 2 s, bar 5 at 8 s.
    let due: Vec<f64> = (0..12).map(|n| 1.5 + 0.25 * f64::from(n)).collect();
    assert_eq!((ons(&heard), heard.length()), (due, 6.0));
    let clicks = beats(&heard);
    assert_eq!(
        (clicks.len(), clicks[0], clicks[4], clicks[5]),
        (12, (0.0, true), (2.0, true), (2.5, false))
    );
    assert_eq!(heard.beat_at(0.0), Some(Beat(4.0)));
}

#[test]
fn a_phrase_held_a_little_over_the_bar_line_does_not_lengthen_the_loop() {
    let mut take = take(120.0, &[(1, 1.0, &[1.0, 1.0, 1.0, 1.05])]);
    let whole = |take: &Performance| schedule(take, Stretch::Take);
    assert_eq!(whole(&take).length(), 2.0);
    let last = whole(&take).events().last();
    assert!(matches!(last, Some((2.0, HearEvent::Off { .. }))), "{last:?}");
    // A downbeat 20 ms early belongs to the bar it opens.
    let mut notes = take.soloist.notes().to_vec();
    let early = Moment { beat: Beat(7.96), second: Second(3.98) };
    notes.push(Note {
        on: early,
        off: Some(Moment { beat: Beat(8.3), second: Second(4.15) }),
        ..notes[3]
    });
    take.soloist = NoteLine::of(notes, Oddities::default());
    assert_eq!(whole(&take).length(), 6.0);
    assert_eq!(schedule(&take, Stretch::Bars { first: 3, last: 3 }).length(), 2.0);
    assert_eq!(ons(&schedule(&take, Stretch::Bars { first: 3, last: 3 })).len(), 1);
    assert!(
        Schedule::of(&take, Stretch::Bars { first: 2, last: 2 }, &Settings::default()).is_none()
    );
}

#[test]
fn bars_leave_out_earlier_notes_and_cut_held_ones_at_their_end() {
    // Half notes from the second half of beat 1 on.
    let take = take(120.0, &[(1, 1.5, &[2.0; 8])]);
    let heard = schedule(&take, Stretch::Bars { first: 2, last: 3 });
    // Bar 2 begins at 2 s; an eighth of a beat, 62.5 ms, is allowed for early notes.
    let from_line: Vec<f64> = ons(&heard).iter().map(|at| at - 0.0625).collect();
    assert_eq!((from_line, heard.length()), (vec![0.25, 1.25, 2.25, 3.25], 4.0));
    let last = heard.events().filter(|(_, event)| matches!(event, HearEvent::Off { .. })).last();
    assert_eq!(last.unwrap().0, 4.0);
    assert_eq!(beats(&heard)[0], (0.0625, true));
}

#[test]
fn without_a_beat_grid_a_take_plays_from_its_first_note_to_its_last() {
    let mut take = phrase();
    take.tempo = TempoMap::default();
    let heard = schedule(&take, Stretch::Take);
    assert_eq!((ons(&heard)[0], heard.length(), heard.beat_at(0.0)), (0.0, 3.0, None));
    assert!(beats(&heard).is_empty());
    let bars = Stretch::Bars { first: 1, last: 8 };
    assert!(Schedule::of(&take, bars, &Settings::default()).is_none());
    let nothing = Stretch::Notes { first: 12, last: 14 };
    assert!(Schedule::of(&take, nothing, &Settings::default()).is_none());
}

#[test]
fn latency_is_subtracted_as_in_the_analysis() {
    let settings = Settings { latency: SecondSpan(0.03), ..Settings::default() };
    let whole = Schedule::of(&phrase(), Stretch::Take, &settings).unwrap();
    assert!((ons(&whole)[0] - 1.47).abs() < 1e-9);
    assert_eq!((beats(&whole)[0], whole.length()), ((0.0, true), 6.0));
}

#[test]
fn clicks_follow_tempo_and_metre() {
    let mut take = take(120.0, &[(1, 1.0, &[0.5; 12])]);
    take.metres = MetreMap::new(Metre::new(6, 8).unwrap());
    take.tempo.push(Knot {
        second: Second(1.5),
        beat: Beat(3.0),
        tempo: Tempo::new(60.0).unwrap(),
    });
    let heard = schedule(&take, Stretch::Bars { first: 1, last: 2 });
    let early = 0.1875 * 0.5;
    let at: Vec<_> = beats(&heard).iter().map(|(at, one)| (at - early, *one)).collect();
    let due = [(0.0, true), (0.75, false), (1.5, true), (3.0, false)];
    assert_eq!(at.len(), due.len());
    for ((at, one), (due, is_one)) in at.into_iter().zip(due) {
        assert!((at - due).abs() < 1e-9 && one == is_one, "{at}");
    }
}

#[test]
fn an_excerpt_sounds_like_the_take() {
    let take = take(120.0, &[(1, 1.0, &[0.5; 30]), (9, 1.5, &[0.5; 30])]);
    let settings = Settings::default();
    for stretch in [
        Stretch::Bars { first: 2, last: 3 },
        Stretch::Bars { first: 9, last: 20 },
        Stretch::Notes { first: 30, last: 45 },
        Stretch::Take,
    ] {
        let (part, within) = stretch.excerpt(&take, &settings, 4_096);
        let events = |schedule: Schedule| schedule.events().collect::<Vec<_>>();
        assert_eq!(
            events(schedule(&part, within)),
            events(schedule(&take, stretch)),
            "{stretch:?}"
        );
    }
    let (part, _) = Stretch::Take.excerpt(&take, &settings, 10);
    assert_eq!(part.soloist.notes().len(), 10);
}

#[test]
fn playback_starts_with_the_first_note_unless_a_bar_is_needed() {
    let heard = schedule(&phrase(), Stretch::Take);
    let first = |options| at_once(&heard, options)[0];
    let is_on = |event| matches!(event, HearEvent::On { .. });
    assert_eq!((first(ONCE).0, is_on(first(ONCE).1)), (0, true));
    let clicked = first(HearOptions { clicks: true, ..ONCE });
    assert_eq!(clicked, (0, HearEvent::Click { beat_one: true }));
    let looped = first(HearOptions { looped: true, ..ONCE });
    assert_eq!((looped.0, is_on(looped.1)), (72_000, true));
}

#[test]
fn onsets_scale_exactly_with_the_speed() {
    let heard = schedule(&phrase(), Stretch::Take);
    for percent in (50..=100).step_by(5) {
        let speed = f64::from(percent) / 100.0;
        let events = at_once(&heard, HearOptions { speed, ..ONCE });
        let on =
            |(at, event): &(u64, HearEvent)| matches!(event, HearEvent::On { .. }).then_some(*at);
        let at: Vec<u64> = events.iter().filter_map(on).collect();
        let due = |n: u32| (f64::from(n) * 0.25 * RATE / speed + 0.5).floor() as u64;
        assert_eq!(at, (0..12).map(due).collect::<Vec<_>>(), "{percent} %");
    }
}

#[test]
fn a_loop_joins_on_the_bar_line() {
    let heard = schedule(&phrase(), Stretch::Take);
    let options = HearOptions { speed: 0.7, looped: true, clicks: true };
    let events = played(&heard, |_| options, 48_000 * 40, || 333);
    let ones = events.iter().filter(|(_, e)| *e == HearEvent::Click { beat_one: true });
    let ones: Vec<u64> = ones.map(|(at, _)| *at).collect();
    // A bar of 2 s at 70 %.
    let due = |n: usize| (n as f64 * 2.0 * RATE / 0.7 + 0.5).floor() as u64;
    assert_eq!(ones, (0..14).map(due).collect::<Vec<_>>());
}

#[test]
fn speed_and_loop_change_during_playback() {
    let heard = schedule(&phrase(), Stretch::Take);
    let later = |now| if now < 24_000 { ONCE } else { HearOptions { speed: 0.5, ..ONCE } };
    let events = played(&heard, later, 48_000 * 20, || 240);
    let on = |(at, event): &(u64, HearEvent)| matches!(event, HearEvent::On { .. }).then_some(*at);
    let at: Vec<u64> = events.iter().filter_map(on).collect();
    assert_eq!(at[..5], [0, 12_000, 24_000, 48_000, 72_000]);
    let until = |now| HearOptions { looped: now < 48_000 * 7, ..ONCE };
    let events = played(&heard, until, 48_000 * 30, || 240);
    assert_eq!(events.len(), 2 * 24, "the second time round is the last");
    assert!(hanging(&events).is_empty());
}

#[test]
fn a_stop_releases_all_sounding_notes() {
    let mut player = Player::new(schedule(&phrase(), Stretch::Take));
    player.begin_block(ONCE, RATE, 20_000);
    while player.next_event(u32::MAX).is_some() {}
    let mut left = player.stop();
    assert_eq!((left.pop(), left.pop()), (Some((61, 0)), None));
    player.begin_block(ONCE, RATE, 20_000);
    assert_eq!((player.next_event(u32::MAX), player.is_over()), (None, true));
    assert!(player.stop().is_empty());
}

/// Overlapping notes of a few keys in any order, some without an end, over ten seconds.
fn tangle() -> impl Strategy<Value = Performance> {
    let note = (0.0..10.0, prop::option::weighted(0.9, 0.0..2.0), 60..64_u8, 0..2_u8);
    prop::collection::vec(note, 1..60).prop_map(|notes| {
        let mut made = phrase();
        let moment = |second: f64| Moment { beat: Beat(2.0 * second), second: Second(second) };
        let notes = notes.into_iter().map(|(on, length, key, channel)| {
            let off = length.map(|length| moment(on + length));
            Note { on: moment(on), off, key, channel, velocity: 0.5 }
        });
        made.soloist = NoteLine::of(notes.collect(), Oddities::default());
        made
    })
}

fn stretch() -> impl Strategy<Value = Stretch> {
    prop_oneof![
        Just(Stretch::Take),
        (0..60_usize, 0..60_usize).prop_map(|(first, last)| Stretch::Notes { first, last }),
        (0..7_i64, 0..4_i64).prop_map(|(first, more)| Stretch::Bars { first, last: first + more }),
    ]
}

proptest! {
    #[test]
    fn the_block_size_makes_no_difference_and_nothing_hangs(
        take in tangle(),
        stretch in stretch(),
        percent in 10..=20_u32,
        looped in any::<bool>(),
        clicks in any::<bool>(),
        sizes in prop::collection::vec(1..3_000_usize, 1..20),
    ) {
        let Some(heard) = Schedule::of(&take, stretch, &Settings::default()) else { return Ok(()) };
        let options = HearOptions { speed: f64::from(percent) / 20.0, looped, clicks };
        let samples = 48_000 * 26;
        let whole = played(&heard, |_| options, samples, || samples as usize);
        let mut sizes = sizes.into_iter().cycle();
        let ragged = played(&heard, |_| options, samples, || sizes.next().unwrap_or(1));
        prop_assert_eq!(&whole, &ragged);
        if !looped {
            prop_assert!(hanging(&whole).is_empty());
        }
        // Each key alternates between attack and release, never both on one sample.
        let mut sounding = std::collections::BTreeMap::new();
        for (at, event) in &whole {
            match *event {
                HearEvent::On { key, channel, .. } => {
                    prop_assert_eq!(sounding.insert((key, channel), *at), None);
                }
                HearEvent::Off { key, channel } => {
                    let since = sounding.remove(&(key, channel));
                    prop_assert!(since.is_some_and(|since| since < *at));
                }
                HearEvent::Click { .. } => {}
            }
        }
    }
}
