use super::*;
use crate::stats::Share;

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

/// Pseudo-random numbers from 0 to below 1 (SplitMix64; Steele and others 2014).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        f64::from(u32::try_from((z ^ (z >> 31)) >> 32).unwrap()) / f64::from(u32::MAX)
    }

    fn of(&mut self, n: u32, chance: f64) -> Share {
        let mut share = Share::default();
        (0..n).for_each(|_| share.add(self.roll() < chance));
        share
    }
}

/// A take of 25 phrases that start on beat one with this chance; nothing else varies.
fn take(day: Day, on_one: f64, dice: &mut Dice) -> DatedTake {
    let mut measures = Measures {
        beat_one_entries: dice.of(25, on_one),
        short_phrases: dice.of(25, 0.4),
        long_lines: dice.of(16, 0.6),
        over_the_bar: dice.of(20, 0.85),
        room: dice.of(16, 0.8),
        on_beat_exits: dice.of(25, 0.4),
        uneven_eighths: dice.of(60, 0.2),
        ..Measures::default()
    };
    for _ in 0..60 {
        measures.lag_from_usual_ms.push(20.0 * (dice.roll() - 0.5));
    }
    DatedTake { day, player: "Ada".to_owned(), tune: "Study in F".to_owned(), measures }
}

/// Ten weeks with five takes each, on weekdays, from Monday 2025-03-03 to Friday 2025-05-09.
fn ten_weeks(on_one: impl Fn(f64) -> f64, seed: u64) -> Vec<DatedTake> {
    let mut dice = Dice(seed);
    let days = (0..70).filter(|day| day % 7 < 5);
    days.map(|days| {
        let now = f64::from(days) / 70.0;
        take(day("2025-03-03").plus(days), on_one(now), &mut dice)
    })
    .collect()
}

fn of(takes: &[DatedTake]) -> Progress {
    progress(takes, &[], TakeFilter::default(), day("2025-05-09"))
}

fn claimed(progress: &Progress) -> Vec<Measure> {
    let trends = |figure: &&FigureProgress| figure.trend.is_some_and(|t| t.rises_or_falls);
    progress.figures.iter().filter(trends).map(|figure| figure.measure).collect()
}

/// A share that falls from a half to a fifth is found, and nothing else, in each of forty histories; if
/// nothing changes, something is claimed in at most one history in ten.
#[test]
fn a_trend_is_found_where_there_is_one_and_nowhere_else() {
    let mut wrong = 0;
    for seed in 0..40 {
        let falls = of(&ten_weeks(|now| 0.5 - 0.3 * now, seed));
        let found = claimed(&falls);
        assert!(found.contains(&Measure::BeatOneEntries), "history {seed}");
        let trend = falls.figures[0].trend.unwrap();
        assert!(trend.low < -0.03 && -0.03 < trend.high, "history {seed}: {trend:?}");
        wrong += usize::from(found.len() > 1);
        let still = of(&ten_weeks(|_| 0.3, seed + 1000));
        wrong += usize::from(!claimed(&still).is_empty());
    }
    assert!(wrong <= 8, "{wrong} of 80");
}

/// Overdispersion between takes hides a trend that would be clear otherwise.
#[test]
fn scatter_between_takes_is_included() {
    let uneasy = |now: f64| {
        let wave = if (now * 70.0).round() % 2.0 == 0.0 { 0.25 } else { -0.25 };
        0.5 + wave - 0.06 * now
    };
    let wide = of(&ten_weeks(uneasy, 1)).figures[0].trend.unwrap();
    let narrow = of(&ten_weeks(|now| 0.5 - 0.06 * now, 1)).figures[0].trend.unwrap();
    assert!(wide.high - wide.low > 2.0 * (narrow.high - narrow.low));
}

