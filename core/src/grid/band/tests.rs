use super::*;
use crate::grid::PulseNumber;
use crate::grid::anchors::{AnchorSource, Anchors};
use crate::grid::beat_grid::BeatGrid;
use crate::time::metre::Metre;
use crate::time::{Second, SecondSpan};
use overbar_testkit::band::{Plays, band, beats};

const RATE: u32 = 44_100;
const ONE: f64 = 1.7;
const PERIOD: f64 = 0.45;

fn heard(samples: &[f32], rate: u32, block: usize) -> (Second, Vec<Hop>) {
    let mut hearing = BandHearing::new(rate).unwrap();
    let mut hops = Vec::new();
    samples.chunks(block).for_each(|part| hearing.push(part, |hop| hops.push(hop)));
    (hearing.first_hop(), hops)
}

/// Counted in 10 ms late.
fn count_in() -> BandCountIn {
    BandCountIn::at(Second(ONE + 0.01), SecondSpan(PERIOD), Metre::COMMON).unwrap()
}

/// The live beats. Each known beat is added just before the next hop.
fn live((first, hops): &(Second, Vec<Hop>), known: &[KnownBeat]) -> Vec<BandBeat> {
    let mut follower = BandFollower::new(count_in(), *first);
    let mut beats = Vec::new();
    let mut known = known.iter().peekable();
    for (number, hop) in hops.iter().enumerate() {
        let now = first.0 + crate::stats::real(number) * HOP_SECONDS;
        while let Some(beat) = known.next_if(|beat| beat.at.0 < now) {
            follower.observe(*beat);
        }
        follower.hear(*hop, |beat| beats.push(beat));
    }
    beats
}

fn after((first, hops): &(Second, Vec<Hop>), known: &[KnownBeat]) -> (Vec<BandBeat>, Anchors) {
    let take = BandTake::new(count_in(), *first, hops);
    let beats = take.beats(known);
    let anchors = take.anchors(&beats, known).unwrap();
    (beats, anchors)
}

/// The largest error of a beat, compared with the true beat of its number.
fn farthest(found: &[BandBeat], truth: &[f64]) -> f64 {
    let off = |beat: &BandBeat| {
        let number = usize::try_from(beat.pulse.0).ok();
        number.and_then(|number| truth.get(number)).map(|at| (at - beat.at.0).abs())
    };
    let inside = found.iter().filter(|beat| beat.pulse.0 < 1 << 40);
    inside.filter_map(off).fold(0.0, f64::max)
}

fn are_all(found: &[BandBeat], confidence: BeatConfidence) -> bool {
    found.iter().all(|beat| beat.confidence == confidence)
}

/// The first letter of each beat's confidence.
fn letters(found: &[BandBeat]) -> String {
    found
        .iter()
        .map(|beat| match beat.confidence {
            BeatConfidence::Sure => 's',
            BeatConfidence::Bridged => 'b',
            BeatConfidence::CountInDoubt => 'c',
        })
        .collect()
}

#[test]
fn a_drifting_band_is_followed_from_a_count_in() {
    // From 133 to 121 BPM.
    let truth = beats(ONE, PERIOD, 1.001, 97);
    let sound = heard(&band(&truth, RATE, |_| Plays::Time), RATE, 512);
    let live = live(&sound, &[]);
    assert!(live.len() >= 96, "{}", live.len());
    assert!(farthest(&live, &truth) < 0.03, "{}", farthest(&live, &truth));
    assert!(are_all(&live[4..97], BeatConfidence::Sure), "{}", letters(&live));
    assert!(live.iter().all(|beat| i64::from(beat.in_bar) == beat.pulse.0 % 4 + 1));
    let (beats, anchors) = after(&sound, &[]);
    assert!(farthest(&beats, &truth) < 0.035, "{}", farthest(&beats, &truth));
    let grid = BeatGrid::of(&anchors);
    let certainty = grid.certainty(Second(truth[0]), Second(truth[96]));
    assert!(certainty.bridged < 0.01 && !certainty.is_approximate(), "{certainty:?}");
    assert!(anchors.all().iter().all(|anchor| anchor.source == AnchorSource::Band));
    assert!((grid.second_of(PulseNumber(50)).0 - truth[50]).abs() < 0.015);
}

#[test]
fn a_band_at_40_bpm_is_followed_as_closely() {
    // It slows down to 36 BPM, and the count-in is 30 ms late.
    let truth = beats(ONE, 1.5, 1.002, 49);
    let (first, hops) = heard(&band(&truth, RATE, |_| Plays::Time), RATE, 512);
    let count_in = BandCountIn::at(Second(ONE + 0.03), SecondSpan(1.5), Metre::COMMON).unwrap();
    let mut follower = BandFollower::new(count_in, first);
    let mut live = Vec::new();
    hops.iter().for_each(|hop| follower.hear(*hop, |beat| live.push(beat)));
    assert!(live.len() >= 48 && farthest(&live, &truth) < 0.02, "{}", farthest(&live, &truth));
    let after = BandTake::new(count_in, first, &hops).beats(&[]);
    assert!(farthest(&after, &truth) < 0.015, "{}", farthest(&after, &truth));
}

