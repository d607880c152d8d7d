//! The panel's state of progress over days and weeks.

use crate::panel::widgets::Scroll;
use egui::Pos2;

/// A kind of name to filter by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NameOf {
    /// A player.
    Player,
    /// A tune.
    Tune,
}

/// A menu of names.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NameMenu {
    /// Of what.
    pub of: NameOf,
    /// Where it opens.
    pub at: Pos2,
    /// The first name in it.
    pub from: usize,
    /// It has not been shown yet.
    pub new: bool,
}

/// The state of the progress view.
#[derive(Debug, Clone, Default)]
pub struct PastState {
    /// The figure shown by player and tune, by its index in the list.
    pub figure: usize,
    /// Whether players and tunes are shown, in a narrow window.
    pub names: bool,
    /// Where these are scrolled to.
    pub scroll: Scroll,
    /// The open menu of players or tunes.
    pub menu: Option<NameMenu>,
}
