//! Colours by their role. No widget names a colour of its own, so that another theme is one
//! more constant here.

use egui::Color32;

/// A set of colours. Text roles keep a contrast of 4.5 to 1 on every ground they are used on,
/// mark roles one of 3 to 1 (WCAG 2.2, success criteria 1.4.3 and 1.4.11).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Behind everything.
    pub ground: Color32,
    /// Behind the header and the foot.
    pub raised: Color32,
    /// Behind a standing alert.
    pub alert_ground: Color32,
    /// Text that matters, and the bar line.
    pub ink: Color32,
    /// Text that explains.
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
    /// What recorded solos do.
    pub norm: Color32,
    /// What needs the player's eye: alerts, losses, no grid.
    pub alert: Color32,
    /// All is well: rolling, done.
    pub calm: Color32,
}

impl Theme {
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
        calm: Color32::from_rgb(0x7F, 0xD1, 0xAE),
    };
}
