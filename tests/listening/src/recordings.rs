//! Rendered recordings that are kept in a folder, as rendering takes longer than hearing.

use crate::render::{Condition, Recording, Renderer};
use crate::solos::Solo;
use std::path::Path;

/// A solo under a condition, from the folder where it is there.
///
/// # Errors
/// Why it cannot be rendered or kept.
pub fn recording(
    renderer: &Renderer,
    solo: &Solo,
    condition: Condition,
    folder: Option<&Path>,
) -> Result<Recording, String> {
    let Some(folder) = folder else { return renderer.record(solo, condition) };
    let name = format!("{} {} {}", solo.name, solo.played.name, condition.name());
    let (sound, notes) = (folder.join(format!("{name}.f32")), folder.join(format!("{name}.json")));
    if let (Ok(bytes), Ok(text)) = (std::fs::read(&sound), std::fs::read_to_string(&notes)) {
        let (samples, _) = bytes.as_chunks();
        let samples = samples.iter().map(|sample| f32::from_le_bytes(*sample)).collect();
        let notes = serde_json::from_str(&text).map_err(|why| why.to_string())?;
        return Ok(Recording { samples, notes });
    }
    let recording = renderer.record(solo, condition)?;
    let bytes: Vec<u8> = recording.samples.iter().flat_map(|sample| sample.to_le_bytes()).collect();
    let text = serde_json::to_string(&recording.notes).map_err(|why| why.to_string())?;
    std::fs::write(sound, bytes).map_err(|why| why.to_string())?;
    std::fs::write(notes, text).map_err(|why| why.to_string())?;
    Ok(recording)
}
