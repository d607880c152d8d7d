//! Takes for notation programs: MusicXML, plain or compressed.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::notation::{MusicXml, WritingOptions, musicxml, written};
use overbar_core::theory::form::Form;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// A take as MusicXML.
///
/// # Errors
/// Why it has no bars to write, or the chords that cannot be read.
pub fn score(
    name: &str,
    take: &TakeAnalysis,
    form: Option<&Form>,
    options: WritingOptions,
) -> Result<Vec<u8>, String> {
    let changes = form.map(|form| take.changes(form)).transpose();
    let changes = changes.map_err(|why| why.to_string())?.flatten();
    let paper = written(take, changes.as_ref(), options);
    let context = take.context();
    let document = MusicXml { title: name, take: &paper, context, form, changes: changes.as_ref() };
    musicxml(&document).map_err(|why| why.to_string())
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
    use std::io::Read;

    #[test]
    fn a_compressed_score_holds_the_same_document() {
        let bytes = compressed(b"<score/>").unwrap();
        let mut archive = zip::ZipArchive::new(Cursor::new(&bytes)).unwrap();
        let mut text = String::new();
        archive.by_name("META-INF/container.xml").unwrap().read_to_string(&mut text).unwrap();
        assert!(text.contains("full-path=\"score.musicxml\""));
        text.clear();
        archive.by_name("score.musicxml").unwrap().read_to_string(&mut text).unwrap();
        assert_eq!(text, "<score/>");
        // The same twice: no time of day in it.
        assert_eq!(bytes, compressed(b"<score/>").unwrap());
    }
}
