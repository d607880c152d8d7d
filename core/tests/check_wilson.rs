//! Wilson's interval against values from outside.
//!
//! Sources: the cases of Newcombe 1998 ("Two-sided confidence intervals for the single
//! proportion", method 3), from memory, and equal to what scipy 1.17 and statsmodels 0.15
//! compute; and a table computed with those two libraries.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

use overbar_core::stats::Share;

fn assert_interval((count, of): (u32, u32), (low, high): (f64, f64), within: f64) {
    let share = Share { count, of };
    let (got_low, got_high) = share.interval().unwrap();
    assert!((got_low - low).abs() <= within, "{count}/{of}: low {got_low}, not {low}");
    assert!((got_high - high).abs() <= within, "{count}/{of}: high {got_high}, not {high}");
    assert_eq!(share.share(), Some(f64::from(count) / f64::from(of)));
}

/// Newcombe 1998, cases from memory; scipy and statsmodels give the same to four places.
#[test]
fn newcombes_cases() {
    for (case, interval) in [
        ((81, 263), (0.2553, 0.3662)),
        ((15, 148), (0.0624, 0.1605)),
        ((0, 20), (0.0, 0.1611)),
        ((1, 29), (0.0061, 0.1718)),
        ((29, 29), (0.8830, 1.0)),
    ] {
        assert_interval(case, interval, 0.000_05);
    }
}

/// 95 % intervals of k of n, computed with scipy 1.17 and statsmodels 0.15.
#[test]
fn counts_as_a_practice_session_gives_them() {
    for (case, interval) in [
        ((0, 8), (0.0, 0.324_408)),
        ((1, 8), (0.022_417, 0.470_888)),
        ((4, 8), (0.215_216, 0.784_784)),
        ((6, 8), (0.409_275, 0.928_521)),
        ((8, 8), (0.675_592, 1.0)),
        ((3, 12), (0.088_942, 0.532_305)),
        ((9, 12), (0.467_695, 0.911_058)),
        ((8, 20), (0.218_807, 0.613_418)),
        ((12, 24), (0.314_274, 0.685_726)),
        ((18, 24), (0.551_006, 0.880_006)),
        ((10, 40), (0.141_871, 0.401_940)),
        ((36, 40), (0.769_482, 0.960_420)),
    ] {
        assert_interval(case, interval, 0.000_000_5);
    }
}

/// By definition: k and n − k mirror each other, the share lies inside, and the ends stay
/// within 0 and 1.
#[test]
fn the_interval_is_symmetric_and_holds_the_share() {
    for of in 1..=60 {
        for count in 0..=of {
            let (low, high) = Share { count, of }.interval().unwrap();
            let (mirror_low, mirror_high) = Share { count: of - count, of }.interval().unwrap();
            assert!((low - (1.0 - mirror_high)).abs() < 1e-12, "{count}/{of}");
            assert!((high - (1.0 - mirror_low)).abs() < 1e-12, "{count}/{of}");
            let share = f64::from(count) / f64::from(of);
            assert!(0.0 <= low && low <= share && share <= high && high <= 1.0, "{count}/{of}");
        }
    }
}
