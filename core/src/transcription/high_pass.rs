//! A fourth-order Butterworth high-pass filter, against rumble and anything below the player's range.

use super::RATE;
use core::f32::consts::TAU;

/// The Q of the two sections. Origin: poles of a Butterworth filter of order 4.
const QUALITIES: [f32; 2] = [0.541_196_1, 1.306_563];

/// A fourth-order Butterworth high-pass filter.
#[derive(Debug, Clone)]
pub(super) struct HighPass {
    sections: [Section; 2],
}

#[derive(Debug, Clone, Copy)]
struct Section {
    /// The coefficient of the newest input and of the one two before; the one between has minus twice that.
    gain: f32,
    feedback: [f32; 2],
    state: [f32; 2],
}

impl HighPass {
    /// A filter with this −3 dB frequency, in Hz.
    pub(super) fn at(hertz: f32) -> Self {
        // Coefficients as in Bristow-Johnson's Audio EQ Cookbook.
        let turn = TAU * hertz / RATE;
        let section = |quality: f32| {
            let alpha = turn.sin() / (2.0 * quality);
            let whole = 1.0 + alpha;
            Section {
                gain: (1.0 + turn.cos()) / 2.0 / whole,
                feedback: [-2.0 * turn.cos() / whole, (1.0 - alpha) / whole],
                state: [0.0; 2],
            }
        };
        Self { sections: QUALITIES.map(section) }
    }

    /// Filters the next sample.
    pub(super) fn next(&mut self, sample: f32) -> f32 {
        self.sections.iter_mut().fold(sample, |input, section| section.next(input))
    }
}

impl Section {
    fn next(&mut self, input: f32) -> f32 {
        let [first, second] = self.state;
        let output = self.gain * input + first;
        let [near, far] = self.feedback;
        self.state =
            [-2.0 * self.gain * input - near * output + second, self.gain * input - far * output];
        output
    }
}
