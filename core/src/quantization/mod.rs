//! Where in the bar each onset was meant.
//!
//! A note is read by itself at its onset ([`note_quantizer`]), then together with the others of its
//! beat ([`beat_quantizer`]). The result is a [`reading::Reading`]: a [`subdivision`] of the felt pulse
//! and how sure it is. [`position`] names it in the bar.

pub mod beat_quantizer;
pub mod note_quantizer;
pub mod position;
pub mod pulse_position;
pub mod reading;
pub mod subdivision;
