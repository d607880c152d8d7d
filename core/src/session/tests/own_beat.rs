use super::*;
use crate::grid::COUNT_IN;
use crate::grid::PulseNumber;
use crate::grid::band::BeatConfidence;
use crate::grid::follower::{FollowedBeat, Tapped, follow};
use crate::practice::built_in;
use crate::session::own_beat::{BeatDoubt, BeatSource};
use crate::take::settings::AlertSettings;
use crate::time::SecondSpan;
use crate::time::metre::Metre;

/// Seconds a beat of a band that plays at 90 BPM, with the host at 120.
const BEAT: f64 = 60.0 / 90.0;

/// A host that plays from second 0 on; the beat comes from taps.
fn tapped_host() -> Host {
    let mut host = Host::new();
    host.session.set_beat_source(BeatSource::Taps);
    host.tell(0.0, true, 0.0);
    host
}

impl Host {
    /// Taps these beats of the band, the first of the count-in at second 1, and plays notes at `played`, in
    /// beats from beat one on.
    fn tap_and_play(&mut self, taps: &[f64], played: &[f64]) {
        let mut all: Vec<(f64, bool)> = taps.iter().map(|tap| (*tap, true)).collect();
        all.extend(played.iter().map(|note| (*note, false)));
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (beat, is_tap) in all {
            let at = second_of(beat);
            while self.at + 0.25 < at {
                self.tell(self.at + 0.25, true, (self.at + 0.25) * 2.0);
            }
            match is_tap {
                true => self.session.push(Event::Tap(Second(at))),
                false => self.note(at, 0.2, 60),
            }
        }
    }
}

/// When the band plays a beat; beat one is 0.
fn second_of(beat: f64) -> f64 {
    1.0 + (beat + 4.0) * BEAT
}

fn count_in() -> Vec<f64> {
    vec![-4.0, -3.0, -2.0, -1.0]
}

#[test]
fn phrase_starts_follow_the_taps() {
    let mut host = tapped_host();
    let waits = host.session.snapshot().own_beat.unwrap();
    assert_eq!((waits.counted_in, waits.line, waits.last), (0, None, None));
    let taps = [count_in(), (0..8).map(f64::from).collect()].concat();
    // A phrase on the and of 2 and one on beat one; on the host's grid they are neither.
    host.tap_and_play(&taps, &[1.5, 2.0, 2.5, 3.0, 8.0, 8.5, 9.0]);
    let snapshot = host.session.snapshot();
    let starts: Vec<_> = snapshot.phrases.iter().map(|p| (p.entry.bar, p.entry.class)).collect();
    assert_eq!(starts, [(1, PositionClass::And), (3, PositionClass::One)]);
    let tapped = snapshot.own_beat.unwrap();
    assert_eq!((tapped.counted_in, tapped.doubt), (COUNT_IN, None));
    assert_eq!((tapped.last, tapped.counts.followed), (Some(Tapped::Beat(PulseNumber(7))), 12));
    assert!((tapped.line.unwrap().tempo_at(Second(20.0)).quarters_a_minute() - 90.0).abs() < 0.01);

    host.session.finish();
    let take = &host.session.takes()[0].performance;
    assert_eq!(beats(&host.session.takes()[0]), [1.5, 2.0, 2.5, 3.0, 8.0, 8.5, 9.0]);
    assert_eq!(take.host_tempo().knots()[0].tempo.quarters_a_minute(), 120.0);
    assert_eq!(take.certainty().map(|certainty| certainty.is_approximate()), Some(false));
    // Back to the host's grid.
    let mut back = take.clone();
    std::sync::Arc::make_mut(&mut back).set_grid(None);
    let second = back.soloist.notes()[0].on.second.0;
    assert!((back.soloist.notes()[0].on.beat.0 - second * 2.0).abs() < 1e-9);
}

