//! A high-pass of fourth order (Butterworth), which leaves out rumble and what lies under the player.

use super::RATE;
use core::f32::consts::TAU;

/// Quality of the two sections. Origin: poles of a Butterworth filter of order 4.
const QUALITIES: [f32; 2] = [0.541_196_1, 1.306_563];

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct HighPass {
    sections: [Section; 2],
}

#[derive(Debug, Clone, Copy)]
struct Section {
    /// Of the newest input; twice that with the sign changed, and once again, of those before.
    gain: f32,
    feedback: [f32; 2],
    state: [f32; 2],
}

impl HighPass {
    /// Lets through half of the power at this many Hz.
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

    /// The next sample.
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