#[test]
fn the_first_strokes_after_silence_are_detected() {
    let truth = beats(ONE, PERIOD, 1.0, 9);
    let (first, hops) = heard(&band(&truth, RATE, |_| Plays::Time), RATE, 512);
    let at = |second: f64| whole((second - first.0) / HOP_SECONDS);
    for (beat, second) in truth.iter().enumerate() {
        let loudest = hops[at(second - 0.02)..at(second + 0.03)].iter().flat_map(|hop| hop.0).max();
        // Three times the mean.
        assert!(loudest > Some(48), "beat {beat}: {loudest:?}");
    }
}

#[test]
fn the_block_size_does_not_matter() {
    let samples = band(&beats(ONE, PERIOD, 1.0, 16), RATE, |_| Plays::Time);
    let whole = heard(&samples, RATE, samples.len());
    for block in [1, 7, 64, 1_000] {
        assert_eq!(heard(&samples, RATE, block), whole, "blocks of {block}");
    }
}

#[test]
fn every_sample_rate_gives_the_same_beats() {
    let truth = beats(ONE, PERIOD, 1.0, 33);
    for rate in [8_000, 22_050, 48_000, 88_200, 192_000] {
        let sound = heard(&band(&truth, rate, |_| Plays::Time), rate, 512);
        let found = live(&sound, &[]);
        assert!(found.len() >= 32 && farthest(&found, &truth) < 0.03, "{rate} Hz: {found:?}");
    }
    assert!(BandHearing::new(4_000).is_err());
}

#[test]
fn a_silence_is_reported_as_bridged() {
    let truth = beats(ONE, PERIOD, 1.0, 128);
    let plays = |beat| if (48..64).contains(&beat) { Plays::Rest } else { Plays::Time };
    let sound = heard(&band(&truth, RATE, plays), RATE, 512);
    let live = live(&sound, &[]);
    let marks = letters(&live);
    assert!(farthest(&live, &truth) < 0.06, "{}", farthest(&live, &truth));
    assert!(are_all(&live[4..48], BeatConfidence::Sure), "{marks}");
    assert!(are_all(&live[56..64], BeatConfidence::Bridged), "{marks}");
    assert!(are_all(&live[72..120], BeatConfidence::CountInDoubt), "{marks}");
    // After the take both sides of the silence are known.
    let (beats, anchors) = after(&sound, &[]);
    let marks = letters(&beats);
    assert!(are_all(&beats[54..60], BeatConfidence::Bridged), "{marks}");
    assert!(are_all(&beats[72..120], BeatConfidence::Sure), "{marks}");
    let certainty = BeatGrid::of(&anchors).certainty(Second(truth[0]), Second(truth[127]));
    assert!(!certainty.count_in_doubt, "{certainty:?}");
}

#[test]
fn after_a_long_stop_the_count_is_in_doubt_until_a_known_beat() {
    // The band stops for ten bars, and resumes two beats late.
    let truth: Vec<f64> = beats(ONE, PERIOD, 1.0, 128)
        .into_iter()
        .enumerate()
        .map(|(number, at)| if number < 80 { at } else { at + 2.0 * PERIOD })
        .collect();
    let plays = |beat| if (40..80).contains(&beat) { Plays::Rest } else { Plays::Time };
    let sound = heard(&band(&truth, RATE, plays), RATE, 512);
    let (beats, anchors) = after(&sound, &[]);
    assert!(
        beats[90..].iter().all(|beat| beat.confidence != BeatConfidence::Sure),
        "{}",
        letters(&beats)
    );
    let certainty = BeatGrid::of(&anchors).certainty(Second(truth[0]), Second(truth[127]));
    assert!(certainty.count_in_doubt && certainty.is_approximate());
    // One known beat corrects it, live and after the take.
    let known = [KnownBeat { at: Second(truth[88] + 0.01), pulse: Some(PulseNumber(88)) }];
    for found in [live(&sound, &known), after(&sound, &known).0] {
        let is_later = |beat: &BandBeat| beat.at.0 > truth[88] + 0.1 && beat.pulse.0 < 124;
        let later: Vec<BandBeat> = found.into_iter().filter(is_later).collect();
        assert!(later.len() >= 30 && farthest(&later, &truth) < 0.06, "{later:?}");
        assert!(are_all(&later, BeatConfidence::Sure), "{}", letters(&later));
    }
    // Live, so do four taps before a beat one, but not taps at double time.
    let [taps, halves] = [1.0, 0.5].map(|beats| {
        [3.0, 2.0, 1.0, 0.0].map(|back| Second(truth[87] - back * beats * PERIOD + 0.01))
    });
    let mut follower = BandFollower::new(count_in(), sound.0);
    let mut found = Vec::new();
    for (number, hop) in sound.1.iter().enumerate() {
        let now = sound.0.0 + crate::stats::real(number) * HOP_SECONDS;
        if (now - truth[87] - 1.5 * PERIOD).abs() < HOP_SECONDS / 2.0 {
            assert_eq!(follower.counted_in(&halves), None);
            let known = follower.counted_in(&taps).unwrap();
            assert_eq!(known.pulse.map(|pulse| pulse.0.rem_euclid(4)), Some(3));
            follower.observe(known);
        }
        follower.hear(*hop, |beat| found.push(beat));
    }
    let later = found.iter().filter(|beat| (truth[90]..truth[127]).contains(&beat.at.0));
    let ones: Vec<f64> = later.filter(|beat| beat.in_bar == 1).map(|beat| beat.at.0).collect();
    assert!(ones.len() >= 8);
    for one in ones {
        let near = truth.iter().step_by(4).any(|at| (at - one).abs() < 0.06);
        assert!(near, "beat one at {one}");
    }
}

