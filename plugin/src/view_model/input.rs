//! What comes in where sound is heard.

use overbar_core::transcription::InputState;

/// See the module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputView {
    /// What the meter shows, in dB of full scale.
    pub level: f32,
    /// What can be said of it.
    pub state: InputState,
    /// The one channel of two that has sound: 0 is the left one.
    pub only_side: Option<usize>,
    /// The band is heard, not the soloist.
    pub is_band: bool,
}

impl Default for InputView {
    fn default() -> Self {
        Self {
            level: f32::NEG_INFINITY,
            state: InputState::Silent,
            only_side: None,
            is_band: false,
        }
    }
}
