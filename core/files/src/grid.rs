//! The beats of takes that were played without a click.

use crate::beside::BandTrack;
use overbar_core::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use overbar_core::grid::file::AnchorFile;
use overbar_core::grid::follower::{TapCounts, follow};
use overbar_core::grid::{COUNT_IN, FARTHEST_SECOND, PulseNumber};
use overbar_core::input::midi_file::MidiFile;
use overbar_core::input::recording::{Beats, Recording};
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan, Tempo};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Taps this close together are one stroke on two keys, in seconds. Origin: the coarsest resolution of MIDI
/// files in use, 96 ticks per quarter, at 240 BPM.
const AT_ONCE: f64 = 0.003;

/// The source of a take's beats.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum GridSource {
    /// The file's own tempo and time signatures, or those given with a recording.
    #[default]
    File,
    /// Anchors, set by hand or from taps.
    Anchors(Anchors),
    /// The markers of a MIDI file: one where each chorus starts.
    ChorusMarkers {
        /// Bars in a chorus.
        bars: u32,
        /// The metre.
        metre: Metre,
    },
}

/// The beats of a take, from its own files.
#[derive(Debug, Clone)]
pub struct TakeGrid {
    /// The beats.
    pub anchors: Anchors,
    /// The band's track that they were found in, which may bleed into the soloist's microphone.
    pub band: Option<BandTrack>,
}

/// The beats of single takes by file, or why they cannot be used.
pub type TakeGrids = BTreeMap<PathBuf, Result<TakeGrid, String>>;

/// Temporary beats for a recording that will be put on anchors, which keep only the times of its notes.
#[must_use]
pub fn beats_under(anchors: &Anchors) -> Beats {
    Beats::steady(Tempo::COMMON, anchors.metre(), Second(0.0))
}

impl GridSource {
    /// The anchors for a MIDI file; `None` if it keeps its own grid.
    ///
    /// # Errors
    /// Why there are none, without the file's name.
    pub fn of_midi(&self, midi: &MidiFile) -> Result<Option<Anchors>, String> {
        let anchors = match self {
            Self::File => return Ok(None),
            Self::Anchors(anchors) => anchors.clone(),
            Self::ChorusMarkers { bars, metre } => of_markers(midi, *bars, *metre)?,
        };
        let attacks = midi.attacks();
        check_overlap(&anchors, attacks.first().copied().zip(attacks.last().copied()))?;
        Ok(Some(anchors))
    }

    /// The anchors for a recording; `None` if it keeps its own grid.
    ///
    /// # Errors
    /// Why there are none, without the file's name.
    pub fn of_recording(&self, recording: &Recording) -> Result<Option<Anchors>, String> {
        let anchors = match self {
            Self::File => return Ok(None),
            Self::Anchors(anchors) => anchors,
            Self::ChorusMarkers { .. } => {
                return Err("a recording has no markers: give --taps or --anchors".to_owned());
            }
        };
        let (first, last) = (recording.notes.first(), recording.notes.last());
        check_overlap(anchors, first.zip(last).map(|(first, last)| (first.onset, last.onset)))?;
        Ok(Some(anchors.clone()))
    }
}

/// The anchors from the taps of a MIDI file, and the tap counts. `late` is how late taps are for the beat;
/// below 0 if early.
///
/// # Errors
/// Why they make no grid.
pub fn of_taps(
    bytes: &[u8],
    metre: Metre,
    late: SecondSpan,
) -> Result<(Anchors, TapCounts), String> {
    let taps = MidiFile::read(bytes).map_err(|why| why.to_string())?.attacks();
    if let Some([first, _]) = taps.windows(2).find(|pair| match pair {
        [one, other] => (*other - *one).0 < AT_ONCE,
        _ => false,
    }) {
        let at = first.0;
        return Err(format!("two taps at once, at {at:.2} s: tap one key, on one channel"));
    }
    if taps.len() < COUNT_IN {
        let taps = if taps.len() == 1 { "1 tap".into() } else { format!("{} taps", taps.len()) };
        return Err(format!("only {taps}: four count in, and the beat after them is beat one"));
    }
    let followed = follow(taps, metre, late);
    let anchors = followed.anchors().ok_or(
        "no count-in among the taps: four even ones in a row, 20 to 400 a minute, and the beat after \
         them is beat one",
    )?;
    Ok((anchors, followed.counts()))
}

/// The anchors of an anchor file.
///
/// # Errors
/// Why they cannot be used.
pub fn of_file(bytes: &[u8]) -> Result<Anchors, String> {
    let file: AnchorFile = serde_json::from_slice(bytes).map_err(|why| why.to_string())?;
    file.anchors().map_err(|why| why.to_string())
}

/// Anchors as the text of an anchor file.
///
/// # Errors
/// None known.
pub fn to_file(anchors: &Anchors) -> Result<String, String> {
    let text = serde_json::to_string_pretty(&AnchorFile::of(anchors));
    text.map(|text| text + "\n").map_err(|why| why.to_string())
}

/// Checks that the notes, from the first attack to the last, overlap the beats.
fn check_overlap(anchors: &Anchors, notes: Option<(Second, Second)>) -> Result<(), String> {
    let Some((from, to)) = notes else { return Ok(()) };
    let each = anchors.all();
    let Some((first, last)) = each.first().zip(each.last()) else { return Ok(()) };
    let (what, are) = match first.source {
        AnchorSource::Tap => ("taps", "taps and take must start together"),
        AnchorSource::Band => ("beats of the band", "band and take must start together"),
        AnchorSource::Hand => ("anchors", "their seconds are counted from the start of the file"),
    };
    if last.at < from {
        let (last, from) = (last.at.0, from.0);
        return Err(format!(
            "the {what} end at {last:.1} s, but the first note is at {from:.1} s: {are}"
        ));
    }
    if first.at > to {
        let (first, to) = (first.at.0, to.0);
        return Err(format!(
            "the {what} begin at {first:.1} s, but the last note is at {to:.1} s: {are}"
        ));
    }
    Ok(())
}

fn of_markers(midi: &MidiFile, bars: u32, metre: Metre) -> Result<Anchors, String> {
    let mut markers = midi.markers();
    markers.dedup();
    markers.retain(|at| at.0 <= FARTHEST_SECOND);
    if markers.len() < 2 {
        let count = if markers.len() == 1 { "only 1 marker" } else { "no markers" };
        return Err(format!(
            "{count}: one is needed where each chorus starts, and one where the last ends"
        ));
    }
    let beats = i64::from(bars) * i64::from(metre.pulses());
    let anchor = |(chorus, at): (i64, &Second)| Anchor {
        at: *at,
        pulse: PulseNumber(chorus * beats),
        source: AnchorSource::Hand,
        in_doubt: false,
    };
    let each = (0..).zip(&markers).map(anchor).collect();
    let line = BarLine { pulse: PulseNumber(0), bar: 1 };
    let wrong = |why| format!("markers as starts of choruses of {bars} bars: {why}");
    Anchors::new(metre, vec![line], each).map_err(wrong)
}
