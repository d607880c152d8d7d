//! Recordings as samples: WAV, FLAC, AIFF, MP3 and Ogg Vorbis, block by block, mixed to one channel.

use std::fs::File;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use symphonia::core::codecs::audio::well_known::CODEC_ID_MP3;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;
use symphonia::core::units::TimeBase;

/// File extensions of recordings.
pub const ENDINGS: [&str; 8] = ["wav", "wave", "flac", "aif", "aiff", "mp3", "ogg", "oga"];

/// How many bytes of a file [`is_recording`] needs.
pub const HEAD: usize = 12;

/// Missing sound up to this many seconds in all counts as silence; after more, another recording begins. Own
/// value.
const MAX_MISSING: u64 = 60;

/// A recording.
#[derive(Debug, Clone)]
pub enum Sound {
    /// A file, read while decoding.
    File(PathBuf),
    /// Bytes in memory.
    Bytes(Arc<[u8]>),
}

/// Statistics of a decoded recording.
#[derive(Debug, Clone, Default)]
pub struct Decoded {
    /// Samples per second.
    pub rate: u32,
    /// Number of samples decoded per channel.
    pub frames: u64,
    /// The number according to the file, if reliable.
    pub announced: Option<u64>,
    /// The file breaks off, or continues as another recording.
    pub breaks_off: bool,
    /// Number of parts that could not be decoded; each is replaced by silence of its length.
    pub damaged: u64,
    /// Number of samples that are not finite, replaced by silence.
    pub not_finite: u64,
    /// The peak of each channel, and the sum of its squared samples.
    pub channels: Vec<(f32, f64)>,
    /// The sum of the squared samples of the mix.
    pub mix: f64,
}

/// Whether a file is a recording, by its first [`HEAD`] bytes or else by its extension.
#[must_use]
pub fn is_recording(head: &[u8], path: &Path) -> bool {
    let form = head.get(8..12).unwrap_or_default();
    match head {
        [b'M', b'T', b'h', b'd', ..] => false,
        [b'R', b'I', b'F', b'F', ..] => form == b"WAVE",
        [b'F', b'O', b'R', b'M', ..] => form == b"AIFF" || form == b"AIFC",
        [b'f', b'L', b'a', b'C', ..] | [b'O', b'g', b'g', b'S', ..] | [b'I', b'D', b'3', ..] => {
            true
        }
        // A frame of MPEG audio, layer III.
        [0xFF, second, ..] if second & 0xE6 == 0xE2 => true,
        _ => has_ending(path),
    }
}

/// Whether a file has the extension of a recording.
#[must_use]
pub fn has_ending(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
    ENDINGS.iter().any(|known| ending == *known)
}

/// Decodes a recording: `each` gets the sample rate and the next samples, of the channel `only` or else
/// the mean of all.
///
/// # Errors
/// Why it cannot be decoded, or the error of `each`; without the file's name.
pub fn decode(
    sound: &Sound,
    only: Option<usize>,
    mut each: impl FnMut(u32, &[f32]) -> Result<(), String>,
) -> Result<Decoded, String> {
    let Opened { mut reader, mut decoder, track, start: mut expected, stated } = opened(sound)?;
    let (mut decoded, mut all_missing) = (stated, 0_u64);
    let (mut interleaved, mut mono) = (Vec::new(), Vec::new());
    loop {
        let packet = match reader.next_packet() {
            Ok(Some(packet)) if packet.track_id != track => continue,
            Ok(Some(packet)) => packet,
            Ok(None) => break,
            Err(Error::IoError(why)) if why.kind() != std::io::ErrorKind::UnexpectedEof => {
                return Err(why.to_string());
            }
            Err(_) => {
                decoded.breaks_off = true;
                break;
            }
        };
        mono.clear();
        // Readers skip invalid packets and continue after them.
        let at = packet.pts.get();
        // Times before 0 are the decoder's run-in.
        let late = |due: i64| u64::try_from(at.saturating_sub(due.max(0))).unwrap_or(0);
        let missing = expected.map_or(0, late);
        let after = at.saturating_add_unsigned(packet.dur.get());
        expected = expected.map(|_| after);
        if missing > 0 {
            all_missing = missing.saturating_add(all_missing);
            if all_missing > u64::from(decoded.rate) * MAX_MISSING {
                decoded.breaks_off = true;
                break;
            }
            decoded.damaged += 1;
            mono.resize(usize::try_from(missing).unwrap_or(0), 0.0);
        }
        match decoder.decode(&packet) {
            Ok(buffer) => {
                let (rate, count) = (buffer.spec().rate(), buffer.spec().channels().count());
                if decoded.frames == 0 || decoded.channels.is_empty() {
                    (decoded.rate, decoded.channels) = (rate, vec![(0.0, 0.0); count]);
                }
                if (decoded.rate, decoded.channels.len()) != (rate, count) {
                    decoded.breaks_off = true;
                    break;
                }
                if count == 0 {
                    return Err("it has no channels".to_owned());
                }
                interleaved.resize(buffer.samples_interleaved(), 0.0_f32);
                buffer.copy_to_slice_interleaved(&mut interleaved);
                mix(&mut interleaved, only, &mut decoded, &mut mono);
            }
            Err(Error::DecodeError(_)) => {
                decoded.damaged += 1;
                let lost = packet.dur.get().min(u64::from(decoded.rate));
                mono.resize(mono.len() + usize::try_from(lost).unwrap_or(0), 0.0);
            }
            Err(_) => {
                decoded.breaks_off = true;
                break;
            }
        }
        if decoded.rate > 0 {
            decoded.frames += mono.len() as u64;
            each(decoded.rate, &mono)?;
        }
    }
    if decoded.frames == 0 {
        return Err("there is no sound in it".to_owned());
    }
    Ok(decoded)
}

