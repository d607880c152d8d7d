//! The beat tracker's input for a band: rendered, or cached in a folder.

use super::playing::{Band, Case};
use super::takes::Take;
use crate::render::{RATE, Renderer};
use overbar_core::grid::band::{BandHearing, Hop};
use overbar_core::time::Second;
use std::path::{Path, PathBuf};

/// Seconds of sound after the last beat.
const AFTER: f64 = 2.0;

/// Hops, and the time of the first.
pub struct Heard {
    pub hops: Vec<Hop>,
    pub first: Second,
}

/// The cache file for a case of a take.
pub fn kept(folder: &Path, take: &Take, case: Case, seed: u64, ending: &str) -> PathBuf {
    folder.join(format!("{} {} {seed}.{ending}", take.name, case.name()))
}

/// Writes beats in seconds, one per line.
///
/// # Errors
/// Why it cannot be written.
pub fn keep_beats(path: &Path, beats: impl Iterator<Item = f64>) -> Result<(), String> {
    let text: String = beats.map(|beat| format!("{beat}\n")).collect();
    std::fs::write(path, text).map_err(|why| why.to_string())
}

/// Renders the band of a case along the beats of a take. If a folder is given, samples, hops and beats are
/// cached in it: 32-bit floats, three bytes per hop, and one beat per line in seconds.
///
/// # Errors
/// Why it cannot be rendered or cached.
pub fn hear(
    renderer: &Renderer,
    take: &Take,
    case: Case,
    seed: u64,
    folder: Option<&Path>,
) -> Result<Heard, String> {
    let mut hearing = BandHearing::new(RATE).map_err(|why| why.to_string())?;
    let first = hearing.first_hop();
    let kept = folder.map(|folder| kept(folder, take, case, seed, "hops"));
    if let Some(bytes) = kept.as_ref().and_then(|path| std::fs::read(path).ok()) {
        let (hops, _) = bytes.as_chunks();
        return Ok(Heard { hops: hops.iter().copied().map(Hop).collect(), first });
    }
    let strokes = Band::play(&take.beats, case, seed * 1_000 + take.number);
    let end = take.beats.last().copied().unwrap_or_default() + AFTER;
    let samples = renderer.band_of(&strokes, end)?;
    let mut hops = Vec::new();
    hearing.push(&samples, |hop| hops.push(hop));
    if let Some(path) = kept {
        let bytes: Vec<u8> = hops.iter().flat_map(|hop| hop.0).collect();
        std::fs::write(&path, bytes).map_err(|why| why.to_string())?;
        let bytes: Vec<u8> = samples.iter().copied().flat_map(f32::to_le_bytes).collect();
        std::fs::write(path.with_extension("f32"), bytes).map_err(|why| why.to_string())?;
        keep_beats(&path.with_extension("beats"), take.beats.iter().copied())?;
    }
    Ok(Heard { hops, first })
}
