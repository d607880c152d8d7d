//! What the panel remembers of progress over days and weeks.

use crate::panel::widgets::Scroll;
use egui::Pos2;

/// Whose progress, or in what.
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
    /// Where it hangs.
    pub at: Pos2,
    /// The first name in it.
    pub from: usize,
    /// It has not been shown yet.
    pub new: bool,
}

/// See the module.
#[derive(Debug, Clone, Default)]
pub struct PastState {
    /// The figure that is shown by player and tune, by its place in the list.
    pub figure: usize,
    /// In a narrow window, players and tunes are shown.
    pub names: bool,
    /// Where these are scrolled to.
    pub scroll: Scroll,
    /// The menu of players or tunes, while it is open.
    pub menu: Option<NameMenu>,
}
