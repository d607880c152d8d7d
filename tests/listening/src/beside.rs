//! The band's track as reference for the soloist's microphone.

use crate::render::{Condition, RATE, Recording};

/// The reference track that the tracker gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Beside {
    /// None.
    Nothing,
    /// The band's, shifted by this many milliseconds; negative is early.
    Band(i32),
    /// The band's, as loud as possible.
    Loud,
    /// Another band's.
    Other,
    /// Silence.
    Silent,
}

impl Beside {
    /// The scored tracks for a condition; with `all`, also useless ones that should change nothing.
    pub fn of(condition: Condition, all: bool) -> Vec<Self> {
        let mut of = vec![Self::Nothing];
        if condition != Condition::Expressive {
            of.push(Self::Band(0));
            if all {
                of.extend([20, 50, -20, -50].map(Self::Band));
                of.extend([Self::Loud, Self::Other, Self::Silent]);
            }
        }
        of
    }

    /// Its name in reports.
    pub fn name(self) -> String {
        match self {
            Self::Nothing => String::new(),
            Self::Band(0) => " beside the band".to_owned(),
            Self::Band(late) => format!(" beside the band {late:+} ms"),
            Self::Loud => " beside a loud band".to_owned(),
            Self::Other => " beside another band".to_owned(),
            Self::Silent => " beside silence".to_owned(),
        }
    }

    /// The track, if any.
    pub fn track(self, recording: &Recording) -> Option<Vec<f32>> {
        let band = &recording.band;
        Some(match self {
            Self::Nothing => return None,
            Self::Band(late) => {
                let samples = late.unsigned_abs() as usize * RATE as usize / 1_000;
                let silence = vec![0.0; samples];
                if late >= 0 {
                    [silence, band.clone()].concat()
                } else {
                    [&band[samples..], &silence].concat()
                }
            }
            Self::Loud => band.iter().map(|sample| (sample * 20.0).clamp(-1.0, 1.0)).collect(),
            Self::Other => band.iter().rev().copied().collect(),
            Self::Silent => vec![0.0; band.len()],
        })
    }
}
