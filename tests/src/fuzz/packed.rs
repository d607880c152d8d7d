//! Stored takes: the saved state, and the library's packed takes and projects. Checksums are corrected after
//! the mutation, or nothing would get past them.

use crate::host::{ClapRig, Host};
use crate::{live, practice};
use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::anchors::AnchorSource;
use overbar_core::grid::beat_grid::Bridge;
use overbar_core::take::piece::Piece;
use overbar_core::take::settings::Settings;
use overbar_core::time::{Beat, SecondSpan};
use overbar_library::packed::{pack, unpack};
use overbar_library::project::unpack_project;
use serde_json::Value;
use std::io::{Read as _, Write as _};

/// A state as a host saved it, with a take of ten notes.
pub fn state_seeds() -> Vec<Vec<u8>> {
    let mut host = ClapRig::linked().expect("the linked plugin");
    let mut song = practice::takes()[0].song.clone();
    song.notes.truncate(10);
    live::play(&mut host, &song, &mut std::iter::repeat(512));
    let state = host.save_state();
    // Without the length that CLAP puts in front of the framework's JSON.
    let at = state.iter().position(|byte| *byte == b'{').unwrap_or_default();
    vec![state[at..].to_vec()]
}

pub fn state(input: &[u8]) {
    let resealed = resealed(input).unwrap_or_else(|| input.to_vec());
    for take in overbar::host::state::takes_in(&resealed).into_iter().flatten() {
        let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        assert!(phrases.len() <= take.soloist.notes().len());
    }
}

/// A state with a corrected checksum, if it is JSON down to there.
fn resealed(input: &[u8]) -> Option<Vec<u8>> {
    let mut state: Value = serde_json::from_slice(input).ok()?;
    let field = state.get_mut("fields")?.get_mut("overbar")?;
    let mut envelope: Value = serde_json::from_str(field.as_str()?).ok()?;
    let body = envelope.get("body")?.to_string();
    *envelope.get_mut("crc32")? = crc32fast::hash(body.as_bytes()).into();
    *field = Value::String(envelope.to_string());
    serde_json::to_vec(&state).ok()
}

/// The first byte selects what the rest is: a packed take or project, the body of a take, the index of a project and
/// what follows it, or the body of a comp.
pub fn seeds() -> Vec<Vec<u8>> {
    let mut host = ClapRig::linked().expect("the linked plugin");
    let mut song = practice::takes()[1].song.clone();
    song.notes.truncate(20);
    live::play(&mut host, &song, &mut std::iter::repeat(512));
    let mut played = live::takes(&mut host)[0].clone();
    let take = pack(&played);
    let to = Beat(8.0);
    let bridge = Bridge { from: Beat(4.0), to, bridged: true, count_in_doubt: false };
    played.pieces.push(Piece {
        from: Beat(0.0),
        to,
        source: Some(AnchorSource::Band),
        anchors: 4,
        spread: SecondSpan(0.01),
        bridges: vec![bridge],
        about: true,
    });
    let comp = pack(&played);
    let index = br#"{"takes":[],"tunes":[],"players":[]}"#;
    [(0, take.clone()), (1, inflated(&take)), (2, index.to_vec()), (3, inflated(&comp))]
        .into_iter()
        .map(|(kind, bytes)| [vec![kind], bytes].concat())
        .collect()
}

/// The body of a packed take.
fn inflated(take: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    let read = DeflateDecoder::new(&take[16..]).read_to_end(&mut body);
    assert!(read.is_ok(), "a packed take inflates");
    body
}

pub fn read(input: &[u8]) {
    let Some((kind, rest)) = input.split_first() else { return };
    let opened = match kind % 4 {
        0 => {
            drop(unpack_project(rest));
            unpack(rest)
        }
        kind @ (1 | 3) => {
            // The version of the form is the same number.
            let length = u32::try_from(rest.len()).expect("inputs are short").to_le_bytes();
            let checksum = crc32fast::hash(rest).to_le_bytes();
            let head = [&b"OVBT"[..], &[kind, 0, 0, 0], &checksum, &length];
            unpack(&[&head.concat(), &deflated(rest)[..]].concat())
        }
        _ => {
            let index = deflated(rest);
            let length = u32::try_from(index.len()).expect("inputs are short").to_le_bytes();
            let head = [b"OVBP\x01\0\0\0", &length[..], &crc32fast::hash(&index).to_le_bytes()];
            if let Ok(unpacked) = unpack_project(&[&head.concat(), &index[..]].concat()) {
                for stored in &unpacked.project.takes {
                    drop(stored.open());
                }
            }
            return;
        }
    };
    if let Ok(take) = opened {
        let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        assert!(phrases.len() <= take.soloist.notes().len());
        assert!(unpack(&pack(&take)).is_ok(), "a take that was opened is packed and opened again");
    }
}

fn deflated(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::fast());
    let written = encoder.write_all(bytes).and_then(|()| encoder.finish());
    written.expect("memory takes it")
}
