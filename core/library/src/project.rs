//! The copy of the takes in a host's project, so that the project opens complete on any machine.
//!
//! # The format
//! Four bytes `OVBP`, one of version, three zeros; length and CRC-32 of the index, four bytes each,
//! little-endian; the index, deflated JSON; then the takes, each packed by [`crate::packed`] with
//! its own checksum, so that damage costs no more than the take it is in.

use crate::labels::Labels;
use crate::merge::StoredTake;
use crate::packed::PackError;
use crate::stamp::Stamp;
use crate::take_header::{Origin, TakeState};
use crate::tune::{Player, Tune};
use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use overbar_core::take::TakeId;
use serde::{Deserialize, Serialize};
use std::io::{Read, Write};

/// Version of the format. Raised by a change that an older Overbar cannot read.
pub const VERSION: u8 = 1;

/// Largest inflated index in bytes: some 400,000 takes, or 1,000 with ten minutes of taps that were
/// corrected afterwards.
const MAX_INDEX: u64 = 128 << 20;

const MARK: [u8; 4] = *b"OVBP";

/// The takes of a host's project.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Project {
    /// Its takes.
    pub takes: Vec<StoredTake>,
    /// Their tunes.
    pub tunes: Vec<Tune>,
}

/// An unpacked project.
#[derive(Debug, Clone, PartialEq)]
pub struct Unpacked {
    /// What could be read. Notes are unpacked only by [`StoredTake::open`].
    pub project: Project,
    /// How many takes are missing because the end was cut off.
    pub missing: usize,
}

#[derive(Serialize, Deserialize)]
struct Index {
    takes: Vec<IndexedTake>,
    tunes: Vec<Tune>,
    /// Always empty; part of the format.
    players: Vec<Player>,
}

#[derive(Serialize, Deserialize)]
struct IndexedTake {
    id: TakeId,
    began: Stamp,
    origin: Origin,
    state: TakeState,
    #[serde(default)]
    labels: Labels,
    bytes: usize,
}

/// Packs a project.
pub fn pack_project(project: &Project) -> Vec<u8> {
    let entry = |take: &StoredTake| IndexedTake {
        id: take.id,
        began: take.began,
        origin: take.origin,
        state: take.state,
        labels: take.labels.clone(),
        bytes: take.packed.len(),
    };
    let index = Index {
        takes: project.takes.iter().map(entry).collect(),
        tunes: project.tunes.clone(),
        players: Vec::new(),
    };
    let mut deflated = DeflateEncoder::new(Vec::new(), Compression::fast());
    // Writing to memory does not fail, and an index is always valid JSON.
    let written = serde_json::to_vec(&index).map(|json| deflated.write_all(&json).is_ok());
    let index = match written {
        Ok(true) => deflated.finish().unwrap_or_default(),
        _ => Vec::new(),
    };
    let mut bytes = MARK.to_vec();
    bytes.extend([VERSION, 0, 0, 0]);
    bytes.extend(u32::try_from(index.len()).unwrap_or(u32::MAX).to_le_bytes());
    bytes.extend(crc32fast::hash(&index).to_le_bytes());
    bytes.extend(index);
    for take in &project.takes {
        bytes.extend(&*take.packed);
    }
    bytes
}

/// Unpacks a project. A take that was being recorded when it was saved counts as finished.
///
/// # Errors
/// [`PackError`] says what is wrong with the bytes.
pub fn unpack_project(bytes: &[u8]) -> Result<Unpacked, PackError> {
    const SHORT: PackError = PackError::Damaged("file ends too early");
    let (mark, rest) = bytes.split_first_chunk().ok_or(PackError::NotAProject)?;
    if *mark != MARK {
        return Err(PackError::NotAProject);
    }
    let ([version, ..], rest) = rest.split_first_chunk::<4>().ok_or(SHORT)?;
    if *version > VERSION {
        return Err(PackError::Newer { version: *version });
    }
    let (length, rest) = rest.split_first_chunk().ok_or(SHORT)?;
    let (checksum, rest) = rest.split_first_chunk().ok_or(SHORT)?;
    let length = usize::try_from(u32::from_le_bytes(*length)).map_err(|_| PackError::TooLarge)?;
    let (index, mut rest) = rest.split_at_checked(length).ok_or(SHORT)?;
    if crc32fast::hash(index) != u32::from_le_bytes(*checksum) {
        return Err(PackError::Damaged("wrong checksum of the index"));
    }
    let index = DeflateDecoder::new(index).take(MAX_INDEX);
    let index: Index = serde_json::from_reader(std::io::BufReader::new(index))
        .map_err(|_| PackError::Damaged("unreadable index"))?;
    let mut takes = Vec::new();
    let all = index.takes.len();
    for entry in index.takes {
        let Some((packed, behind)) = rest.split_at_checked(entry.bytes) else { break };
        rest = behind;
        takes.push(StoredTake {
            id: entry.id,
            began: entry.began,
            origin: entry.origin,
            state: if entry.state == TakeState::Recording {
                TakeState::Finished
            } else {
                entry.state
            },
            labels: entry.labels,
            packed: packed.into(),
        });
    }
    let missing = all - takes.len();
    Ok(Unpacked { project: Project { takes, tunes: index.tunes }, missing })
}
