//! What is new of a take since it was last looked at.

use crate::chunks::{Kind, Piece, RUN, of_knots, of_metres, of_notes};
use crate::summary::Summary;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::performance::Performance;
use overbar_core::time::tempo_map::Knot;

/// What is new of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// Pieces that are new or have changed.
    pub pieces: Vec<Piece>,
    /// How many pieces of these kinds there are in all.
    pub runs: [(Kind, usize); 3],
    /// What a list shows now.
    pub summary: Summary,
}

/// What was seen of a take: a fingerprint of each of its pieces. A fingerprint rather than a
/// place to go on from, because notes end, and beats are corrected, long after they came.
#[derive(Debug, Clone, Default)]
pub struct Seen {
    heard: Vec<u64>,
    outside: Vec<u64>,
    knots: Vec<u64>,
    metres: u64,
    oddities: [u64; 2],
}

impl Seen {
    /// What is new of `take` since the last look; `None` where nothing is.
    ///
    /// Looks at every note: about 10 ns each.
    pub fn look(&mut self, take: &Performance) -> Option<Growth> {
        let mut pieces = Vec::new();
        let runs = [
            (Kind::Heard, notes(Kind::Heard, &take.heard, &mut self.heard, &mut pieces)),
            (Kind::Outside, notes(Kind::Outside, &take.outside, &mut self.outside, &mut pieces)),
            (Kind::Knots, knots(take.tempo.knots(), &mut self.knots, &mut pieces)),
        ];
        let metres = of_metres(take);
        let print = metres.iter().fold(START, |print, byte| mixed(print, u64::from(*byte)));
        if core::mem::replace(&mut self.metres, print) != print {
            pieces.push(Piece { kind: Kind::Metres, number: 0, bytes: metres });
        }
        let kinds = [Kind::HeardOddities, Kind::OutsideOddities];
        let lines = [take.heard.oddities(), take.outside.oddities()];
        for ((kind, oddities), seen) in kinds.into_iter().zip(lines).zip(&mut self.oddities) {
            let print = of_oddities(oddities);
            if core::mem::replace(seen, print) != print {
                let bytes = serde_json::to_vec(oddities).unwrap_or_default();
                pieces.push(Piece { kind, number: 0, bytes });
            }
        }
        let new = !pieces.is_empty();
        new.then(|| Growth { pieces, runs, summary: Summary::of(take) })
    }
}

fn notes(kind: Kind, line: &NoteLine, seen: &mut Vec<u64>, pieces: &mut Vec<Piece>) -> usize {
    let print = |run: &[Note]| run.iter().fold(START, of_note);
    changed(line.notes(), seen, print, |number, run| {
        pieces.push(Piece { kind, number, bytes: of_notes(run) });
    })
}

fn knots(all: &[Knot], seen: &mut Vec<u64>, pieces: &mut Vec<Piece>) -> usize {
    let print = |run: &[Knot]| run.iter().fold(START, of_knot);
    changed(all, seen, print, |number, run| {
        pieces.push(Piece { kind: Kind::Knots, number, bytes: of_knots(run) });
    })
}

/// Calls `tell` with each run whose fingerprint is not the one seen; how many runs there are.
fn changed<T>(
    all: &[T],
    seen: &mut Vec<u64>,
    print: impl Fn(&[T]) -> u64,
    mut tell: impl FnMut(usize, &[T]),
) -> usize {
    let runs = all.len().div_ceil(RUN);
    seen.resize(runs, 0);
    for (number, (run, seen)) in all.chunks(RUN).zip(seen).enumerate() {
        let print = print(run);
        if core::mem::replace(seen, print) != print {
            tell(number, run);
        }
    }
    runs
}

const START: u64 = 0x9e37_79b9_7f4a_7c15;

/// One more number in a fingerprint: multiplied by an odd constant and turned, so that every
/// bit of it moves others (as FxHash does, with its constant of 64 bits).
fn mixed(print: u64, number: u64) -> u64 {
    (print.rotate_left(5) ^ number).wrapping_mul(0x517c_c1b7_2722_0a95)
}

fn of_note(print: u64, note: &Note) -> u64 {
    let print = mixed(print, note.on.second.0.to_bits());
    let print = mixed(print, note.on.beat.0.to_bits());
    let off = note.off.map_or((1, 2), |off| (off.second.0.to_bits(), off.beat.0.to_bits()));
    let print = mixed(mixed(print, off.0), off.1);
    let rest = u64::from(note.velocity.to_bits()) << 16;
    mixed(print, rest | u64::from(note.key) << 8 | u64::from(note.channel))
}

fn of_knot(print: u64, knot: &Knot) -> u64 {
    let numbers = [knot.second.0, knot.beat.0, knot.tempo.quarters_a_minute()];
    numbers.iter().fold(print, |print, number| mixed(print, number.to_bits()))
}

fn of_oddities(oddities: &Oddities) -> u64 {
    let counts = oddities.named().map(|(_, count)| u64::from(count));
    let print = counts.iter().fold(START, |print, count| mixed(print, *count));
    // None at all is what is known of a take that was never looked at.
    if oddities.total() == 0 { 0 } else { print }
}
