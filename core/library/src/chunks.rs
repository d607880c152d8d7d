//! A take that is being recorded, as chunks in the library. A chunk holds a fixed number of notes or
//! tempo knots, bit for bit, so that only chunks that changed are written again.

use crate::packed::{PackError, put_metres, read_metres, read_own_grid, read_pieces};
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::own_grid::OwnGrid;
use overbar_core::take::performance::Performance;
use overbar_core::take::piece::Piece;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, Tempo};

/// Notes or knots per chunk: at most 5 kB, rewritten when one of them changes.
pub const CHUNK_LENGTH: usize = 128;

/// What a chunk holds. The numbers are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChunkKind {
    /// Notes of the soloist.
    Heard = 0,
    /// Notes of the other players.
    Outside = 1,
    /// Knots of the tempo map.
    Knots = 2,
    /// The metres.
    Metres = 3,
    /// Counts of oddities in the soloist's notes, as JSON.
    HeardOddities = 4,
    /// Counts of oddities in the other players' notes, as JSON.
    OutsideOddities = 5,
    /// The take's own beat grid.
    OwnGrid = 6,
    /// The sources of the beats of a comp, by stretch.
    Pieces = 7,
}

impl ChunkKind {
    const ALL: [Self; 8] = [
        Self::Heard,
        Self::Outside,
        Self::Knots,
        Self::Metres,
        Self::HeardOddities,
        Self::OutsideOddities,
        Self::OwnGrid,
        Self::Pieces,
    ];

    /// Its number in the file.
    pub fn number(self) -> i64 {
        self as i64
    }
}

/// A chunk of a take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chunk {
    /// What it holds.
    pub kind: ChunkKind,
    /// Its number among chunks of its kind, from 0.
    pub number: usize,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Encodes notes: second and beat of the attack, second and beat of the end or NaN, in eight bytes
/// each; velocity in four; key and channel in one.
pub fn encode_notes(notes: &[Note]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(notes.len() * NOTE);
    for note in notes {
        let off = note.off.unwrap_or(Moment { beat: Beat(f64::NAN), second: Second(f64::NAN) });
        for number in [note.on.second.0, note.on.beat.0, off.second.0, off.beat.0] {
            bytes.extend(number.to_le_bytes());
        }
        bytes.extend(note.velocity.to_le_bytes());
        bytes.extend([note.key, note.channel]);
    }
    bytes
}

/// Encodes tempo knots: second, beat, tempo in BPM (quarter notes).
pub fn encode_knots(knots: &[Knot]) -> Vec<u8> {
    let numbers = |k: &Knot| [k.second.0, k.beat.0, k.tempo.quarters_a_minute()];
    knots.iter().flat_map(numbers).flat_map(f64::to_le_bytes).collect()
}

/// Encodes the metres of a take.
pub fn encode_metres(take: &Performance) -> Vec<u8> {
    let mut bytes = Vec::new();
    put_metres(&mut bytes, &take.metres);
    bytes
}

const NOTE: usize = 4 * 8 + 4 + 2;

/// Assembles a take from its chunks.
#[derive(Debug, Default)]
pub struct ChunkReader {
    heard: Vec<Note>,
    outside: Vec<Note>,
    knots: Vec<Knot>,
    metres: Option<Vec<u8>>,
    heard_oddities: Oddities,
    outside_oddities: Oddities,
    own_grid: Option<Box<OwnGrid>>,
    pieces: Vec<Piece>,
}

