//! Seconds and beats as small integers: their distance from expected values.
//!
//! A second on the grid of the sample clock and a beat on the tempo map are exact: their distance is in
//! steps from one floating-point number to the next. Others are rounded to [`GRAIN`], or stored in full
//! with [`Off::Stays`].

use super::PackError;
use super::varint::{Reader, folded, put, unfolded};

/// Rounding of other seconds and quarter notes: 2^−20, a twentieth of a sample at 48 kHz.
pub const GRAIN: f64 = 1.0 / 1_048_576.0;

/// Largest distance from the sample grid or tempo map that counts as rounding, in steps: a ten-millionth
/// at second or beat 1,000.
const ROUNDING: u64 = 1 << 20;

/// Largest distance from the grid of a sample rate that supports this rate, in steps: the error of a
/// clock that has changed its rate a few times.
const ON_GRID: u64 = 64;

/// How a number off the grid is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Off {
    /// Rounded to [`GRAIN`].
    Moves,
    /// In full, in nine bytes.
    Stays,
}

/// Numbers beyond this are stored in full: multiples of a sample or grain would not be exact.
const FARTHEST: f64 = 4e9;

const EXACT: u64 = 0;
const GRAINED: u64 = 1;
const RAW: u64 = 2;

/// Sample rates to try, in Hz. Their divisors, such as 8 kHz or 22.05 kHz, have the same grids, as do
/// the ticks of a file at 120 BPM.
const RATES: [f64; 10] = [
    44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0, 352_800.0, 384_000.0, 705_600.0,
    768_000.0,
];

/// The rate on whose grid most of `seconds` lie. It is inferred from the seconds because a take has no
/// rate; a wrong one costs bytes, and no more precision than any second off a grid loses.
/// [`put_second`] measures how far a second lies from the grid of the rate that it is given. Within
/// [`ROUNDING`] it keeps that distance too, so that the second is restored bit for bit, whatever the
/// rate. Beyond that it does not use the rate: the second moves by half a [`GRAIN`] at most, or is
/// kept whole.
pub fn rate_of(seconds: impl Iterator<Item = f64> + Clone) -> f64 {
    let on_grid = |rate: f64| seconds.clone().filter(|s| off_grid(*s, rate) <= ON_GRID).count();
    let mut best = (RATES[1], on_grid(RATES[1]));
    for rate in RATES {
        let count = on_grid(rate);
        if count > best.1 {
            best = (rate, count);
        }
    }
    best.0
}

/// Reads a sample rate.
pub fn checked_rate(bytes: &mut Reader<'_>) -> Result<f64, PackError> {
    let rate = f64::from_le_bytes(bytes.array()?);
    let can_be = (1.0..=1e9).contains(&rate);
    can_be.then_some(rate).ok_or(PackError::Damaged("invalid sample rate"))
}

fn off_grid(second: f64, rate: f64) -> u64 {
    folded(steps(whole(second * rate) / rate, second))
}

/// Appends `second` relative to `before`: the samples between to `far`, the steps to the sample grid to
/// `near`. Returns it as it will be read.
pub fn put_second(
    (far, near): (&mut Vec<u8>, &mut Vec<u8>),
    second: f64,
    before: f64,
    rate: f64,
    mark: u64,
    off: Off,
) -> f64 {
    let second = if second.is_finite() { second + 0.0 } else { before };
    let far_off = second.abs() > FARTHEST || before.abs() > FARTHEST;
    let rounding = off_grid(second, rate);
    if far_off || (off == Off::Stays && rounding > ROUNDING) {
        put(far, RAW + mark);
        put(near, second.to_bits());
        return second;
    }
    if rounding <= ROUNDING {
        let samples = integer(whole(second * rate) - whole(before * rate));
        put(far, (folded(samples) << 2) + EXACT + mark);
        put(near, rounding);
        return second;
    }
    let (grains, grained) = to_grain(second, before);
    put(far, (folded(grains) << 2) + GRAINED + mark);
    grained
}

/// The inverse of [`put_second`]; `None` for 0, which it never writes if `mark` is 1.
pub fn second(
    (far, near): (&mut Reader<'_>, &mut Reader<'_>),
    before: f64,
    rate: f64,
    mark: u64,
) -> Result<Option<f64>, PackError> {
    let Some(code) = far.number()?.checked_sub(mark) else { return Ok(None) };
    let distance = unfolded(code >> 2);
    let second = match code & 3 {
        EXACT => {
            let sample = whole(before * rate) + real(distance);
            step(sample / rate, unfolded(near.number()?))
        }
        GRAINED => from_grain(distance, before),
        RAW => f64::from_bits(near.number()?),
        _ => f64::NAN,
    };
    finite(second).map(Some)
}

/// Appends `beat` relative to `expected`. Returns it as it will be read.
pub fn put_beat(bytes: &mut Vec<u8>, beat: f64, expected: f64, off: Off) -> f64 {
    let beat = if beat.is_finite() { beat + 0.0 } else { expected };
    let rounding = folded(steps(expected, beat));
    if rounding <= ROUNDING {
        put(bytes, rounding << 2);
        return beat;
    }
    if off == Off::Stays || beat.abs() > FARTHEST || expected.abs() > FARTHEST {
        put(bytes, RAW);
        put(bytes, beat.to_bits());
        return beat;
    }
    let (grains, grained) = to_grain(beat, expected);
    put(bytes, (folded(grains) << 2) + GRAINED);
    grained
}

