//! A setting as the panel shows and changes it.

/// One setting, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    /// What it is told by; never shown.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its value with its unit.
    pub value: String,
    /// It is on or off, and nothing else.
    pub is_switch: bool,
    /// It is as it was at first.
    pub at_default: bool,
    /// It goes no lower.
    pub at_least: bool,
    /// It goes no higher.
    pub at_most: bool,
}

/// What to set a parameter to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Adjustment {
    /// One step less.
    Less,
    /// One step more.
    More,
    /// What it is at first.
    Default,
    /// What was typed.
    Typed(String),
}
