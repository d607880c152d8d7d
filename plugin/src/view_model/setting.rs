//! A setting as the panel shows and changes it.

/// One setting, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
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
}

/// How to change a setting.
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
