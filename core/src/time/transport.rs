//! The transport of a host at one moment, and the beat grid it gives.

use crate::time::metre::Metre;
use crate::time::{Beat, Second, Tempo};

/// The transport at the start of a block, as the host reports it: values may be missing or invalid.
/// [`TransportPoint::grid`] validates them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TransportPoint {
    /// When, on the performance's clock.
    pub at: Second,
    /// Start of the block before, if there was one: until then the previous point held.
    pub block_before: Option<Second>,
    /// Position in quarter notes.
    pub beat: Option<f64>,
    /// Quarter notes per minute.
    pub tempo: Option<f64>,
    /// Time signature, upper and lower figure.
    pub metre: Option<(i32, i32)>,
    /// The transport is playing.
    pub rolling: bool,
    /// The host is recording.
    pub recording: bool,
    /// The host is in the pre-roll before a punch-in.
    pub preroll: bool,
    /// The active loop: its first beat, and the beat after its last.
    pub cycle: Option<(f64, f64)>,
}

/// Why there is no beat grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoGrid {
    /// The host gives no valid position or tempo.
    NoTransport,
    /// The host is playing, but its position stands still.
    Frozen,
    /// The host gives an unsupported time signature.
    StrangeMetre,
}

/// A valid transport.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridPoint {
    /// Position.
    pub beat: Beat,
    /// Tempo.
    pub tempo: Tempo,
    /// Metre; [`Metre::COMMON`] if the host gives none.
    pub metre: Metre,
}

/// Positions beyond this many quarters, about 80 years at 240 BPM, are invalid.
pub(crate) const FARTHEST_BEAT: f64 = 1e10;

impl TransportPoint {
    /// The beat grid.
    ///
    /// # Errors
    /// [`NoGrid`] if a value is missing or invalid.
    #[inline]
    pub fn grid(&self) -> Result<GridPoint, NoGrid> {
        let beat = self
            .beat
            .filter(|b| b.is_finite() && b.abs() < FARTHEST_BEAT)
            .map(Beat)
            .ok_or(NoGrid::NoTransport)?;
        let tempo = self.tempo.and_then(Tempo::new).ok_or(NoGrid::NoTransport)?;
        let metre = match self.metre {
            None => Metre::COMMON,
            Some((n, d)) => Metre::new(n, d).ok_or(NoGrid::StrangeMetre)?,
        };
        Ok(GridPoint { beat, tempo, metre })
    }

    /// Whether the host records what is played now: not during a pre-roll, whatever it reports.
    pub fn records(&self) -> bool {
        self.recording && !self.preroll
    }

    /// The loop, if it is valid: both ends finite, the second after the first.
    pub fn sound_cycle(&self) -> Option<(Beat, Beat)> {
        self.cycle
            .filter(|(start, end)| start.is_finite() && end.is_finite() && start < end)
            .map(|(start, end)| (Beat(start), Beat(end)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_is_no_grid() {
        let good = TransportPoint {
            beat: Some(-2.0),
            tempo: Some(120.0),
            metre: Some((6, 8)),
            ..Default::default()
        };
        assert_eq!(good.grid().unwrap().beat, Beat(-2.0));
        assert_eq!(TransportPoint { metre: None, ..good }.grid().unwrap().metre, Metre::COMMON);
        for beat in [None, Some(f64::NAN), Some(f64::INFINITY), Some(1e300)] {
            assert_eq!(TransportPoint { beat, ..good }.grid(), Err(NoGrid::NoTransport));
        }
        for tempo in [None, Some(0.0), Some(-1.0), Some(f64::NAN)] {
            assert_eq!(TransportPoint { tempo, ..good }.grid(), Err(NoGrid::NoTransport));
        }
        let strange = TransportPoint { metre: Some((4, 0)), ..good };
        assert_eq!(strange.grid(), Err(NoGrid::StrangeMetre));
        let backward = TransportPoint { cycle: Some((4.0, 4.0)), ..good };
        assert_eq!(backward.sound_cycle(), None);
    }
}
