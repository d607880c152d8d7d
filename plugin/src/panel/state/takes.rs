//! The panel's state of takes: the list, and the details of the selected one.

use crate::panel::state::beat_grid::BeatGridState;
use crate::panel::widgets::{GrowingScroll, Scroll};
use egui::Pos2;
use overbar_core::take::TakeId;

/// The source of the listed takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Source {
    /// This project.
    #[default]
    Project,
    /// The library: takes of all projects.
    Library,
    /// Takes of the library that were cut off when their host ended.
    Recovered,
}

/// The view beside the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Detail {
    /// Choruses as pictures, figures, time feel.
    #[default]
    Overview,
    /// The phrases, and one of them note by note.
    Phrases,
    /// Figures of choruses, sections and solos.
    Choruses,
    /// What to work on next.
    Advice,
    /// Notes against the chords.
    Chords,
    /// Its notes under bar lines and beats, for corrections.
    BeatGrid,
    /// Its name, tune and comment; merge, split and delete.
    Edit,
    /// The checked takes side by side.
    Compare,
    /// Reading files.
    Import,
    /// Writing files.
    Export,
}

impl Detail {
    /// The views of a single take, in the order of the buttons.
    pub const OF_A_TAKE: [Self; 7] = [
        Self::Overview,
        Self::Phrases,
        Self::Choruses,
        Self::Advice,
        Self::Chords,
        Self::BeatGrid,
        Self::Edit,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Overview => "Overview",
            Self::Phrases => "Phrases",
            Self::Choruses => "Choruses",
            Self::Advice => "Advice",
            Self::Chords => "Chords",
            Self::BeatGrid => "Beat grid",
            Self::Edit => "Edit",
            Self::Compare => "Compare",
            Self::Import => "Import",
            Self::Export => "Export",
        }
    }
}

/// What the list of takes is sorted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SortBy {
    /// In the order played.
    #[default]
    Played,
    /// Name.
    Name,
    /// How long it took.
    Time,
    /// How many phrases it has.
    Phrases,
    /// Share of off-beat starts.
    OffBeat,
    /// Share of starts on beat one.
    BeatOne,
    /// Typical length of its phrases.
    Length,
}

/// Sorting and filtering of the list of takes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ListOrder {
    /// The sort key.
    pub by: SortBy,
    /// Whether the largest is first.
    pub descending: bool,
    /// Only takes with all of these words in name, tune, player, date or comment.
    pub search: String,
    /// Only those with a star.
    pub starred: bool,
}

/// The menu of a take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeMenu {
    /// The take.
    pub take: TakeId,
    /// Where it was opened; `None` for beside the take.
    pub at: Option<Pos2>,
    /// It has not been shown yet.
    pub new: bool,
}

/// The state of the takes view.
#[derive(Debug, Clone, Default)]
pub struct TakesState {
    /// The source of the listed takes.
    pub source: Source,
    /// How they are sorted.
    pub order: ListOrder,
    /// Scroll position of the list.
    pub list: GrowingScroll,
    /// Scroll position of the list of the library.
    pub library: Scroll,
    /// Whether the library has been searched since the panel opened.
    pub library_asked: bool,
    /// The number of the selected take; `None` for the newest.
    pub selected: Option<u32>,
    /// In a narrow window: whether the detail covers the list.
    pub covers: bool,
    /// The view of the selected take.
    pub detail: Detail,
    /// Scroll position of that view.
    pub scroll: Scroll,
    /// Its beat grid editor.
    pub grid: BeatGridState,
    /// The open menu of a take.
    pub menu: Option<TakeMenu>,
    /// The open menu of takes to compare with.
    pub pair: Option<TakeMenu>,
    /// The take that was requested, until it is shown.
    pub asked: Option<Option<u32>>,
}

impl TakesState {
    /// Opens a view beside the list, scrolled to its top.
    pub fn open(&mut self, detail: Detail) {
        self.detail = detail;
        self.scroll = Scroll::default();
        self.covers = true;
    }
}
