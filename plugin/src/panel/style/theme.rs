//! Colours by role. No widget names a colour of its own, so a new theme is just another constant here.

use crate::view_model::look::ThemeName;
use egui::Color32;

/// A set of colours. Text roles have a contrast of at least 4.5:1 on every background they are used on, mark
/// roles at least 3:1 (WCAG 2.2, success criteria 1.4.3 and 1.4.11).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Behind everything.
    pub ground: Color32,
    /// Behind the header and the foot.
    pub raised: Color32,
    /// Behind an alert.
    pub alert_ground: Color32,
    /// Primary text, and the bar line.
    pub ink: Color32,
    /// Secondary text.
    pub ink_soft: Color32,
    /// Grid and dividing lines, which carry no information of their own.
    pub rule: Color32,
    /// Entries on beat one.
    pub one: Color32,
    /// Entries on another beat.
    pub beat: Color32,
    /// Entries off the beat: the "and", triplets, sixteenths.
    pub off: Color32,
    /// Entries anywhere else.
    pub other: Color32,
    /// The range of recorded solos.
    pub norm: Color32,
    /// What needs the player's eye: alerts, losses, no grid.
    pub alert: Color32,
    /// The host records.
    pub recording: Color32,
    /// All is well: playing, done.
    pub calm: Color32,
}

impl Theme {
    /// The theme of this name.
    pub fn of(name: ThemeName) -> Self {
        match name {
            ThemeName::Stage => Self::NIGHT,
            ThemeName::Day => Self::DAY,
            ThemeName::Contrast => Self::CONTRAST,
        }
    }

    /// For a dim stage.
    pub const NIGHT: Self = Self {
        ground: Color32::from_rgb(0x11, 0x15, 0x1E),
        raised: Color32::from_rgb(0x1A, 0x20, 0x2D),
        alert_ground: Color32::from_rgb(0x44, 0x1E, 0x1C),
        ink: Color32::from_rgb(0xF4, 0xEF, 0xE3),
        ink_soft: Color32::from_rgb(0xA9, 0xB1, 0xC1),
        rule: Color32::from_rgb(0x38, 0x42, 0x55),
        one: Color32::from_rgb(0xE8, 0x55, 0x3F),
        beat: Color32::from_rgb(0x86, 0xA5, 0xDC),
        off: Color32::from_rgb(0xF6, 0xC4, 0x53),
        other: Color32::from_rgb(0xD8, 0xF5, 0xEA),
        norm: Color32::from_rgb(0x4F, 0x8C, 0x7C),
        alert: Color32::from_rgb(0xFF, 0x9A, 0x7C),
        recording: Color32::from_rgb(0xFF, 0x7A, 0xC2),
        calm: Color32::from_rgb(0x7F, 0xD1, 0xAE),
    };

    /// For a bright room.
    pub const DAY: Self = Self {
        ground: Color32::from_rgb(0xFA, 0xF7, 0xF0),
        raised: Color32::from_rgb(0xEF, 0xEA, 0xDF),
        alert_ground: Color32::from_rgb(0xFB, 0xE0, 0xD3),
        ink: Color32::from_rgb(0x12, 0x15, 0x1E),
        ink_soft: Color32::from_rgb(0x4A, 0x51, 0x60),
        rule: Color32::from_rgb(0xCF, 0xC8, 0xB8),
        one: Color32::from_rgb(0xEA, 0x52, 0x36),
        beat: Color32::from_rgb(0x1B, 0x47, 0x88),
        off: Color32::from_rgb(0x95, 0x58, 0x06),
        other: Color32::from_rgb(0x0B, 0x30, 0x29),
        norm: Color32::from_rgb(0x58, 0x89, 0x7B),
        alert: Color32::from_rgb(0x9E, 0x24, 0x12),
        recording: Color32::from_rgb(0xA3, 0x15, 0x6B),
        calm: Color32::from_rgb(0x17, 0x62, 0x3F),
    };

    /// The highest contrast.
    pub const CONTRAST: Self = Self {
        ground: Color32::from_rgb(0x00, 0x00, 0x00),
        raised: Color32::from_rgb(0x0D, 0x0D, 0x0D),
        alert_ground: Color32::from_rgb(0x3A, 0x00, 0x00),
        ink: Color32::from_rgb(0xFF, 0xFF, 0xFF),
        ink_soft: Color32::from_rgb(0xE2, 0xE2, 0xE2),
        rule: Color32::from_rgb(0x6E, 0x6E, 0x6E),
        one: Color32::from_rgb(0xF0, 0x44, 0x2A),
        beat: Color32::from_rgb(0x6F, 0xA0, 0xFF),
        off: Color32::from_rgb(0xFF, 0xD2, 0x1F),
        other: Color32::from_rgb(0xE9, 0xFF, 0xF6),
        norm: Color32::from_rgb(0x4C, 0x8A, 0x78),
        alert: Color32::from_rgb(0xFF, 0xB1, 0x99),
        recording: Color32::from_rgb(0xFF, 0x8F, 0xD4),
        calm: Color32::from_rgb(0x7C, 0xF2, 0xB8),
    };

    /// Whether it is dark.
    pub fn is_dark(&self) -> bool {
        self.ground.r() < 0x80
    }
}
