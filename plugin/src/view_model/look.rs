//! Which view is open, in which colours. Saved with the project.

use serde::{Deserialize, Serialize};

/// What is saved of the panel, beside its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Look {
    /// The view that is open.
    pub tab: Tab,
    /// Its colours.
    pub theme: ThemeName,
}

/// The panel's views.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Tab {
    /// What is being played.
    #[default]
    Playing,
    /// Drills.
    Practice,
    /// The takes there are.
    Takes,
    /// Every setting.
    Settings,
}

impl Tab {
    /// All views, as they stand in the row of tabs.
    pub const ALL: [Self; 4] = [Self::Playing, Self::Practice, Self::Takes, Self::Settings];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Playing => "Playing",
            Self::Practice => "Practice",
            Self::Takes => "Takes",
            Self::Settings => "Settings",
        }
    }
}

/// The themes there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ThemeName {
    /// For a dim stage.
    #[default]
    Stage,
    /// For a bright room.
    Day,
    /// As much contrast as there is.
    Contrast,
}

impl ThemeName {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Stage, Self::Day, Self::Contrast];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Stage => "Dim stage",
            Self::Day => "Bright room",
            Self::Contrast => "High contrast",
        }
    }
}
