//! Notes from sound: hears a horn, a guitar or a voice that plays one note at a time.
//!
//! Mono samples go in, in blocks of any size, and notes come out with their onset, end, pitch, loudness
//! and confidence. The same samples give the same notes whatever the size of the blocks. A note is told
//! some 50 ms after its attack, dated back to it. Its pitch may be revised until 60 ms after the onset;
//! then it stands, until at its end the note is named by the pitch that was heard for longest: scoops and falls
//! do not name it. Notes never overlap and come in order of time.
//!
//! # How it works
//! 1. `resample`: to 24 kHz, whatever the recording has.
//!    With a band's track, `bleed` then removes the band from the microphone, 16 ms later; `alignment` finds the lag
//!    between both.
//! 2. `high_pass`: what lies under the player's lowest note is left out.
//! 3. `novelty`, `pitch`, `level`: every 5.3 ms, what is new in the spectrum, the period, the loudness.
//! 4. `candidates`: where a note may begin; `features`: what speaks for it and against it.
//! 5. `network`: how likely it does, a small network with `weights` fitted to rendered solos.
//! 6. `ear`: which notes sound, and when they end; `attack`: when exactly they began.
//! 7. `entry`: when the soloist came in, if the first notes were the band's.
//!
//! # Realtime safety
//! Memory is made with a [`NoteTracker`], and not while it hears. Nothing here locks, waits or panics. It costs too much
//! for an audio thread all the same: a worker runs it.

mod alignment;
mod attack;
mod band_samples;
mod bleed;
mod candidates;
mod clarity;
mod ear;
mod entry;
mod features;
mod frame;
mod high_pass;
mod history;
mod input_meter;
mod instrument;
mod intake;
mod level;
mod network;
mod note;
mod novelty;
mod pitch;
mod plateau;
mod player;
pub(crate) mod resample;
mod situation;
pub(crate) mod spectrum;
mod tracker;
mod tuning;
#[expect(clippy::approx_constant, reason = "weights that happen to lie near a constant")]
mod weights;
mod whole_pitch;

pub use band_samples::BandSamples;
pub use candidates::Candidate;
pub use features::FEATURES;
pub use input_meter::{InputMeter, InputState};
pub use instrument::{Instrument, TrackerSettings};
pub use note::{HeardNote, NoteEvent};
pub use resample::UnknownRate;
pub use situation::Situation;
pub use tracker::NoteTracker;

/// Samples a second that are analysed.
pub(crate) const ANALYSIS_RATE: u32 = 24_000;

/// The same.
const RATE: f32 = 24_000.0;

/// Samples from one look at the sound to the next: 5.3 ms.
const HOP: usize = 128;

/// The same in seconds.
const HOP_SECONDS: f64 = 128.0 / 24_000.0;

/// The time of a hop.
#[expect(clippy::cast_precision_loss, reason = "hops stay far below 2^52")]
fn seconds(hops: u64) -> f64 {
    hops as f64 * HOP_SECONDS
}

/// A count as a floating-point number.
#[expect(clippy::cast_precision_loss, reason = "counts of samples in a window stay far below 2^23")]
fn real(count: usize) -> f32 {
    count as f32
}

/// The nearest whole number of samples; 0 for what is none.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the conversion saturates, and 0 is said to stand for what is negative or no number"
)]
fn nearest(length: f32) -> usize {
    length.round() as usize
}

/// In single precision.
#[expect(clippy::cast_possible_truncation, reason = "samples need no more than single precision")]
fn single(value: f64) -> f32 {
    value as f32
}

/// Amplitude or its square as decibels of full scale.
fn decibels(power: f32) -> f32 {
    10.0 * power.max(1e-12).log10()
}

/// The window of Hann.
fn hann(length: usize) -> Vec<f32> {
    let turn = core::f32::consts::TAU / real(length);
    (0..length).map(|index| 0.5 - 0.5 * (turn * real(index)).cos()).collect()
}

/// The middle one of a few numbers, which are sorted for it.
fn median(values: &mut [f32]) -> Option<f32> {
    values.sort_unstable_by(f32::total_cmp);
    let upper = values.get(values.len() / 2)?;
    let lower = values.get(values.len().checked_sub(1)? / 2)?;
    Some((lower + upper) / 2.0)
}
