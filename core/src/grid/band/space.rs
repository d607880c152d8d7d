//! Places in the bar at each tempo: the state space of Krebs, Böck and Widmer (2015).
//!
//! At a tempo of so many frames a beat, a bar has that many cells a beat. From frame to frame all move on by a
//! cell; the tempo changes from beat to beat alone.

use super::{real, single};

/// The tempo stays within this share of the count-in's. Origin: a study of recorded solos.
const WITHIN: f64 = 0.15;

/// How unlikely a change of tempo is from one beat to the next, by its share: while the band is heard,
/// and while it is not. Origin: fitted to rendered bands.
const CHANGE_HEARD: f32 = 100.0;
const CHANGE_QUIET: f32 = 300.0;

/// A cell: where in the bar it is, and what is heard there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// In beats, from 0 at beat one.
    pub beat: f32,
    /// Of the evidence.
    pub place: usize,
}

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Space {
    /// Beats in a bar.
    pub beats: usize,
    /// Places in a beat.
    pub in_beat: usize,
    /// Frames a beat at each tempo.
    pub periods: Vec<usize>,
    /// The cells of each tempo, one tempo after the other.
    pub cells: Vec<Cell>,
    /// Their places alone, which are gone through in every frame.
    pub places: Vec<u16>,
    /// How likely each tempo follows on each, row by row, as logarithms: while the band is heard.
    pub heard: Vec<f32>,
    /// And while it is not.
    pub quiet: Vec<f32>,
}

impl Space {
    /// Around a beat of so many frames, with `in_beat` places in each.
    pub(super) fn new(beats: usize, frames: f64, in_beat: usize) -> Self {
        let low = super::whole((frames * (1.0 - WITHIN)).ceil()).max(2);
        let high = super::whole((frames * (1.0 + WITHIN)).floor()).max(low);
        let periods: Vec<usize> = (low..=high).collect();
        let cell = |beat: usize, frame: usize, period: usize| Cell {
            beat: real(beat) + real(frame) / real(period),
            place: beat * in_beat + frame * in_beat / period,
        };
        let bar = |period: usize| {
            (0..beats).flat_map(move |beat| (0..period).map(move |frame| cell(beat, frame, period)))
        };
        let cells: Vec<Cell> = periods.iter().flat_map(|period| bar(*period)).collect();
        let place = |cell: &Cell| u16::try_from(cell.place).unwrap_or(0);
        Self {
            beats,
            in_beat,
            places: cells.iter().map(place).collect(),
            cells,
            heard: changes(&periods, CHANGE_HEARD),
            quiet: changes(&periods, CHANGE_QUIET),
            periods,
        }
    }

    /// How many tempos there are.
    pub(super) fn tempos(&self) -> usize {
        self.periods.len()
    }

    /// How far a cell is from a beat of the bar, in beats; from any beat if none is told.
    pub(super) fn away(&self, cell: &Cell, beat: Option<usize>) -> f32 {
        let around = if beat.is_some() { real(self.beats) } else { 1.0 };
        let away = (cell.beat - beat.map_or(0.0, real)).rem_euclid(around);
        away.min(around - away)
    }
}

/// Rows: from each tempo to all.
fn changes(periods: &[usize], unlikely: f32) -> Vec<f32> {
    let row = |from: &usize| {
        let to = periods.iter().map(|to| -unlikely * (real(*to) / real(*from) - 1.0).abs());
        let row: Vec<f32> = to.collect();
        let sum: f64 = row.iter().map(|log| f64::from(*log).exp()).sum();
        row.into_iter().map(move |log| log - single(sum.ln())).collect::<Vec<_>>()
    };
    periods.iter().flat_map(row).collect()
}
