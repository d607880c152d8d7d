//! The song clock: follows the transport and distinguishes continuous playback from jumps and loops.
//!
//! Between two points the song continues at the last tempo. A host gives one position and tempo per
//! block, even if the tempo changes inside it. The next point shows where the change must have been, so
//! that beats are the same for any block size.

use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::tempo_map::Knot;
use crate::time::transport::{GridPoint, NoGrid, TransportPoint};
use crate::time::{Beat, BeatSpan, Second, SecondSpan, Tempo};

/// A position this close to the expected one is continuous playback: a tempo ramp inside a block
/// deviates by less, a locate moves further.
const LARGEST_BEND: BeatSpan = BeatSpan(0.06);

/// What happened up to a transport point.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    NoGrid(NoGrid),
    Stopped,
    Started(GridPoint),
    RolledOn {
        grid: GridPoint,
        /// Knots to add to the tempo map; the first may lie in the block before.
        knots: Vec<Knot>,
        /// Song position at the previous point.
        previous: Beat,
        /// Song position at the block before, while the previous point still held.
        before: Beat,
    },
    Jumped {
        /// The expected position.
        from: Beat,
        to: GridPoint,
    },
    Wrapped {
        at: Second,
        start: Beat,
        to: GridPoint,
    },
}

/// Follows the transport of a host or file.
#[derive(Debug, Clone, Default)]
pub struct SongClock {
    last: Option<Last>,
}

#[derive(Debug, Clone, Copy)]
struct Last {
    at: Second,
    grid: GridPoint,
    cycle: Option<(Beat, Beat)>,
}

impl SongClock {
    /// Adds the next point, in order of time.
    pub fn observe(&mut self, point: &TransportPoint) -> Step {
        let grid = match point.grid() {
            Ok(grid) => grid,
            Err(missing) => {
                self.last = None;
                return Step::NoGrid(missing);
            }
        };
        if !point.rolling {
            self.last = None;
            return Step::Stopped;
        }
        let Some(last) = self.last else {
            self.last = Some(Last::new(point, grid));
            return Step::Started(grid);
        };
        if grid == last.grid && point.at > last.at {
            // The position stands still. `last` is kept, so that the time adds up over short blocks.
            let expected = last.beat_at(point.at) - last.grid.beat;
            return if expected.0 > POSITION_TOLERANCE.0 {
                Step::NoGrid(NoGrid::Frozen)
            } else {
                let (previous, before) = (grid.beat, grid.beat);
                Step::RolledOn { grid, knots: Vec::new(), previous, before }
            };
        }
        // Jitter larger than a short block must not make beats run backwards. A slow drift backwards
        // still shows, because the song position stands still meanwhile.
        let beat = last.jittered_back(point, grid).unwrap_or(grid.beat);
        let grid = GridPoint { beat, ..grid };
        self.last = Some(Last::new(point, grid));
        last.step(point, grid)
    }

    /// The last point while the transport plays.
    pub fn rolling(&self) -> Option<(Second, GridPoint)> {
        self.last.map(|last| (last.at, last.grid))
    }
}

impl Last {
    fn new(point: &TransportPoint, grid: GridPoint) -> Self {
        Self { at: point.at, grid, cycle: point.sound_cycle() }
    }

    /// The song position at the block before, if `to` is behind it by no more than rounding.
    fn jittered_back(&self, point: &TransportPoint, to: GridPoint) -> Option<Beat> {
        let before = self.beat_at(self.block_before(point));
        let back = (before - to.beat).0;
        (back > 0.0 && back <= POSITION_TOLERANCE.0).then_some(before)
    }

    fn block_before(&self, point: &TransportPoint) -> Second {
        point.block_before.map_or(self.at, |b| b.later(self.at).earlier(point.at))
    }

    fn step(&self, point: &TransportPoint, to: GridPoint) -> Step {
        let block = self.block_before(point);
        let before = self.beat_at(block);
        let expected = self.beat_at(point.at);
        let length = point.at - block;
        let error = to.beat - expected;
        let here = Knot { second: point.at, beat: to.beat, tempo: to.tempo };
        let on = |knots| Step::RolledOn { grid: to, knots, previous: self.grid.beat, before };

        if error.0.abs() < 1e-6 {
            return on(vec![here]);
        }
        if let Some(change) = self.change_inside(block, length, before, to) {
            return on(vec![change]);
        }
        if let Some(at) = self.wrapped(point, expected, to) {
            let start = self.cycle.map_or(to.beat, |(start, _)| start);
            return Step::Wrapped { at, start, to };
        }
        if error.0.abs() < LARGEST_BEND.0 && to.beat >= before {
            let moved = (to.beat - before).0;
            let bent = Tempo::new(moved * 60.0 / length.0);
            let bent = bent.map(|tempo| Knot { second: block, beat: before, tempo });
            return on(bent.into_iter().chain([here]).collect());
        }
        Step::Jumped { from: expected, to }
    }

    fn beat_at(&self, second: Second) -> Beat {
        self.grid.beat + self.grid.tempo.beats(second - self.at)
    }

    /// The tempo change inside the last block that explains the new position exactly.
    fn change_inside(
        &self,
        block: Second,
        length: SecondSpan,
        before: Beat,
        to: GridPoint,
    ) -> Option<Knot> {
        let old = self.grid.tempo.beats(SecondSpan(1.0)).0;
        let new = to.tempo.beats(SecondSpan(1.0)).0;
        if (old - new).abs() < 1e-9 {
            return None;
        }
        let moved = (to.beat - before).0;
        let at_old = (moved - length.0 * new) / (old - new);
        // Tolerates rounding by a few samples at both ends of the block.
        let slack = 1e-4;
        if !(-slack..=length.0 + slack).contains(&at_old) {
            return None;
        }
        let at_old = at_old.clamp(0.0, length.0);
        Some(Knot {
            second: block + SecondSpan(at_old),
            // The slack must not make beats run backwards.
            beat: (to.beat - BeatSpan((length.0 - at_old) * new)).later(before),
            tempo: to.tempo,
        })
    }