#[test]
fn a_band_that_jumps_by_half_a_beat_leaves_the_count_in_doubt() {
    // Nobody can tell whether half a beat was added or left out.
    let mut truth = beats(ONE, PERIOD, 1.0, 96);
    truth.iter_mut().skip(48).for_each(|at| *at += PERIOD / 2.0);
    let sound = heard(&band(&truth, RATE, |_| Plays::Time), RATE, 512);
    let live = live(&sound, &[]);
    let (after, anchors) = after(&sound, &[]);
    for beats in [&live, &after] {
        let marks = letters(beats);
        assert!(are_all(&beats[4..40], BeatConfidence::Sure), "{marks}");
        assert!(marks[44..64].contains('c'), "{marks}");
    }
    let certainty = BeatGrid::of(&anchors).certainty(Second(truth[0]), Second(truth[95]));
    assert!(certainty.count_in_doubt, "{certainty:?}");
}

#[test]
fn beats_in_a_break_out_of_time_are_not_sure() {
    let truth = beats(ONE, PERIOD, 1.0, 96);
    let plays = |beat| if (48..72).contains(&beat) { Plays::Break } else { Plays::Time };
    let sound = heard(&band(&truth, RATE, plays), RATE, 512);
    let (found, _) = after(&sound, &[]);
    let sure = found[52..68].iter().filter(|beat| beat.confidence == BeatConfidence::Sure).count();
    assert!(sure <= 4, "{:?}", &found[52..68]);
}

#[test]
fn invalid_sound_is_tolerated() {
    let truth = beats(ONE, PERIOD, 1.0, 64);
    let good = band(&truth, RATE, |_| Plays::Time);
    let offset: Vec<f32> = good.iter().map(|sample| sample + 0.5).collect();
    let found = live(&heard(&offset, RATE, 512), &[]);
    assert!(farthest(&found, &truth) < 0.03, "an offset: {}", farthest(&found, &truth));
    let mut holes = good;
    for (index, bad) in [f32::NAN, f32::INFINITY, -f32::INFINITY, f32::MAX].into_iter().enumerate()
    {
        holes[60_000 + 90_000 * index] = bad;
    }
    let found = live(&heard(&holes, RATE, 512), &[]);
    assert!(farthest(&found, &truth) < 0.06, "holes: {}", farthest(&found, &truth));
    // Pure silence is bridged from beat one on.
    let found = live(&heard(&vec![0.0; 20 * 44_100], RATE, 512), &[]);
    assert!(found.len() > 30 && are_all(&found[1..], BeatConfidence::Bridged));
    // Invalid known beats, and no sound at all.
    let nowhere =
        [f64::NAN, f64::INFINITY, -1e9, 1e9].map(|at| KnownBeat { at: Second(at), pulse: None });
    let take = BandTake::new(count_in(), Second(0.0), &[]);
    assert_eq!(take.anchors(&take.beats(&nowhere), &nowhere), None);
}

#[test]
fn a_count_in_is_four_even_taps_or_a_tempo() {
    let taps = [0.0, 0.5, 1.02, 1.5].map(Second);
    let counted = BandCountIn::of_taps(&taps, Metre::COMMON).unwrap();
    // From the least-squares line.
    assert!((counted.period.0 - 0.502).abs() < 1e-9 && (counted.one.0 - 2.01).abs() < 1e-9);
    assert_eq!(BandCountIn::of_taps(&taps[..3], Metre::COMMON), None);
    for (one, period) in [(0.0, 0.05), (0.0, 9.0), (f64::NAN, 0.5), (0.0, f64::NAN)] {
        assert_eq!(BandCountIn::at(Second(one), SecondSpan(period), Metre::COMMON), None);
    }
}

#[test]
fn bars_follow_the_metre() {
    let truth = beats(ONE, PERIOD, 1.0, 36);
    let sound = heard(&band(&truth, RATE, |_| Plays::Time), RATE, 512);
    let metre = Metre::new(3, 4).unwrap();
    let count_in = BandCountIn::at(Second(ONE), SecondSpan(PERIOD), metre).unwrap();
    let take = BandTake::new(count_in, sound.0, &sound.1);
    let found = take.beats(&[]);
    assert!(found.iter().all(|beat| i64::from(beat.in_bar) == beat.pulse.0.rem_euclid(3) + 1));
}
