//! Rendered recordings, cached in a folder because rendering takes longer than transcribing.

use crate::render::{Condition, Recording, Renderer};
use crate::solos::Solo;
use std::path::Path;

/// A solo under a condition, from the cache if it is there.
///
/// # Errors
/// Why it cannot be rendered or cached.
pub fn recording(
    renderer: &Renderer,
    solo: &Solo,
    condition: Condition,
    folder: Option<&Path>,
) -> Result<Recording, String> {
    let Some(folder) = folder else { return renderer.record(solo, condition) };
    let name = format!("{} {} {}", solo.name, solo.played.name, condition.name());
    let file = |ending: &str| folder.join(format!("{name}.{ending}"));
    let (sound, band, notes) = (file("f32"), file("band.f32"), file("json"));
    if let (Ok(sound), Ok(band), Ok(text)) =
        (std::fs::read(&sound), std::fs::read(&band), std::fs::read_to_string(&notes))
    {
        let notes = serde_json::from_str(&text).map_err(|why| why.to_string())?;
        return Ok(Recording { samples: samples(&sound), band: samples(&band), notes });
    }
    let recording = renderer.record(solo, condition)?;
    let text = serde_json::to_string(&recording.notes).map_err(|why| why.to_string())?;
    std::fs::write(sound, bytes(&recording.samples)).map_err(|why| why.to_string())?;
    std::fs::write(band, bytes(&recording.band)).map_err(|why| why.to_string())?;
    std::fs::write(notes, text).map_err(|why| why.to_string())?;
    Ok(recording)
}

fn samples(bytes: &[u8]) -> Vec<f32> {
    let (samples, _) = bytes.as_chunks();
    samples.iter().map(|sample| f32::from_le_bytes(*sample)).collect()
}

fn bytes(samples: &[f32]) -> Vec<u8> {
    samples.iter().flat_map(|sample| sample.to_le_bytes()).collect()
}
