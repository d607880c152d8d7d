//! Where in the bar each onset was meant.
//!
//! At its onset a note is quantized by itself (`note_quantizer`), then together with the others of its
//! beat ([`BeatQuantizer`]). The result is a [`QuantizedOnset`]: a [`PulseSubdivision`] of the felt pulse
//! with its probability. [`BarLines`] turns it into a [`MetricalPosition`].

mod bar_lines;
mod beat_quantizer;
mod note_quantizer;
mod position;
mod pulse_position;
mod quantized_onset;
mod subdivision;

pub use bar_lines::BarLines;
pub use beat_quantizer::BeatQuantizer;
pub use note_quantizer::PhraseRole;
pub use position::{MetricalPosition, PositionClass};
pub use pulse_position::PulsePosition;
pub use quantized_onset::QuantizedOnset;
pub use subdivision::PulseSubdivision;
