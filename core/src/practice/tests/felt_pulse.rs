//! Drills use the felt pulse: for what is due, what counts, and where a line broke off.

use super::player::{Player, Timing, drill};
use crate::practice::{Drill, GoalResult, Listener, NoteValue, Wanted};
use crate::stats::Share;
use crate::take::settings::Pulse;
use crate::time::metre::Metre;
use crate::time::{Beat, Second};

fn player(pulse: Pulse, metre: (i32, i32), timing: Timing) -> Player {
    let mut player = Player::new(timing, 1);
    player.metre = Metre::new(metre.0, metre.1).unwrap();
    player.settings.pulse = pulse;
    player
}

/// Six phrases of eighths, one every two bars, each `at` quarters after a bar line.
fn phrases(pulse: Pulse, metre: (i32, i32), at: f64) -> Player {
    let mut player = player(pulse, metre, Timing::exact(100.0));
    let bar = player.metre.bar().0;
    for phrase in 0..6 {
        let from = f64::from(phrase) * 2.0 * bar + at;
        (0..5).for_each(|note| player.note(from + f64::from(note) * 0.5, 0.45));
    }
    player
}

/// Where the first phrase may start, as seen from just before the form.
fn first_due(drill: Drill, player: &Player) -> Beat {
    let (take, phrases) = player.take();
    let mut listener = Listener::new(drill, &player.settings, None).unwrap();
    let before = Second(7.99 * 60.0 / player.timing.tempo);
    let due = listener.follow(&take, &phrases, before).due.clone();
    assert!(matches!(due[..], [due] if matches!(due.what, Wanted::Entry(_))), "{due:?}");
    due[0].at
}

/// By definition, a felt pulse is half or twice as long as the host's; in compound metres, double-time
/// counts the written beat.
#[test]
fn phrase_starts_are_due_and_counted_on_the_felt_pulse() {
    use Pulse::{Double, Half, Host};
    for (pulse, metre, position, at, elsewhere) in [
        (Host, (4, 4), "2&", 1.5, 3.0),
        (Half, (4, 4), "2&", 3.0, 1.5),
        (Half, (4, 4), "1&", 1.0, 0.5),
        (Double, (4, 4), "2&", 0.75, 1.5),
        (Double, (4, 4), "7", 3.0, 2.0),
        (Host, (12, 8), "2", 1.5, 3.0),
        (Half, (12, 8), "2", 3.0, 1.5),
        (Double, (12, 8), "4", 1.5, 4.5),
        (Double, (12, 8), "7", 3.0, 1.5),
        // An odd number of pulses is not halved.
        (Half, (3, 4), "2&", 1.5, 0.5),
    ] {
        let drill = drill(&format!("entry {position}"), 12, 1);
        let right = phrases(pulse, metre, at);
        assert_eq!(first_due(drill.clone(), &right), Beat(at), "{pulse:?} {metre:?} {position}");
        let [all, none] = [6, 0].map(|count| Share { count, of: 6 });
        let report = right.report(drill.clone());
        assert_eq!(report.whole[0].met(), all, "{pulse:?} {metre:?} {position}");
        let report = phrases(pulse, metre, elsewhere).report(drill);
        assert_eq!(report.whole[0].met(), none, "{pulse:?} {metre:?} {position}");
        let GoalResult::StartPosition(entries) = &report.whole[0] else { panic!("{report}") };
        let miss = entries.nearest_miss.unwrap();
        let length = pulse.of(Metre::new(metre.0, metre.1).unwrap()).0.0;
        // Leaves out the swing of the "and", which straight notes do not decide.
        let away = (elsewhere - at) / length;
        assert!((miss.away_pulses - away).abs() < 0.25, "{pulse:?} {metre:?} {position}: {miss:?}");
    }
}

