//! The open view and the theme, saved with the project.

use serde::{Deserialize, Serialize};

/// What is saved of the panel, besides its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Look {
    /// The open view.
    pub tab: Tab,
    /// The theme.
    pub theme: ThemeName,
}

/// The panel's views.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Tab {
    /// The live view.
    #[default]
    Playing,
    /// All takes, and one of them in detail.
    Takes,
    /// The best bars of several takes.
    Comp,
    /// Drills.
    Practice,
    /// Days and weeks.
    Progress,
    /// The tune: its name, form and chords, and the player.
    Tune,
    /// Every setting.
    Settings,
}

impl Tab {
    /// The views in the row of tabs; the others have buttons of their own.
    pub const ROW: [Self; 5] =
        [Self::Playing, Self::Takes, Self::Comp, Self::Practice, Self::Progress];

    /// Whether it shows figures of takes, which are only computed when shown.
    pub fn shows_takes(self) -> bool {
        matches!(self, Self::Takes | Self::Comp)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Playing => "Playing",
            Self::Takes => "Takes",
            Self::Comp => "Comp",
            Self::Practice => "Practice",
            Self::Progress => "Progress",
            Self::Tune => "Tune",
            Self::Settings => "Settings",
        }
    }
}

/// The themes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ThemeName {
    /// For a dim stage.
    #[default]
    Stage,
    /// For a bright room.
    Day,
    /// The highest contrast.
    Contrast,
}

impl ThemeName {
    /// All themes.
    pub const ALL: [Self; 3] = [Self::Stage, Self::Day, Self::Contrast];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Stage => "Dark",
            Self::Day => "Light",
            Self::Contrast => "High contrast",
        }
    }
}
