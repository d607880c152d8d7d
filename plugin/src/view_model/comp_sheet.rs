//! The comp sheet: takes against choruses, sections or groups of bars, and the comp that is cut from it.

use overbar_core::phrase::figures::Figures;
use overbar_core::quantization::PositionClass;
use overbar_core::study::comp::{Column, Cue};
use overbar_core::take::TakeId;

/// The sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct CompSheet {
    /// The columns.
    pub columns: Vec<Column>,
    /// A row for each take.
    pub rows: Vec<SheetRow>,
    /// The take of each column, as an index into `rows`.
    pub choice: Vec<usize>,
    /// Where the comp switches takes.
    pub edits: Vec<EditView>,
    /// The figures of the spliced notes.
    pub figures: Figures,
    /// The cue list.
    pub cues: Vec<Cue>,
    /// The cue list as text.
    pub cue_text: String,
}

/// A take across the columns.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRow {
    /// Its id.
    pub id: TakeId,
    /// Its title.
    pub title: String,
    /// Its phrases by the column they start in.
    pub cells: Vec<Vec<SheetPhrase>>,
}

/// A phrase across bars.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPhrase {
    /// Its start, in bars from the column's first bar line.
    pub at: f64,
    /// Its length in bars.
    pub bars: f64,
    /// The class of its starting position.
    pub class: PositionClass,
    /// Its starting position in words.
    pub place: String,
}

/// An edit of the comp.
#[derive(Debug, Clone, PartialEq)]
pub struct EditView {
    /// The column that starts there.
    pub column: usize,
    /// The bar at whose bar line it is.
    pub bar: i64,
    /// How far it was moved, in quarters; later is positive.
    pub nudged: f64,
    /// Problems with it.
    pub faults: Vec<String>,
}
