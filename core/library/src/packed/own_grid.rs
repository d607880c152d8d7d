//! A take's own beat grid.

use super::PackError;
use super::tempo::{metres, put_metres, put_tempo, tempo};
use super::varint::{Reader, put_run};
use overbar_core::take::own_grid::OwnGrid;
use overbar_core::take::performance::Performance;

/// The host's tempo and metres, and the anchors as JSON; empty for a take on the host's grid.
pub fn encode_own_grid(take: &Performance) -> Vec<u8> {
    let mut bytes = Vec::new();
    if let Some(own) = &take.own_grid {
        let notes = take.soloist.notes().len() + take.ignored.notes().len();
        put_tempo(&mut bytes, &own.host_tempo, notes);
        put_metres(&mut bytes, &own.host_metres);
        put_run(&mut bytes, &serde_json::to_vec(&own.anchors).unwrap_or_default());
    }
    bytes
}

/// The inverse of [`encode_own_grid`].
pub fn own_grid(bytes: &mut Reader<'_>) -> Result<OwnGrid, PackError> {
    let host_tempo = tempo(bytes)?;
    let host_metres = metres(bytes)?;
    let anchors = serde_json::from_slice(bytes.run()?);
    let anchors = anchors.map_err(|_| PackError::Damaged("invalid anchors"))?;
    Ok(OwnGrid { anchors, host_tempo, host_metres })
}

/// [`own_grid`] for bytes that hold nothing else.
pub fn read_own_grid(bytes: &[u8]) -> Result<OwnGrid, PackError> {
    let mut reader = Reader(bytes);
    let own = own_grid(&mut reader)?;
    reader.finish()?;
    Ok(own)
}
