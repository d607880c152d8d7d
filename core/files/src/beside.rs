//! The band's track beside a recording, for removing its bleed from the soloist's microphone.

use crate::audio::{Sound, decode};
use overbar_core::transcription::BandSamples;
use std::sync::mpsc::sync_channel;

/// The band's track. It starts with the recording.
#[derive(Debug, Clone)]
pub struct BandTrack {
    /// Its sound.
    pub sound: Sound,
    /// The channel to use, or else the mean of all.
    pub only: Option<usize>,
}

impl BandTrack {
    /// Whether it differs from this recording: otherwise the whole recording would be bleed.
    pub(crate) fn is_other_than(&self, recording: &Sound) -> bool {
        match (&self.sound, recording) {
            (Sound::File(band), Sound::File(recording)) => {
                !same_file::is_same_file(band, recording).unwrap_or(false)
            }
            _ => true,
        }
    }
}

/// Parts decoded ahead of the recording, each of some thousand samples.
const AHEAD: usize = 16;

/// Runs `hear` with the samples of the band's track, at the rate of the analysis; with none without a track.
/// They are decoded on their own thread, as needed, and end when the track ends or breaks off.
///
/// # Errors
/// The error of `hear`, or why there is no thread.
pub(crate) fn beside<R>(
    track: Option<&BandTrack>,
    hear: impl FnOnce(&mut dyn Iterator<Item = f32>) -> Result<R, String>,
) -> Result<R, String> {
    let Some(track) = track else { return hear(&mut std::iter::empty()) };
    let (send, parts) = sync_channel::<Vec<f32>>(AHEAD);
    let decoded = move || {
        let mut band = None;
        let sent = decode(&track.sound, track.only, |rate, samples| {
            let band = match &mut band {
                Some(band) => band,
                None => band.insert(BandSamples::new(rate).map_err(|why| why.to_string())?),
            };
            let mut part = Vec::new();
            band.push(samples, |sample| part.push(sample));
            send.send(part).map_err(|why| why.to_string())
        });
        // Errors of the track were reported with its beats, and a recording that is over needs no more.
        drop(sent);
    };
    std::thread::scope(|scope| {
        let thread = std::thread::Builder::new().name("band".to_owned());
        thread.spawn_scoped(scope, decoded).map_err(|why| why.to_string())?;
        hear(&mut parts.into_iter().flatten())
    })
}
