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
    /// Select a take, or deselect it.
    Choose(TakeId, bool),
    /// Compare with recorded solos of a style.
    Style(Style),
    /// Lay out the sheet in these columns.
    Columns(Columns),
    /// Assign the bars from the first up to the end to a take.
    Cell {
        /// The first bar.
        first: i64,
        /// The bar after the last.
        end: i64,
        /// The take.
        take: TakeId,
    },
    /// The aim that a proposed comp maximises.
    Aim(Aim),
    /// Whether edits move to the nearest rest.
    Nudge(bool),
    /// Search for the best comp.
    Propose,
    /// Keep the comp as a take.
    Keep,
    /// Notate takes for this instrument.
    WrittenFor(InstrumentPitch),
    /// Whether MusicXML marks phrase starts in words.
    StartsInWords(bool),
    /// Write to this folder.
    Folder(String),
    /// Write a file.
    Export(Export),
    /// Import takes from these files and folders.
    Import(Vec<String>),
    /// Compare takes with the solos in this folder; empty for none.
    OwnSet(String),
    /// The folder of a class.
    Class(String),
    /// Write a page for each file of it.
    ExportClass,
    /// Stop writing or reading.
    Stop,
}
