//! Finds the beats in the band's track.

use crate::audio::{Decoded, Sound, decode};
use crate::beside::BandTrack;
use crate::recording::{SILENT, cancelled, remarks};
use overbar_core::grid::PulseNumber;
use overbar_core::grid::anchors::Anchors;
use overbar_core::grid::band::{
    BandBeat, BandCountIn, BandHearing, BandTake, BeatConfidence, Hop, KnownBeat,
};
use overbar_core::time::{Second, SecondSpan};

/// The beats of a band's track.
#[derive(Debug, Clone)]
pub struct HeardBand {
    /// The beats as anchors.
    pub anchors: Anchors,
    /// The track, with the channel that was used.
    pub track: BandTrack,
    /// Remarks about anything unusual in the recording.
    pub remarks: Vec<String>,
}

/// Finds the beats of a band from a count-in on, and through the `known` beats. The track starts with the
/// take.
///
/// # Errors
/// Why there are none, without the file's name.
pub fn hear_band(
    sound: &Sound,
    count_in: BandCountIn,
    known: &[KnownBeat],
) -> Result<HeardBand, String> {
    let (mut hops, mut decoded) = hops(sound, None)?;
    let mut remarks = Vec::new();
    let only = cancelled(&decoded);
    if let Some(channel) = only {
        remarks.push(format!("channels cancel each other: only channel {} was heard", channel + 1));
        (hops, decoded) = self::hops(sound, Some(channel))?;
    }
    remarks.extend(self::remarks(&decoded));
    let loudest = decoded.channels.iter().map(|(peak, _)| *peak).fold(0.0, f32::max);
    if loudest <= SILENT {
        return Err("no beats: it is silent".to_owned());
    }
    let (length, one) = (decoded.frames as f64 / f64::from(decoded.rate.max(1)), count_in.one.0);
    if one >= length {
        return Err(format!("beat one is at {one:.1} s, but the band ends at {length:.1} s"));
    }
    let first = BandHearing::new(decoded.rate).map_err(|why| why.to_string())?.first_hop();
    let take = BandTake::new(count_in, first, &hops);
    let beats = take.beats(known);
    let is_heard = |beat: &BandBeat| beat.confidence != BeatConfidence::Bridged;
    // Beat one is known from the count-in alone.
    let heard = beats.iter().skip(2).filter(|beat| is_heard(beat)).count();
    let anchors = take.anchors(&beats, known).filter(|_| heard > 0);
    let anchors = anchors.ok_or("no beats heard from the count-in on")?;
    let track = BandTrack { sound: sound.clone(), only };
    Ok(HeardBand { anchors, track, remarks })
}

/// The hops of one channel, or else of the mean of all.
fn hops(sound: &Sound, only: Option<usize>) -> Result<(Vec<Hop>, Decoded), String> {
    let (mut hops, mut hearing) = (Vec::new(), None::<BandHearing>);
    let decoded = decode(sound, only, |rate, samples| {
        let hearing = match &mut hearing {
            Some(hearing) => hearing,
            None => hearing.insert(BandHearing::new(rate).map_err(|why| why.to_string())?),
        };
        hearing.push(samples, |hop| hops.push(hop));
        Ok(())
    })?;
    Ok((hops, decoded))
}

/// Anchors as known beats; where the count is in doubt, their number is unknown.
#[must_use]
pub fn known_beats(anchors: &Anchors) -> Vec<KnownBeat> {
    let mut is_in_doubt = false;
    let known = anchors.all().iter().map(|anchor| {
        is_in_doubt |= anchor.in_doubt;
        KnownBeat { at: anchor.at, pulse: Some(anchor.pulse).filter(|_| !is_in_doubt) }
    });
    known.collect()
}

/// Beat one and the tempo, from the first two anchors.
#[must_use]
pub fn counted_by(anchors: &Anchors) -> Option<BandCountIn> {
    let [first, second, ..] = anchors.all() else { return None };
    let period = (second.at - first.at).0 / (second.pulse - first.pulse).max(1) as f64;
    let one = first.at.0 - period * (first.pulse - PulseNumber(0)) as f64;
    BandCountIn::at(Second(one), SecondSpan(period), anchors.metre())
}
