//! Exports: Standard MIDI Files, CSV tables, JSON documents, and their file names. Everything is returned as
//! bytes or text, and written elsewhere.

mod beats_from;
mod csv;
mod document;
mod file_name;
mod midi;
mod rows;
mod tables;

pub use beats_from::BeatsFrom;
pub use csv::text as cell_text;
pub use document::{Document, PartFigures, SCHEMA, VERSION};
pub use file_name::file_name;
pub use midi::{ExportError, RESOLUTION, midi};
pub use rows::PhraseRow;
pub use tables::{cues_csv, figures_csv, phrases_csv};

#[cfg(test)]
mod comp_tests;
#[cfg(test)]
mod tests;