    /// When the loop's end was reached, if looping explains the new position.
    fn wrapped(&self, point: &TransportPoint, expected: Beat, to: GridPoint) -> Option<Second> {
        let (start, end) = self.cycle.or(point.sound_cycle())?;
        let over = (expected - end).0;
        let back = (to.beat - start).0;
        let near = POSITION_TOLERANCE.0;
        let meets = over > -near && back > -near && (over - back).abs() < LARGEST_BEND.0;
        meets.then(|| self.at + self.grid.tempo.seconds(end - self.grid.beat))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(at: f64, beat: f64, tempo: f64) -> TransportPoint {
        TransportPoint {
            at: Second(at),
            beat: Some(beat),
            tempo: Some(tempo),
            rolling: true,
            ..Default::default()
        }
    }

    fn second_step(first: TransportPoint, second: TransportPoint) -> Step {
        let mut clock = SongClock::default();
        assert!(matches!(clock.observe(&first), Step::Started(_)));
        clock.observe(&second)
    }

    #[test]
    fn a_tempo_change_inside_a_block_is_found_where_it_was() {
        // 120 to 0.6 s (beat 1.2), then 60: at 1.0 s the song is at beat 1.6.
        let step = second_step(
            point(0.0, 0.0, 120.0),
            TransportPoint { block_before: Some(Second(0.5)), ..point(1.0, 1.6, 60.0) },
        );
        let Step::RolledOn { knots, before, .. } = step else { panic!("{step:?}") };
        assert_eq!(before, Beat(1.0));
        assert_eq!(knots.len(), 1);
        assert!((knots[0].second.0 - 0.6).abs() < 1e-9 && (knots[0].beat.0 - 1.2).abs() < 1e-9);
    }

    #[test]
    fn jitter_bends_the_line_and_a_locate_breaks_it() {
        let on = second_step(point(0.0, 0.0, 120.0), point(1.0, 2.0002, 120.0));
        assert!(matches!(on, Step::RolledOn { .. }), "{on:?}");
        let jump = second_step(point(0.0, 0.0, 120.0), point(1.0, 9.0, 120.0));
        assert!(matches!(jump, Step::Jumped { from: Beat(2.0), .. }), "{jump:?}");
        let back = second_step(point(0.0, 8.0, 120.0), point(1.0, 4.0, 120.0));
        assert!(matches!(back, Step::Jumped { .. }), "{back:?}");
    }

    #[test]
    fn a_loop_that_goes_round_is_told_from_a_locate() {
        let cycle = Some((4.0, 8.0));
        let first = TransportPoint { cycle, ..point(0.0, 7.0, 120.0) };
        let step = second_step(first, TransportPoint { cycle, ..point(0.75, 4.5, 120.0) });
        let Step::Wrapped { at, start, .. } = step else { panic!("{step:?}") };
        assert_eq!((at, start), (Second(0.5), Beat(4.0)));
        let step = second_step(first, TransportPoint { cycle, ..point(0.25, 4.0, 120.0) });
        assert!(matches!(step, Step::Jumped { .. }), "{step:?}");
    }

    #[test]
    fn beats_of_a_pass_never_run_backwards() {
        // Jitter of two ten-thousandths in blocks of a tenth of that: not a step back.
        let mut clock = SongClock::default();
        clock.observe(&point(0.0, 4.0002, 120.0));
        let Step::RolledOn { grid, knots, .. } = clock.observe(&point(1e-5, 4.0, 90.0)) else {
            panic!("it rolls on")
        };
        assert!(knots.iter().all(|knot| knot.beat >= Beat(4.0002)));
        // The rest of the point is used.
        assert_eq!((grid.beat, grid.tempo), (Beat(4.0002), Tempo::new(90.0).unwrap()));
        // As small a step with every block is one, before long.
        let back = (2..100).any(|block| {
            let beat = 4.0 - f64::from(block) * 0.0002;
            let step = clock.observe(&point(f64::from(block) * 1e-5, beat, 120.0));
            matches!(step, Step::Jumped { .. })
        });
        assert!(back);
        let step = second_step(point(0.0, 4.0, 120.0), point(0.01, 3.98, 120.0));
        assert!(matches!(step, Step::Jumped { .. }), "{step:?}");
    }

    #[test]
    fn a_position_that_stands_still_is_no_grid() {
        let step = second_step(point(0.0, 4.0, 120.0), point(0.5, 4.0, 120.0));
        assert_eq!(step, Step::NoGrid(NoGrid::Frozen));

        // Also in blocks so short that a single one would not show it.
        let mut clock = SongClock::default();
        let mut seen = Vec::new();
        for block in 0..100 {
            seen.push(clock.observe(&point(f64::from(block) * 1e-4, 4.0, 120.0)));
        }
        assert_eq!(seen.last(), Some(&Step::NoGrid(NoGrid::Frozen)));
    }

    #[test]
    fn stopping_and_starting() {
        let mut clock = SongClock::default();
        assert_eq!(clock.observe(&TransportPoint::default()), Step::NoGrid(NoGrid::NoTransport));
        let still = TransportPoint { rolling: false, ..point(0.1, 0.0, 120.0) };
        assert_eq!(clock.observe(&still), Step::Stopped);
        assert!(matches!(clock.observe(&point(0.2, -1.0, 120.0)), Step::Started(_)));
    }
}