impl ChunkReader {
    /// Adds a chunk. Chunks of one kind must come in order.
    pub fn add(&mut self, kind: i64, bytes: &[u8]) -> Result<(), PackError> {
        let kind = ChunkKind::ALL.into_iter().find(|k| k.number() == kind);
        match kind.ok_or(PackError::Damaged("unknown data"))? {
            ChunkKind::Heard => decode_notes(bytes, &mut self.heard)?,
            ChunkKind::Outside => decode_notes(bytes, &mut self.outside)?,
            ChunkKind::Knots => decode_knots(bytes, &mut self.knots)?,
            ChunkKind::Metres => self.metres = Some(bytes.to_vec()),
            ChunkKind::HeardOddities => self.heard_oddities = decode_oddities(bytes)?,
            ChunkKind::OutsideOddities => self.outside_oddities = decode_oddities(bytes)?,
            // Empty once the host's grid has returned.
            ChunkKind::OwnGrid if bytes.is_empty() => self.own_grid = None,
            ChunkKind::OwnGrid => self.own_grid = Some(Box::new(read_own_grid(bytes)?)),
            ChunkKind::Pieces if bytes.is_empty() => self.pieces.clear(),
            ChunkKind::Pieces => self.pieces = read_pieces(bytes)?,
        }
        Ok(())
    }

    /// The take.
    pub fn finish(self) -> Result<Performance, PackError> {
        let mut take = match self.metres {
            Some(bytes) => Performance::new(read_metres(&bytes)?),
            None => Performance::default(),
        };
        // Pushed one by one as while recording, so the same knots are accepted.
        for knot in self.knots {
            take.tempo.push(knot);
        }
        take.soloist = NoteLine::of(self.heard, self.heard_oddities);
        take.ignored = NoteLine::of(self.outside, self.outside_oddities);
        take.own_grid = self.own_grid;
        take.pieces = self.pieces;
        Ok(take)
    }
}

fn decode_oddities(bytes: &[u8]) -> Result<Oddities, PackError> {
    serde_json::from_slice(bytes)
        .map_err(|_| PackError::Damaged("unreadable counts of MIDI glitches"))
}

fn decode_notes(bytes: &[u8], notes: &mut Vec<Note>) -> Result<(), PackError> {
    const INVALID: PackError = PackError::Damaged("invalid note");
    let (rows, rest) = bytes.as_chunks::<NOTE>();
    if !rest.is_empty() {
        return Err(INVALID);
    }
    if notes.capacity() - notes.len() < rows.len() {
        // Grows by 25 % to bound slack.
        notes.reserve_exact(rows.len().max(notes.len() / 4));
    }
    for row in rows {
        let (numbers, row) = row.split_first_chunk::<32>().ok_or(INVALID)?;
        let (numbers, _) = numbers.as_chunks::<8>();
        let [second, beat, off_second, off_beat] = numbers else { return Err(INVALID) };
        let moment = |second: &[u8; 8], beat: &[u8; 8]| Moment {
            second: Second(f64::from_le_bytes(*second)),
            beat: Beat(f64::from_le_bytes(*beat)),
        };
        let finite = |m: &Moment| m.second.0.is_finite() && m.beat.0.is_finite();
        let (velocity, row) = row.split_first_chunk::<4>().ok_or(INVALID)?;
        let [key, channel] = *row else { return Err(INVALID) };
        let note = Note {
            on: moment(second, beat),
            off: Some(moment(off_second, off_beat)).filter(finite),
            key,
            channel,
            velocity: f32::from_le_bytes(*velocity),
        };
        let valid = (0.0..=1.0).contains(&note.velocity) && key < 128 && channel < 16;
        if !(finite(&note.on) && valid) {
            return Err(INVALID);
        }
        notes.push(note);
    }
    Ok(())
}

fn decode_knots(bytes: &[u8], knots: &mut Vec<Knot>) -> Result<(), PackError> {
    const INVALID: PackError = PackError::Damaged("invalid tempo");
    let (numbers, rest) = bytes.as_chunks::<8>();
    if !rest.is_empty() {
        return Err(INVALID);
    }
    for row in numbers.chunks(3) {
        let [second, beat, tempo] = row else { return Err(INVALID) };
        let [second, beat, tempo] = [second, beat, tempo].map(|n| f64::from_le_bytes(*n));
        let tempo = Tempo::new(tempo).filter(|_| second.is_finite() && beat.is_finite());
        let knot = Knot { second: Second(second), beat: Beat(beat), tempo: tempo.ok_or(INVALID)? };
        knots.push(knot);
    }
    Ok(())
}
