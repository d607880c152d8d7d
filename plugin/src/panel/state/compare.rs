//! What the panel remembers of comparing, cutting and files.

use crate::panel::widgets::{GrowingScroll, Scroll};

/// What is shown of the comp.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CompPage {
    /// Takes against columns.
    #[default]
    Sheet,
    /// Figures, seams and the cue list.
    Seams,
    /// Columns, aim and nudging.
    SetUp,
}

impl CompPage {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Sheet, Self::Seams, Self::SetUp];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sheet => "Sheet",
            Self::Seams => "Seams",
            Self::SetUp => "Set up",
        }
    }
}

/// What the panel remembers of these views.
#[derive(Debug, Clone, Default)]
pub struct CompareState {
    /// Takes are being chosen.
    pub choosing: bool,
    /// Where the list of takes to choose from is.
    pub choices: GrowingScroll,
    /// Where the figures of the compared takes are.
    pub rows: Scroll,
    /// Where what is said of them is.
    pub compare: Scroll,
    /// What is shown of the comp.
    pub page: CompPage,
    /// The first column in sight.
    pub column: usize,
    /// The first take in sight.
    pub lanes: Scroll,
    /// Where seams and cues are.
    pub seams: Scroll,
    /// Where what is told of files is.
    pub files: Scroll,
}
