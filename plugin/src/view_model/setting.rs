//! A setting as shown and changed in the panel.

/// One setting, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Its id; never shown.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its value with its unit.
    pub value: String,
    /// It is a switch.
    pub is_switch: bool,
    /// It is at its default.
    pub at_default: bool,
    /// It is at its minimum.
    pub at_least: bool,
    /// It is at its maximum.
    pub at_most: bool,
    /// Its value as a fraction of its range, from 0 to 1.
    pub fraction: f32,
    /// It has so many values that stepping is slow.
    pub is_level: bool,
}

/// A change of a setting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Adjustment {
    /// One step less.
    Less,
    /// One step more.
    More,
    /// Its default.
    Default,
    /// What was typed.
    Typed(String),
}

/// A part of dragging a slider, which is one gesture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drag {
    /// All of it: a click.
    Whole,
    /// It begins.
    Starts,
    /// It goes on.
    GoesOn,
    /// It is over.
    Ends,
}