#[test]
fn this_week_against_last_month() {
    // A step in the last week, from 50 % to 10 %.
    let step = of(&ten_weeks(|now| if now >= 0.9 { 0.1 } else { 0.5 }, 3));
    let change = step.figures[0].change.unwrap();
    assert_eq!((change.now_of, change.before_of), (125, 500));
    assert!(change.changed && change.difference.high < 0.0);
    let others = step.figures.iter().skip(1).filter_map(|f| f.change);
    assert_eq!(others.filter(|c| c.changed).count(), 0);
    let lag = step.figures.last().unwrap();
    assert!(lag.change.is_some_and(|c| c.difference.low < 0.0 && c.difference.high > 0.0));
    assert!(step.figures[1].change.is_none(), "the most frequent position may be a different one");
    let first =
        progress(&ten_weeks(|_| 0.3, 3)[..5], &[], TakeFilter::default(), day("2025-03-09"));
    assert!(first.figures.iter().all(|f| f.change.is_none() && f.trend.is_none()));
}

#[test]
fn weeks_and_days_are_pooled() {
    let all = of(&ten_weeks(|_| 0.3, 5));
    let beat_one = &all.figures[0];
    assert_eq!((beat_one.weeks.len(), beat_one.days.len()), (10, 50));
    assert_eq!(beat_one.weeks[9].from, day("2025-05-05"));
    assert!(beat_one.weeks.iter().all(|week| week.of == 125));
    assert_eq!((all.days.days, all.days.current, all.days.longest), (50, 5, 5));
}

#[test]
fn filtered_by_player_and_tune_without_the_future() {
    let mut takes = ten_weeks(|_| 0.3, 5);
    takes[0].player = "Ben".to_owned();
    takes[1].tune = "Study in G".to_owned();
    let count =
        |player, tune| progress(&takes, &[], TakeFilter { player, tune }, day("2025-05-09")).takes;
    assert_eq!(count(Some("Ben"), None), 1);
    assert_eq!(count(None, Some("Study in G")), 1);
    assert_eq!(count(Some("Ada"), Some("Study in F")), 48);
    assert_eq!(progress(&takes, &[], TakeFilter::default(), day("2025-03-04")).takes, 2);
    takes[3].measures.other_metre = true;
    assert!(of(&takes).figures.iter().all(|figure| figure.norm.is_none()));
}

#[test]
fn drills_with_best_and_last_results() {
    let row = |when: &str, count, of| DatedDrill {
        day: day(when),
        player: "Ada".to_owned(),
        tune: "Study in F".to_owned(),
        drill: "Enter on the \"and\" of 4".to_owned(),
        result: Share { count, of },
    };
    let rows = [
        row("2025-03-08", 6, 12),
        row("2025-03-03", 2, 10),
        row("2025-03-05", 9, 10),
        row("2025-03-06", 18, 20),
        row("2025-03-04", 0, 0),
    ];
    let got = progress(&[], &rows, TakeFilter::default(), day("2025-03-09"));
    let [drill] = &got.drills[..] else { panic!("one drill") };
    assert_eq!((drill.times, drill.best.day), (4, day("2025-03-06")));
    assert_eq!(
        (drill.last.day, drill.last.result),
        (day("2025-03-08"), Share { count: 6, of: 12 })
    );
    // The day of an empty result still counts as a day of practice.
    assert_eq!((got.days.days, got.days.current, got.days.longest), (5, 1, 4));
}

/// The progress view of 10,000 takes.
#[test]
fn ten_thousand_takes_are_quick() {
    let mut dice = Dice(7);
    let takes: Vec<DatedTake> =
        (0..10_000).map(|n| take(day("2020-01-01").plus(n / 5), 0.3, &mut dice)).collect();
    let goal = std::time::Duration::from_millis(100);
    overbar_testkit::time::within(goal, "progress of ten thousand takes", || {
        let all = progress(&takes, &[], TakeFilter::default(), day("2026-01-01"));
        assert_eq!(all.takes, 10_000);
    });
}
