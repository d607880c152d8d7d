//! Note transcription: tracks the notes of a monophonic instrument, such as a horn, a guitar or a voice.
//!
//! The input is mono samples in blocks of any size; the output is notes with onset, end, pitch, loudness and
//! confidence. Results do not depend on the block size. A note is reported some 50 ms after its attack, with the time
//! of the attack. Onset and pitch may be revised until 60 ms after the onset. Then it stands, until the note ends and gets
//! its longest pitch, which ignores scoops and falls. Notes never overlap, and are reported in order.
//!
//! # How it works
//! 1. `resample`: resamples to 24 kHz.
//!    With a band's track, `bleed` then removes the band from the microphone, 16 ms later; `alignment` finds the lag
//!    between both.
//! 2. `high_pass`: removes anything below the player's lowest note.
//! 3. `novelty`, `pitch`, `level`: the spectral novelty, the pitch and the level, every 5.3 ms.
//! 4. `candidates`: the moments at which a note may begin; `features`: their features.
//! 5. `network`: the probability of an onset, by a small neural network with `weights` fitted to rendered solos.
//! 6. `ear`: the current note and its end; `attack`: the exact time of an onset.
//! 7. `entry`: when the soloist came in, if the first notes were the band's.
//!
//! # Realtime safety
//! Only the constructors of [`NoteTracker`] allocate. Nothing here locks, waits or panics. A worker runs it, because it is
//! too expensive for an audio thread.

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
mod sounding;
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

/// The analysis rate, in Hz.
pub(crate) const ANALYSIS_RATE: u32 = 24_000;

/// The same.
const RATE: f32 = 24_000.0;

/// Samples per hop: 5.3 ms.
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

/// The nearest whole number of samples; 0 if negative or not a number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the conversion saturates, and gives 0 for negative values and NaN as documented"
)]
fn nearest(length: f32) -> usize {
    length.round() as usize
}

/// Rounds to single precision.
#[expect(clippy::cast_possible_truncation, reason = "samples need no more than single precision")]
fn single(value: f64) -> f32 {
    value as f32
}

/// A power in dBFS.
fn decibels(power: f32) -> f32 {
    10.0 * power.max(1e-12).log10()
}

/// The Hann window.
fn hann(length: usize) -> Vec<f32> {
    let turn = core::f32::consts::TAU / real(length);
    (0..length).map(|index| 0.5 - 0.5 * (turn * real(index)).cos()).collect()
}

/// The median; sorts the values.
fn median(values: &mut [f32]) -> Option<f32> {
    values.sort_unstable_by(f32::total_cmp);
    let upper = values.get(values.len() / 2)?;
    let lower = values.get(values.len().checked_sub(1)? / 2)?;
    Some((lower + upper) / 2.0)
}
