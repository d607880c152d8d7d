//! Commands for comparing, cutting and files.

use crate::command::export::Export;
use crate::view_model::selection::Columns;
use overbar_core::study::comp::Aim;
use overbar_core::study::compare::Style;
use overbar_core::take::TakeId;
use overbar_core::theory::instrument::InstrumentPitch;

/// A command.
#[derive(Debug, Clone, PartialEq)]
pub enum CompareCommand {
    /// Select a take, or leave it out.
    Choose(TakeId, bool),
    /// Compare with recorded solos of a style.
    Style(Style),
    /// Lay the sheet out in these columns.
    Columns(Columns),
    /// Give the bars from the first up to another to a take.
    Cell {
        /// The first bar.
        first: i64,
        /// The bar after the last.
        end: i64,
        /// The take.
        take: TakeId,
    },
    /// The aim that a proposed comp is best at.
    Aim(Aim),
    /// Whether edits move to the nearest rest.
    Nudge(bool),
    /// Search for the best comp.
    Propose,
    /// Keep the comp as a take.
    Keep,
    /// Write takes on a staff for this instrument.
    WrittenFor(InstrumentPitch),
    /// Whether MusicXML says in words where phrases start.
    StartsInWords(bool),
    /// Write to this folder.
    Folder(String),
    /// Write a file.
    Export(Export),
    /// Read takes from these files and folders.
    Import(Vec<String>),
    /// Compare takes with the solos in this folder; with none if it is empty.
    OwnSet(String),
    /// The folder of a class.
    Class(String),
    /// Write a page for each file of it.
    ExportClass,
    /// Stop writing or reading.
    Stop,
}
