//! Takes for notation programs: MusicXML, plain or compressed.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::notation::{MusicXml, WritingOptions, musicxml, written};
use overbar_core::theory::form::Form;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// A take as MusicXML, with notes on what could not be written as played or is approximate.
pub struct Score {
    /// The document.
    pub document: Vec<u8>,
    /// Sentences for the user.
    pub not_written: Vec<String>,
}

/// The error for a take without bars.
const NO_GRID: &str = "no tempo or bar positions to write";

/// A take as MusicXML.
///
/// # Errors
/// Why it has no bars to write, or which chords cannot be read.
pub fn score(
    name: &str,
    take: &TakeAnalysis,
    form: Option<&Form>,
    options: WritingOptions,
) -> Result<Score, String> {
    let changes = form.map(|form| take.changes(form)).transpose();
    let changes = changes.map_err(|why| why.to_string())?.flatten();
    let notated = written(take, changes.as_ref(), options);
    if notated.bars.is_empty() && !take.take().soloist.notes().is_empty() {
        return Err(NO_GRID.to_owned());
    }
    let context = take.context();
    let document =
        MusicXml { title: name, take: &notated, context, form, changes: changes.as_ref() };
    let document = musicxml(&document).map_err(|why| why.to_string())?;
    let mut not_written = notated.not_written();
    if take.take().approximate().is_anywhere() {
        not_written.push("bars and positions are approximate".to_owned());
    }
    Ok(Score { document, not_written })
}

/// MusicXML compressed, as an `.mxl` file: a zip archive whose container names the document (MusicXML 4.0,
/// "Compressed MXL files").
///
/// # Errors
/// The reason.
pub fn compressed(document: &[u8]) -> Result<Vec<u8>, String> {
    const CONTAINER: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container>\n \
        <rootfiles>\n  <rootfile full-path=\"score.musicxml\" \
        media-type=\"application/vnd.recordare.musicxml+xml\"/>\n </rootfiles>\n</container>\n";
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let files: [(&str, &[u8]); 2] =
        [("META-INF/container.xml", CONTAINER.as_bytes()), ("score.musicxml", document)];
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, content) in files {
        archive.start_file(name, options).map_err(|why| why.to_string())?;
        archive.write_all(content).map_err(|why| why.to_string())?;
    }
    archive.finish().map(Cursor::into_inner).map_err(|why| why.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::input::note::{Note, Oddities};
    use overbar_core::input::pairing::NoteLine;
    use overbar_core::take::performance::Performance;
    use overbar_core::take::settings::Settings;
    use overbar_core::time::tempo_map::Knot;
    use overbar_core::time::{Beat, Moment, Second, Tempo};

    /// A take of notes at these quarters on these keys, with a tempo or without.
    fn take(notes: &[(f64, u8)], tempo: Option<f64>) -> TakeAnalysis {
        let moment = |beat: f64| Moment { beat: Beat(beat), second: Second(beat * 0.5) };
        let note = |(at, key): &(f64, u8)| Note {
            on: moment(*at),
            off: Some(moment(at + 0.4)),
            key: *key,
            channel: 0,
            velocity: 0.7,
        };
        let mut take = Performance {
            soloist: NoteLine::of(notes.iter().map(note).collect(), Oddities::default()),
            ..Performance::default()
        };
        if let Some(tempo) = tempo.and_then(Tempo::new) {
            take.tempo.push(Knot { second: Second(0.0), beat: Beat(0.0), tempo });
        }
        TakeAnalysis::of(take, Settings::default())
    }

    #[test]
    fn omissions_are_reported() {
        let options = WritingOptions::default();
        let line: Vec<(f64, u8)> = (0..32).map(|at| (f64::from(at) * 0.5, 72)).collect();
        let plain = score("plain", &take(&line, Some(120.0)), None, options).unwrap();
        assert_eq!(plain.not_written, Vec::<String>::new());
        // Two notes of a chord under the line, struck with it.
        let chords: Vec<(f64, u8)> = line.iter().copied().chain([(4.0, 48), (8.0, 48)]).collect();
        let mut chords = chords;
        chords.sort_by(|a, b| a.0.total_cmp(&b.0));
        let chords = score("chords", &take(&chords, Some(120.0)), None, options).unwrap();
        assert_eq!(chords.not_written, ["2 notes under the line are left out."]);
        let none = score("none", &take(&line, None), None, options);
        assert_eq!(none.err().as_deref(), Some("no tempo or bar positions to write"));
    }
    use std::io::Read;

    #[test]
    fn a_compressed_score_contains_the_same_document() {
        let bytes = compressed(b"<score/>").unwrap();
        let mut archive = zip::ZipArchive::new(Cursor::new(&bytes)).unwrap();
        let mut text = String::new();
        archive.by_name("META-INF/container.xml").unwrap().read_to_string(&mut text).unwrap();
        assert!(text.contains("full-path=\"score.musicxml\""));
        text.clear();
        archive.by_name("score.musicxml").unwrap().read_to_string(&mut text).unwrap();
        assert_eq!(text, "<score/>");
        // Identical on repetition: it contains no time stamp.
        assert_eq!(bytes, compressed(b"<score/>").unwrap());
    }
}
