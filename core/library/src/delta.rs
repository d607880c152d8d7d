//! The changes of a take since it was last written.

use crate::chunks::{CHUNK_LENGTH, Chunk, ChunkKind, encode_knots, encode_metres, encode_notes};
use crate::packed::{encode_own_grid, encode_pieces};
use crate::summary::Summary;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::performance::Performance;
use overbar_core::time::tempo_map::Knot;

/// The changes of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct Delta {
    /// New and changed chunks.
    pub chunks: Vec<Chunk>,
    /// The number of chunks that the take now has, by kind.
    pub counts: [(ChunkKind, usize); 3],
    /// The take's current summary for lists.
    pub summary: Summary,
}

/// A fingerprint of each chunk of a take. A last position would not do: notes end, and beats are
/// corrected, long after they arrived.
#[derive(Debug, Clone, Default)]
pub struct DeltaTracker {
    heard: Vec<u64>,
    outside: Vec<u64>,
    knots: Vec<u64>,
    metres: u64,
    /// Fingerprints of the take's own beat grid and of a comp's stretches.
    grids: [u64; 2],
    oddities: [u64; 2],
}

impl DeltaTracker {
    /// The changes of `take` since the last call; `None` without any. About 10 ns a note.
    pub fn next(&mut self, take: &Performance) -> Option<Delta> {
        let mut chunks = Vec::new();
        let mut notes = |kind, line: &NoteLine, known: &mut Vec<u64>| {
            changed(kind, line.notes(), known, of_note, encode_notes, &mut chunks)
        };
        let heard = notes(ChunkKind::Heard, &take.soloist, &mut self.heard);
        let outside = notes(ChunkKind::Outside, &take.ignored, &mut self.outside);
        let (all, known) = (take.tempo.knots(), &mut self.knots);
        let knots = changed(ChunkKind::Knots, all, known, of_knot, encode_knots, &mut chunks);
        let counts = [heard, outside, knots];
        let metres = encode_metres(take);
        let print = metres.iter().fold(SEED, |print, byte| mixed(print, u64::from(*byte)));
        if core::mem::replace(&mut self.metres, print) != print {
            chunks.push(Chunk { kind: ChunkKind::Metres, number: 0, bytes: metres });
        }
        let grids = [encode_own_grid(take), encode_pieces(take)];
        let kinds = [ChunkKind::OwnGrid, ChunkKind::Pieces];
        for ((kind, bytes), known) in kinds.into_iter().zip(grids).zip(&mut self.grids) {
            // No bytes give 0, so that no chunk is written for them.
            let print = bytes.iter().fold(0, |print, byte| mixed(print, u64::from(*byte) + 1));
            if core::mem::replace(known, print) != print {
                chunks.push(Chunk { kind, number: 0, bytes });
            }
        }
        let kinds = [ChunkKind::HeardOddities, ChunkKind::OutsideOddities];
        let lines = [take.soloist.oddities(), take.ignored.oddities()];
        for ((kind, oddities), known) in kinds.into_iter().zip(lines).zip(&mut self.oddities) {
            let print = of_oddities(oddities);
            if core::mem::replace(known, print) != print {
                let bytes = serde_json::to_vec(oddities).unwrap_or_default();
                chunks.push(Chunk { kind, number: 0, bytes });
            }
        }
        let is_new = !chunks.is_empty();
        is_new.then(|| Delta { chunks, counts, summary: Summary::of(take) })
    }
}

/// Adds each chunk whose fingerprint changed; how many chunks of this kind there are.
fn changed<T>(
    kind: ChunkKind,
    all: &[T],
    known: &mut Vec<u64>,
    fingerprint: fn(u64, &T) -> u64,
    encode: fn(&[T]) -> Vec<u8>,
    chunks: &mut Vec<Chunk>,
) -> (ChunkKind, usize) {
    let count = all.len().div_ceil(CHUNK_LENGTH);
    known.resize(count, 0);
    for (number, (part, known)) in all.chunks(CHUNK_LENGTH).zip(known).enumerate() {
        let print = part.iter().fold(SEED, fingerprint);
        if core::mem::replace(known, print) != print {
            chunks.push(Chunk { kind, number, bytes: encode(part) });
        }
    }
    (kind, count)
}

const SEED: u64 = 0x9e37_79b9_7f4a_7c15;

/// Mixes a number into a fingerprint, as FxHash does with its 64-bit constant.
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
    let print = counts.iter().fold(SEED, |print, count| mixed(print, *count));
    // 0 like an untracked take, so that no chunk is written where there are none.
    if oddities.total() == 0 { 0 } else { print }
}
