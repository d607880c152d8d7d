//! Transcribes recordings.

use crate::audio::{Decoded, Sound, decode};
use crate::beside::{BandTrack, beside};
use overbar_core::input::recording::Recording;
use overbar_core::take::settings::Melody;
use overbar_core::time::{Second, SecondSpan};
use overbar_core::transcription::{HeardNote, NoteEvent, NoteTracker, TrackerSettings};

/// A channel whose largest sample is this far under the loudest one's is silent. Origin: −60 dB, under
/// the noise of a cable.
const DEAD: f32 = 0.001;

/// A recording whose largest sample is no larger is silent. Origin: −80 dB of full scale, under the noise
/// of a microphone in a quiet room.
pub(crate) const SILENT: f32 = 0.000_1;

/// If a mix has less than this share of the power that its loudest channel contributes, the channels cancel
/// each other. Origin: −10 dB.
const CANCELLED: f64 = 0.1;

/// Transcribes a recording. Bleed of the band is removed by means of the band's track, if there is one. What is heard
/// of the band before the soloist comes in is left out, unless `melody` asks for every note.
///
/// # Errors
/// Why it cannot be read, or why there are no notes; without the file's name.
pub fn hear(
    sound: &Sound,
    band: Option<&BandTrack>,
    settings: TrackerSettings,
    melody: Melody,
) -> Result<Recording, String> {
    let band = band.filter(|band| band.is_other_than(sound));
    let (mut recording, decoded) = hear_channel(sound, None, band, (settings, melody))?;
    if let Some(channel) = cancelled(&decoded) {
        let remark = format!("channels cancel each other: only channel {} was heard", channel + 1);
        (recording, _) = hear_channel(sound, Some(channel), band, (settings, melody))?;
        recording.remarks.insert(0, remark);
    }
    if recording.notes.is_empty() {
        let loudest = decoded.channels.iter().map(|(peak, _)| *peak).fold(0.0, f32::max);
        let what = if loudest <= SILENT { "no notes: it is silent" } else { "no notes heard" };
        return Err([&[what.to_owned()][..], &recording.remarks].concat().join("; "));
    }
    Ok(recording)
}

/// Transcribes one channel, or else the mean of all.
fn hear_channel(
    sound: &Sound,
    only: Option<usize>,
    band: Option<&BandTrack>,
    (settings, melody): (TrackerSettings, Melody),
) -> Result<(Recording, Decoded), String> {
    let new = |rate| match band {
        None => NoteTracker::new(rate, settings),
        Some(_) => NoteTracker::beside_band(rate, settings),
    };
    let mut tracker: Option<NoteTracker> = None;
    let mut notes: Vec<HeardNote> = Vec::new();
    let mut bleed: Option<(usize, Second)> = None;
    let mut keep = |event: NoteEvent| match event {
        NoteEvent::Ended(note) => notes.push(note),
        NoteEvent::SoloistEntered(entry) if melody != Melody::All => {
            let all = notes.len();
            notes.retain(|note| note.onset >= entry);
            let before = bleed.map_or(0, |(count, _)| count);
            bleed = Some((before + all - notes.len(), entry));
        }
        _ => {}
    };
    let decoded = beside(band, |band| {
        decode(sound, only, |rate, samples| {
            let tracker = match &mut tracker {
                Some(tracker) => tracker,
                None => tracker.insert(new(rate).map_err(|why| why.to_string())?),
            };
            tracker.push_beside(samples, band, &mut keep);
            Ok(())
        })
    })?;
    let mut tuning = 0.0;
    if let Some(tracker) = &mut tracker {
        tracker.finish(&mut keep);
        tuning = tracker.tuning();
    }
    let mut remarks = remarks(&decoded);
    if let Some((count, Second(entry))) = bleed.filter(|(count, _)| *count > 0) {
        let many = if count == 1 { "" } else { "s" };
        remarks.push(format!(
            "ignored: {count} note{many} before {entry:.1} seconds, probably bleed (--line all keeps them)"
        ));
    }
    let recording = Recording {
        notes,
        length: SecondSpan(seconds(decoded.frames, decoded.rate)),
        sample_rate: decoded.rate,
        channels: decoded.channels.len(),
        tuning,
        remarks,
    };
    Ok((recording, decoded))
}

/// The loudest channel, if the channels cancel each other.
pub(crate) fn cancelled(decoded: &Decoded) -> Option<usize> {
    let powers = decoded.channels.iter().map(|(_, power)| *power).enumerate();
    let (loudest, power) = powers.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let count = decoded.channels.len() as f64;
    (decoded.mix * count * count < power * CANCELLED).then_some(loudest)
}

/// Remarks about anything unusual in a recording.
pub(crate) fn remarks(decoded: &Decoded) -> Vec<String> {
    let mut remarks = Vec::new();
    let there = seconds(decoded.frames, decoded.rate);
    // Decoders may leave out part of the last frame.
    let missing = |announced: &u64| seconds(*announced, decoded.rate) > there + 0.1;
    if let Some(announced) = decoded.announced.filter(missing) {
        let whole = seconds(announced, decoded.rate);
        remarks.push(format!("file is truncated: {there:.1} of {whole:.1} seconds are there"));
    } else if decoded.breaks_off {
        remarks.push(format!("file breaks off after {there:.1} seconds"));
    }
    if decoded.damaged > 0 {
        let many = if decoded.damaged == 1 { "" } else { "s" };
        remarks.push(format!("{} damaged part{many}, heard as silence", decoded.damaged));
    }
    if decoded.not_finite > 0 {
        let many = if decoded.not_finite == 1 { "" } else { "s" };
        remarks.push(format!("{} invalid sample{many}, heard as silence", decoded.not_finite));
    }
    if let [(left, _), (right, _)] = decoded.channels[..] {
        let loudest = left.max(right);
        if loudest > SILENT && left.min(right) <= loudest * DEAD {
            let side = if left > right { "left" } else { "right" };
            remarks.push(format!("only the {side} channel has sound"));
        }
    }
    remarks
}

fn seconds(frames: u64, rate: u32) -> f64 {
    frames as f64 / f64::from(rate.max(1))
}