#[test]
fn after_the_take_the_grid_uses_the_taps_on_both_sides() {
    let mut host = tapped_host();
    // Two taps are well off.
    let late = [0.0, 0.05, -0.06, 0.01].into_iter().cycle();
    let moved = (0..16).map(f64::from).zip(late).map(|(beat, late)| beat + late);
    let taps: Vec<f64> = count_in().into_iter().chain(moved).collect();
    let played: Vec<f64> = (1..30).map(|eighth| f64::from(eighth) / 2.0).collect();
    host.tap_and_play(&taps, &played);
    let live = beats(host.session.current().unwrap());
    host.session.finish();
    let after = beats(&host.session.takes()[0]);
    let seconds = taps.iter().map(|tap| Second(second_of(*tap)));
    let anchors = follow(seconds, Metre::COMMON, SecondSpan(0.0)).anchors().unwrap();
    let mut whole = host.session.takes()[0].clone();
    whole.performance_mut().set_grid(Some(&anchors));
    assert_eq!(beats(&whole), after, "as from a file with the same taps");
    let error = |beats: &[f64]| -> f64 {
        beats.iter().zip(&played).map(|(beat, true_one)| (beat - true_one).abs()).sum::<f64>()
    };
    assert!(error(&after) < error(&live), "{} {}", error(&after), error(&live));
    assert!(live.is_sorted(), "a live grid bends but never jumps");
}

#[test]
fn notes_before_the_count_in_are_kept_and_counted_back() {
    let mut host = tapped_host();
    host.note(0.5, 0.2, 60);
    host.tap_and_play(&count_in(), &[0.5, 1.0]);
    let first = host.session.current().unwrap().performance.soloist.notes()[0].on.beat.0;
    assert!((first - ((0.5 - 1.0) / BEAT - 4.0)).abs() < 1e-6, "{first}");
    assert_eq!(host.session.snapshot().phrases[1].entry.class, PositionClass::And);
}

#[test]
fn a_loop_keeps_the_beat_and_a_stop_needs_another_count_in() {
    let mut host = tapped_host();
    host.point.cycle = Some((0.0, 16.0));
    let taps = [count_in(), (0..4).map(f64::from).collect()].concat();
    host.tap_and_play(&taps, &[1.5, 2.0]);
    // It loops at second 8, on the band's beat 6.5.
    host.tell(8.25, true, 0.5);
    host.note(second_of(8.0), 0.2, 60);
    host.note(second_of(9.5), 0.2, 60);
    assert_eq!(host.session.takes().len(), 1);
    assert_eq!(beats(&host.session.takes()[0]), [1.5, 2.0]);
    assert_eq!(beats(host.session.current().unwrap()), [8.0, 9.5]);
    let doubt = host.session.snapshot().own_beat.unwrap().doubt;
    assert_eq!(doubt, Some(BeatDoubt::Unheard), "the last tap was over four beats ago");
    host.tell(12.0, false, 0.0);
    assert_eq!(host.session.snapshot().own_beat, None);
    host.session.push(Event::Tap(Second(13.0)));
    host.tell(14.0, true, 0.0);
    assert_eq!(host.session.snapshot().own_beat.unwrap().counted_in, 0);
    host.note(14.5, 0.2, 60);
    host.session.finish();
    assert_eq!(
        beats(&host.session.takes()[2]),
        [1.0],
        "without a count-in the take is on the host's grid"
    );
    assert!(host.session.takes()[2].performance.own_grid.is_none());
}

#[test]
fn the_beat_one_alert_waits_while_the_beat_is_not_sure() {
    let mut host = tapped_host();
    let alerts = AlertSettings { beat_one_streak: 2, ..AlertSettings::default() };
    host.session.set(Settings { alerts, ..Settings::default() });
    let taps = [count_in(), (0..9).map(f64::from).collect()].concat();
    host.tap_and_play(&taps, &[0.0, 0.5, 8.0, 8.5]);
    assert!(host.session.snapshot().alerts.iter().any(|a| a.depends_on_position()));
    host.tell(second_of(14.0), true, second_of(14.0) * 2.0);
    let snapshot = host.session.snapshot();
    assert_eq!(snapshot.own_beat.unwrap().doubt, Some(BeatDoubt::Unheard));
    assert!(!snapshot.alerts.iter().any(|a| a.depends_on_position()), "{:?}", snapshot.alerts);
}