/// An open recording.
struct Opened {
    reader: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    /// The track to read.
    track: u32,
    /// The time of its first packet, if times are in samples.
    start: Option<i64>,
    /// The file's own statements.
    stated: Decoded,
}

/// Opens a recording.
fn opened(sound: &Sound) -> Result<Opened, String> {
    let source: Box<dyn MediaSource> = match sound {
        Sound::File(path) => Box::new(File::open(path).map_err(|error| error.to_string())?),
        Sound::Bytes(bytes) => Box::new(Cursor::new(Arc::clone(bytes))),
    };
    let mut hint = Hint::new();
    if let Sound::File(path) = sound
        && let Some(ending) = path.extension().and_then(|ending| ending.to_str())
    {
        hint.with_extension(ending);
    }
    let stream = MediaSourceStream::new(source, Default::default());
    let (format, metadata) = (FormatOptions::default(), MetadataOptions::default());
    let probe = symphonia::default::get_probe();
    let reader = probe.probe(&hint, stream, format, metadata).map_err(|why| described(&why))?;
    let track = reader.default_track(TrackType::Audio).ok_or("there is no sound in it")?;
    let (announced, time_base, start) = (announced(track), track.time_base, track.start_ts.get());
    let track_id = track.id;
    let parameters = track.codec_params.as_ref().and_then(|parameters| parameters.audio());
    let parameters = parameters.ok_or("there is no sound in it")?;
    if parameters.channels.as_ref().is_some_and(|channels| channels.count() == 0) {
        return Err("it has no channels".to_owned());
    }
    let decoders = symphonia::default::get_codecs();
    let options = AudioDecoderOptions::default();
    let decoder =
        decoders.make_audio_decoder(parameters, &options).map_err(|why| described(&why))?;
    let rate = parameters.sample_rate.unwrap_or_default();
    let channels = parameters.channels.as_ref().map_or(0, |channels| channels.count());
    let channels = vec![(0.0, 0.0); channels];
    let stated = Decoded { rate, channels, announced, ..Decoded::default() };
    let in_samples = |base: TimeBase| base.numer.get() == 1 && base.denom.get() == rate;
    let start = time_base.is_some_and(in_samples).then_some(start);
    Ok(Opened { reader, decoder, track: track_id, start, stated })
}

/// The number of samples according to the track. For an MP3 file without a header it would be a guess from
/// the first frames.
fn announced(track: &Track) -> Option<u64> {
    let parameters = track.codec_params.as_ref().and_then(|parameters| parameters.audio());
    let is_mp3 = parameters.is_some_and(|parameters| parameters.codec == CODEC_ID_MP3);
    track.num_frames.filter(|_| !is_mp3 || track.delay.is_some())
}

/// Mixes samples to one channel, and updates the statistics.
fn mix(samples: &mut [f32], only: Option<usize>, decoded: &mut Decoded, mono: &mut Vec<f32>) {
    let count = decoded.channels.len();
    let share = 1.0 / (0..count).map(|_| 1.0_f32).sum::<f32>();
    for frame in samples.chunks_exact_mut(count) {
        for ((peak, power), sample) in decoded.channels.iter_mut().zip(frame.iter_mut()) {
            if !sample.is_finite() {
                decoded.not_finite += 1;
                *sample = 0.0;
            }
            *peak = peak.max(sample.abs());
            *power += f64::from(*sample) * f64::from(*sample);
        }
        let mixed = match only {
            Some(channel) => frame.get(channel).copied().unwrap_or_default(),
            None => frame.iter().sum::<f32>() * share,
        };
        decoded.mix += f64::from(mixed) * f64::from(mixed);
        mono.push(mixed);
    }
}

/// An error in words.
fn described(error: &Error) -> String {
    match error {
        Error::IoError(why) if why.kind() == std::io::ErrorKind::UnexpectedEof => {
            "file is truncated".to_owned()
        }
        Error::Unsupported(_) => "not a WAV, FLAC, AIFF, MP3 or Ogg Vorbis file".to_owned(),
        Error::IoError(why) => why.to_string(),
        other => format!("file is damaged: {other}"),
    }
}
