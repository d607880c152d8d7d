//! What the panel asks of comparing, cutting, and files.

use crate::command::export::Export;
use crate::view_model::selection::Columns;
use overbar_core::study::comp::Aim;
use overbar_core::study::compare::Style;
use overbar_core::take::TakeId;

/// A wish.
#[derive(Debug, Clone, PartialEq)]
pub enum CompareCommand {
    /// Choose a take, or leave it out.
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
    /// What a proposed comp is to be best at.
    Aim(Aim),
    /// Whether seams move to the nearest rest.
    Nudge(bool),
    /// Choose the best comp.
    Propose,
    /// Keep the comp as a take.
    Keep,
    /// Write to this folder.
    Folder(String),
    /// Write a file.
    Export(Export),
    /// Read takes from this file or folder.
    Import(String),
    /// Hold takes against the solos in this folder; against none where it is empty.
    OwnSet(String),
    /// The folder of a class.
    Class(String),
    /// Write a page for each file of it.
    ExportClass,
    /// Leave what is being written or read.
    Stop,
}
