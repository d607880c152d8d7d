//! A setting as the panel shows it.

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
