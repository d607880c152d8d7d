//! A take in few bytes, for a host's project and the library: about six to ten bytes per note.
//!
//! # The format
//! Four bytes `OVBT`, one of version, three zeros; CRC-32 (ISO-HDLC) and length of the body, four bytes
//! each, little-endian; the body, deflated (RFC 1951). The body has tempo, metres, the soloist's notes
//! and the others', column by column. Version 2, used only for takes on their own beat grid, adds the
//! host's tempo and metres, and the anchors as JSON. Version 3, used only for comps whose takes are not all on the
//! host's beats, adds a byte that says whether the comp has its own beat grid, that grid as in version 2 if so, and the
//! comp's stretches as JSON.
//!
//! # Precision
//! Keys, channels, velocities, counts of MIDI glitches, metres and the order of notes are exact. Seconds
//! on the sample clock's grid and beats on the tempo map are exact to the bit: every note of a host whose
//! position follows its tempo. Other seconds and beats move by up to half a [`GRAIN`], 2^−21 second or
//! quarter note. A packed take should therefore be kept, not packed again.

mod line;
mod number;
mod own_grid;
mod pieces;
mod tempo;
mod varint;

pub use number::GRAIN;
pub(crate) use own_grid::{encode_own_grid, read_own_grid};
pub(crate) use pieces::{encode_pieces, read_pieces};
pub(crate) use tempo::put_metres;

use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use overbar_core::take::performance::Performance;
use overbar_core::time::metre_map::MetreMap;
use std::io::{Read, Write};
use varint::{Reader, put_run};

/// Version of the format. Raised by a change that an older Overbar cannot read.
pub const VERSION: u8 = 3;

/// The version for takes on the host's grid, so that an older Overbar can read them.
const WITHOUT_OWN_GRID: u8 = 1;

/// The version for takes on their own beat grid.
const WITHOUT_PIECES: u8 = 2;

/// Most notes, or knots, to unpack: three days of playing at 8 notes per second. A note takes 48
/// bytes of memory.
pub const MAX_NOTES: usize = 2_000_000;

/// Most bytes to inflate: 16 per note.
const MAX_INFLATED: u32 = 32 << 20;

/// Deflate level, of 9: output is a tenth larger at 1, and a twentieth smaller at 6 in four times the time.
const LEVEL: u32 = 2;

const MARK: [u8; 4] = *b"OVBT";

/// Why a packed take or project can't be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PackError {
    /// The bytes are not a packed take.
    #[error("not an Overbar take")]
    NotATake,
    /// The bytes are not a packed project.
    #[error("not an Overbar project")]
    NotAProject,
    /// A newer Overbar wrote it.
    #[error("saved by a newer version of Overbar (form {version})")]
    Newer {
        /// The version of its format.
        version: u8,
    },
    /// It is damaged; the first problem.
    #[error("damaged: {0}")]
    Damaged(&'static str),
    /// It claims to be larger than any take.
    #[error("larger than any take can be")]
    TooLarge,
}

/// Packs a take. See the module for its precision.
pub fn pack(take: &Performance) -> Vec<u8> {
    let mut body = Vec::new();
    let notes = take.soloist.notes().len() + take.ignored.notes().len();
    let knots = tempo::put_tempo(&mut body, &take.tempo, notes);
    tempo::put_metres(&mut body, &take.metres);
    let guide = tempo::Guide(&knots);
    line::put_line(&mut body, &take.soloist, guide);
    line::put_line(&mut body, &take.ignored, guide);
    let pieces = encode_pieces(take);
    let version = match (pieces.is_empty(), &take.own_grid) {
        (true, None) => WITHOUT_OWN_GRID,
        (true, Some(_)) => WITHOUT_PIECES,
        (false, own_grid) => {
            body.push(own_grid.is_some().into());
            VERSION
        }
    };
    body.extend(encode_own_grid(take));
    if version > WITHOUT_PIECES {
        put_run(&mut body, &pieces);
    }
    let mut packed = MARK.to_vec();
    packed.extend([version, 0, 0, 0]);
    packed.extend(crc32fast::hash(&body).to_le_bytes());
    packed.extend(u32::try_from(body.len()).unwrap_or(u32::MAX).to_le_bytes());
    let mut encoder = DeflateEncoder::new(packed, Compression::new(LEVEL));
    // Writing to memory does not fail.
    if encoder.write_all(&body).is_err() {
        return Vec::new();
    }
    encoder.finish().unwrap_or_default()
}

/// The inverse of [`put_metres`].
pub(crate) fn read_metres(bytes: &[u8]) -> Result<MetreMap, PackError> {
    let mut reader = Reader(bytes);
    let metres = tempo::metres(&mut reader)?;
    reader.finish()?;
    Ok(metres)
}

/// Unpacks a take, with at most 32 MiB of memory besides its notes.
///
/// # Errors
/// [`PackError`] if the bytes are invalid.
pub fn unpack(packed: &[u8]) -> Result<Performance, PackError> {
    let mut reader = Reader(packed);
    if reader.array() != Ok(MARK) {
        return Err(PackError::NotATake);
    }
    let [version, ..] = reader.array::<4>()?;
    if version > VERSION {
        return Err(PackError::Newer { version });
    }
    let checksum = u32::from_le_bytes(reader.array()?);
    let length = u32::from_le_bytes(reader.array()?);
    if length > MAX_INFLATED {
        return Err(PackError::TooLarge);
    }
    let mut body = Vec::new();
    let inflated = DeflateDecoder::new(reader.0).take(u64::from(length) + 1).read_to_end(&mut body);
    if inflated.is_err() || body.len() as u64 != u64::from(length) {
        return Err(PackError::Damaged("wrong length"));
    }
    if crc32fast::hash(&body) != checksum {
        return Err(PackError::Damaged("wrong checksum"));
    }
    let mut reader = Reader(&body);
    let tempo = tempo::tempo(&mut reader)?;
    let mut take = Performance::new(tempo::metres(&mut reader)?);
    let guide = tempo::Guide(tempo.knots());
    take.soloist = line::line(&mut reader, guide)?;
    take.ignored = line::line(&mut reader, guide)?;
    take.tempo = tempo;
    let has_own_grid = match version {
        ..=WITHOUT_OWN_GRID => false,
        WITHOUT_PIECES => true,
        _ => match reader.array()? {
            [0] => false,
            [1] => true,
            _ => return Err(PackError::Damaged("wrong mark of a beat grid")),
        },
    };
    if has_own_grid {
        take.own_grid = Some(Box::new(own_grid::own_grid(&mut reader)?));
    }
    if version > WITHOUT_PIECES {
        take.pieces = read_pieces(reader.run()?)?;
    }
    reader.finish()?;
    Ok(take)
}
