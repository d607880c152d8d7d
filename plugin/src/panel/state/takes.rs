//! What the panel remembers of takes: the list, and what is shown of the selected one.

use crate::panel::state::beat_grid::BeatGridState;
use crate::panel::widgets::{GrowingScroll, Scroll};
use egui::Pos2;
use overbar_core::take::TakeId;

/// Where the listed takes are from.
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

/// What is shown beside the list.
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
    /// Its notes under bar lines and beats, to be put right.
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
    /// What is shown of one take, in the order of the buttons.
    pub const OF_A_TAKE: [Self; 7] = [
        Self::Overview,
        Self::Phrases,
        Self::Choruses,
        Self::Advice,
        Self::Chords,
        Self::BeatGrid,
        Self::Edit,
    ];

    /// What it is called.
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
    /// As they were played.
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

/// How the list of takes is shown.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ListOrder {
    /// Sorted by.
    pub by: SortBy,
    /// The greatest first.
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
    /// Where it was asked for; `None` for beside the take.
    pub at: Option<Pos2>,
    /// It has not been shown yet.
    pub new: bool,
}

/// See the module.
#[derive(Debug, Clone, Default)]
pub struct TakesState {
    /// Where the takes are from.
    pub source: Source,
    /// How they are sorted.
    pub order: ListOrder,
    /// Where the list is.
    pub list: GrowingScroll,
    /// Where the list of the library is.
    pub library: Scroll,
    /// The library has been searched since the panel opened.
    pub library_asked: bool,
    /// The number of the selected take; `None` for the newest.
    pub selected: Option<u32>,
    /// In a narrow window, the detail covers the list.
    pub covers: bool,
    /// What is shown of the selected take.
    pub detail: Detail,
    /// Where that is scrolled to.
    pub scroll: Scroll,
    /// What is chosen of its beat grid.
    pub grid: BeatGridState,
    /// The menu of a take, while it is open.
    pub menu: Option<TakeMenu>,
    /// The menu of takes to compare one with, while it is open.
    pub pair: Option<TakeMenu>,
    /// The take that was asked to be shown, until it is.
    pub asked: Option<Option<u32>>,
}

impl TakesState {
    /// Opens a view beside the list, at its top.
    pub fn open(&mut self, detail: Detail) {
        self.detail = detail;
        self.scroll = Scroll::default();
        self.covers = true;
    }
}
