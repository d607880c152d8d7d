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
    /// Those in the row of tabs; the others have a button of their own.
    pub const ROW: [Self; 5] =
        [Self::Playing, Self::Takes, Self::Comp, Self::Practice, Self::Progress];

    /// It shows figures of takes, which are worked out only where they are shown.
    pub fn shows_takes(self) -> bool {
        matches!(self, Self::Takes | Self::Comp)
    }

    /// What it is called.
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
            Self::Stage => "Dark",
            Self::Day => "Light",
            Self::Contrast => "High contrast",
        }
    }
}