#[test]
fn a_line_is_reported_by_the_felt_pulse() {
    for (pulse, metre, at, on_beat) in [
        (Pulse::Host, (4, 4), 4.0, 31),
        (Pulse::Half, (4, 4), 2.5, 16),
        (Pulse::Double, (4, 4), 7.0, 63),
        (Pulse::Host, (12, 8), 3.0, 31),
        (Pulse::Half, (12, 8), 2.0, 15),
        (Pulse::Double, (12, 8), 7.0, 95),
    ] {
        let mut player = player(pulse, metre, Timing::exact(100.0));
        let bar = player.metre.bar().0;
        player.line(NoteValue::Eighth, 0.0, 8.0 * bar, |note| note == 6);
        let report = player.report(drill("line eighth", 8, 1));
        let GoalResult::UnbrokenLine(line) = &report.whole[0] else { panic!("{report}") };
        let breaks: Vec<_> =
            line.breaks.iter().map(|gap| (gap.bar, gap.pulse, gap.places)).collect();
        assert_eq!(breaks, [(1, at, 1)], "{pulse:?} {metre:?}");
        assert_eq!(line.lag_ms.count(), on_beat, "{pulse:?} {metre:?}");
    }
}

/// As at the host's pulse: four starts in five are meant for the wanted position, the others for any
/// eighth.
#[test]
fn starts_with_human_timing_are_counted_at_any_felt_pulse() {
    use Pulse::{Double, Half, Host};
    let mut shares = Vec::new();
    for (pulse, name, target) in [
        (Host, "4", 3.0),
        (Host, "4&", 3.5),
        (Half, "2&", 3.0),
        (Half, "1&", 1.0),
        (Half, "2", 2.0),
        (Double, "7", 3.0),
        (Double, "8", 3.5),
    ] {
        let (mut right, mut of) = (0, 0);
        let mut random = fastrand::Rng::with_seed(31);
        for _ in 0..40 {
            // In double-time, which is for slow tempos, eighths are beats, and none of them swings.
            let fastest = if pulse == Double { 120.0 } else { 240.0 };
            let drawn = Timing::drawn(fastest * (0.5 + 0.5 * random.f64()), &mut random);
            let swing = if pulse == Double { 1.0 } else { drawn.swing };
            let mut player = player(pulse, (4, 4), Timing { swing, ..drawn });
            let mut meant = Vec::new();
            for phrase in 0..16 {
                let hit = random.u8(0..5) > 0;
                let at = if hit { target } else { f64::from(random.u8(0..8)) * 0.5 };
                player.phrase(f64::from(phrase) * 12.0 + 4.0 + at, random.usize(3..13));
                meant.push(u32::from(at == target));
            }
            let mut drill = drill(&format!("entry {name}"), 3, 16);
            drill.form.first_bar = Some(2);
            let report = player.report(drill);
            for (chorus, count) in report.choruses.iter().filter(|c| c.complete).zip(meant) {
                of += 1;
                right += u32::from(chorus.goals[0].met() == Share { count, of: 1 });
            }
        }
        shares.push((pulse, name, f64::from(right) / f64::from(of)));
    }
    assert!(shares.iter().all(|(.., share)| *share >= 0.97), "{shares:.4?}");
}

/// Lines with human timing are counted equally well at any felt pulse, with swing on the quarter too.
#[test]
fn lines_with_human_timing_are_counted_at_any_felt_pulse() {
    for value in [NoteValue::Quarter, NoteValue::Eighth] {
        for pulse in [Pulse::Host, Pulse::Half, Pulse::Double] {
            let (mut right, mut all) = (0, 0);
            let mut random = fastrand::Rng::with_seed(23);
            for _ in 0..40 {
                let timing = Timing::drawn(70.0 + 210.0 * random.f64(), &mut random);
                let mut player = player(pulse, (4, 4), timing);
                player.line(value, 0.0, 144.0, |_| false);
                let report = player.report(drill(&format!("line {}", value.name()), 12, 3));
                let met = report.whole[0].met();
                right += met.count;
                all += met.of;
            }
            let share = f64::from(right) / f64::from(all);
            assert!(share >= 0.99, "{value:?} {pulse:?}: {share:.4}");
        }
    }
}