/// The inverse of [`put_beat`].
pub fn beat(bytes: &mut Reader<'_>, expected: f64) -> Result<f64, PackError> {
    let code = bytes.number()?;
    let distance = unfolded(code >> 2);
    finite(match code & 3 {
        EXACT => step(expected, distance),
        GRAINED => from_grain(distance, expected),
        RAW => f64::from_bits(bytes.number()?),
        _ => f64::NAN,
    })
}

fn finite(value: f64) -> Result<f64, PackError> {
    if value.is_finite() { Ok(value) } else { Err(PackError::Damaged("invalid time")) }
}

fn to_grain(value: f64, expected: f64) -> (i64, f64) {
    let grains = whole(value / GRAIN);
    (integer(grains - whole(expected / GRAIN)), grains * GRAIN)
}

fn from_grain(grains: i64, expected: f64) -> f64 {
    (whole(expected / GRAIN) + real(grains)) * GRAIN
}

/// The nearest whole number; never negative zero.
fn whole(value: f64) -> f64 {
    value.round() + 0.0
}

/// Steps from one floating-point number to another.
fn steps(from: f64, to: f64) -> i64 {
    ordered(to).wrapping_sub(ordered(from))
}

/// The floating-point number this many steps further.
fn step(from: f64, steps: i64) -> f64 {
    let order = ordered(from).wrapping_add(steps);
    // `turned` is its own inverse.
    f64::from_bits(turned(order).cast_unsigned())
}

/// An integer for each number, in the same order.
fn ordered(value: f64) -> i64 {
    turned(value.to_bits().cast_signed())
}

fn turned(bits: i64) -> i64 {
    if bits < 0 { bits ^ i64::MAX } else { bits }
}

#[expect(clippy::cast_possible_truncation, reason = "whole, and far below 2^63: see FARTHEST")]
fn integer(value: f64) -> i64 {
    value as i64
}

#[expect(clippy::cast_precision_loss, reason = "what was written is below 2^53; damage may be off")]
fn real(value: i64) -> f64 {
    value as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn second_again(value: f64, before: f64, rate: f64, off: Off) -> f64 {
        let (mut far, mut near) = (Vec::new(), Vec::new());
        let kept = put_second((&mut far, &mut near), value, before, rate, 1, off);
        let read = second((&mut Reader(&far), &mut Reader(&near)), before, rate, 1);
        assert_eq!(read.unwrap().unwrap().to_bits(), kept.to_bits());
        kept
    }

    fn beat_again(value: f64, expected: f64, off: Off) -> f64 {
        let mut bytes = Vec::new();
        let kept = put_beat(&mut bytes, value, expected, off);
        assert_eq!(beat(&mut Reader(&bytes), expected).unwrap().to_bits(), kept.to_bits());
        kept
    }

    proptest! {
        #[test]
        fn seconds_on_the_grid_are_exact_and_others_within_half_a_grain(
            sample in 0_u32..2_000_000_000,
            rate in prop::sample::select(RATES.to_vec()),
            free in -1e6..1e6_f64,
            before in 0.0..1e5_f64,
        ) {
            let exact = f64::from(sample) / rate;
            prop_assert_eq!(second_again(exact, before, rate, Off::Moves).to_bits(), exact.to_bits());
            prop_assert!((second_again(free, before, rate, Off::Moves) - free).abs() <= GRAIN / 2.0);
            // A clock that changed its rate is off by a rounding or two.
            let resumed = exact.next_up();
            prop_assert_eq!(second_again(resumed, before, rate, Off::Moves).to_bits(), resumed.to_bits());
        }

        #[test]
        fn beats_on_the_line_are_exact_and_others_within_half_a_grain(
            expected in -1e5..1e5_f64, off in -1e3..1e3_f64, steps in -1000_i64..1000,
        ) {
            let rounded = step(expected, steps);
            prop_assert_eq!(beat_again(rounded, expected, Off::Moves).to_bits(), rounded.to_bits());
            let free = expected + off;
            prop_assert!((beat_again(free, expected, Off::Moves) - free).abs() <= GRAIN / 2.0);
        }

        #[test]
        fn any_number_is_accepted(value: f64, expected in -1e12..1e12_f64) {
            second_again(value, expected, 48_000.0, Off::Moves);
            beat_again(value, expected, Off::Moves);
            // Negative zero is restored as zero.
            if value.is_finite() {
                prop_assert_eq!(second_again(value, expected, 48_000.0, Off::Stays), value);
                prop_assert_eq!(beat_again(value, expected, Off::Stays), value);
            }
        }
    }

    #[test]
    fn the_rate_is_found() {
        for rate in [44_100.0, 48_000.0, 96_000.0] {
            let seconds = (0..100).map(|n| f64::from(n * 7919 + 1) / rate);
            assert_eq!(rate_of(seconds), rate);
        }
    }
}