#[test]
fn the_beat_source_can_change_during_a_take() {
    let mut host = tapped_host();
    let taps = [count_in(), (0..4).map(f64::from).collect()].concat();
    host.tap_and_play(&taps, &[1.5, 2.0]);
    host.session.set_beat_source(BeatSource::Host);
    assert_eq!(host.session.snapshot().own_beat, None);
    let on_host: Vec<f64> = [1.5, 2.0].map(|beat| (second_of(beat) * 2e6).round() / 1e6).to_vec();
    assert_eq!(beats(host.session.current().unwrap()), on_host);
    host.session.set_beat_source(BeatSource::Taps);
    assert_eq!(host.session.snapshot().own_beat.unwrap().counted_in, 0);
}

#[test]
fn a_drill_counts_from_the_count_in() {
    let mut host = tapped_host();
    let mut drill = built_in("line quarter").unwrap();
    (drill.form.bars, drill.form.count_in, drill.choruses) = (2, 0, 1);
    host.session.start_drill(drill).unwrap();
    let taps = [count_in(), (0..9).map(f64::from).collect()].concat();
    let played: Vec<f64> = (0..9).map(f64::from).collect();
    host.tap_and_play(&taps, &played);
    let report = host.session.end_drill().unwrap();
    assert!(report.over && report.passed, "{report:?}");
}

#[test]
fn phrase_starts_follow_the_band() {
    let mut host = Host::new();
    host.session.set_beat_source(BeatSource::Band);
    host.tell(0.0, true, 0.0);
    let waits = host.session.snapshot().own_beat.unwrap();
    assert!(waits.from_band && waits.line.is_none());
    let beat = |host: &mut Host, number: i32, confidence| {
        let at = Second(second_of(number.into()));
        let (pulse, period) = (PulseNumber(number.into()), SecondSpan(BEAT));
        host.session.band_beat(Metre::COMMON, FollowedBeat { pulse, at, period }, confidence);
    };
    (0..4).for_each(|number| beat(&mut host, number, BeatConfidence::Sure));
    // A repeated beat and a late one change nothing.
    beat(&mut host, 2, BeatConfidence::Sure);
    host.tap_and_play(&[], &[4.5, 5.0, 5.5]);
    let snapshot = host.session.snapshot();
    assert_eq!(snapshot.phrases[0].entry.class, PositionClass::And);
    assert_eq!(snapshot.phrases[0].entry.bar, 2);
    assert_eq!(snapshot.own_beat.unwrap().doubt, None);
    host.session.push(Event::Tap(Second(host.at)));
    for (number, confidence, doubt) in [
        (5, BeatConfidence::Bridged, Some(BeatDoubt::Unheard)),
        // One doubtful beat is seldom wrong; two often are.
        (6, BeatConfidence::CountInDoubt, None),
        (7, BeatConfidence::CountInDoubt, Some(BeatDoubt::Count)),
    ] {
        beat(&mut host, number, confidence);
        assert_eq!(host.session.own_beat().unwrap().doubt, doubt, "beat {number}");
    }
    beat(&mut host, 8, BeatConfidence::Sure);
    assert_eq!(host.session.own_beat().unwrap().doubt, None);
    let silent = second_of(13.0);
    host.tell(silent, true, silent * 2.0);
    assert_eq!(
        host.session.own_beat().unwrap().doubt,
        Some(BeatDoubt::Unheard),
        "the band has stopped"
    );
    host.session.finish();
    let own = host.session.takes()[0].performance.own_grid.clone().unwrap();
    let pulses: Vec<i64> = own.anchors.all().iter().map(|anchor| anchor.pulse.0).collect();
    assert_eq!(pulses, [0, 1, 2, 3, 8], "only the sure beats");
    assert!(own.anchors.all()[4].in_doubt);
    assert_eq!(beats(&host.session.takes()[0]), [4.5, 5.0, 5.5]);
}
