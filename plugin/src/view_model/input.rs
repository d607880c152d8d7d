//! The audio input of the listening plugin.

use overbar_core::time::SecondSpan;
use overbar_core::transcription::InputState;

/// Whom an instance listens to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Role {
    /// The soloist: notes and phrases.
    #[default]
    Soloist,
    /// The band: the beat, for soloists' instances.
    Band,
    /// Both: the soloist on the left channel, the band on the right.
    SoloistAndBand,
}

impl Role {
    /// Whether it tracks the band, alone or beside the soloist.
    pub fn hears_band(self) -> bool {
        self != Self::Soloist
    }
}

/// Level and state of the input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputView {
    /// The meter's level in dBFS.
    pub level: f32,
    /// What is wrong with it, if anything.
    pub state: InputState,
    /// The only channel of two with sound: 0 is left.
    pub only_side: Option<usize>,
    /// Whom it listens to.
    pub role: Role,
    /// A band is expected beside the soloist, but its channel is silent.
    pub lacks_band: bool,
    /// The length of the band's sound that came too late to be removed from the microphone.
    pub late_band: SecondSpan,
}

impl Default for InputView {
    fn default() -> Self {
        Self {
            level: f32::NEG_INFINITY,
            state: InputState::Silent,
            only_side: None,
            role: Role::Soloist,
            lacks_band: false,
            late_band: SecondSpan(0.0),
        }
    }
}
