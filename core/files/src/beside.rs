//! The band's track beside a recording, for what of it is in the soloist's microphone.

use crate::audio::{Sound, decode};
use overbar_core::transcription::BandSamples;
use std::sync::mpsc::sync_channel;

/// The band's track. It starts with the recording.
#[derive(Debug, Clone)]
pub struct BandTrack {
    /// Where its sound is.
    pub sound: Sound,
    /// The channel that is heard, or else the mean of all.
    pub only: Option<usize>,
}

impl BandTrack {
    /// Whether it is another recording than this one, which would be all band beside itself.
    pub(crate) fn is_other_than(&self, recording: &Sound) -> bool {
        match (&self.sound, recording) {
            (Sound::File(band), Sound::File(recording)) => {
                !same_file::is_same_file(band, recording).unwrap_or(false)
            }
            _ => true,
        }
    }
}

/// Parts that are decoded ahead of the recording: each is some thousand samples.
const AHEAD: usize = 16;

/// Runs `hear` with the samples of the band's track, at the rate of the analysis; without a track with none. They are
/// decoded on a thread of their own, as they are needed. Where the track ends, or breaks off, they end.
///
/// # Errors
/// What `hear` says, or why there is no thread.
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
        // What is wrong with the track was said when its beats were heard, and a recording that is over needs no more.
        drop(sent);
    };
    std::thread::scope(|scope| {
        let thread = std::thread::Builder::new().name("band".to_owned());
        thread.spawn_scoped(scope, decoded).map_err(|why| why.to_string())?;
        hear(&mut parts.into_iter().flatten())
    })
}
