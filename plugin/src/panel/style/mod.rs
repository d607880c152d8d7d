//! The style of every widget: colours, and sizes that suit the window.

pub mod theme;
pub mod typeface;

use crate::panel::style::theme::Theme;
use egui::Vec2;

/// The window for which sizes are given, in points.
const DRAWN_FOR: Vec2 = Vec2::new(640.0, 400.0);

/// Sizes grow with this power of the window size: a large window has larger type, and more of it. Chosen by
/// eye.
const GROWTH: f32 = 0.8;

/// The same for a view that is read rather than glanced at: a large window shows more.
const GROWTH_TO_READ: f32 = 0.22;

/// Sizes shrink with this power of the window size: type shrinks less than space. Chosen by eye.
const SHRINKAGE: f32 = 0.6;

/// Minimum text size, in points.
const SMALLEST_TEXT: f32 = 10.5;

/// Colours and sizes. Lengths are in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Colours.
    pub theme: Theme,
    /// The scale of strokes and gaps, relative to the default window.
    pub scale: f32,
    /// The running figure.
    pub huge: f32,
    /// The alert and the transport state.
    pub large: f32,
    /// Counts and names.
    pub body: f32,
    /// Captions.
    pub caption: f32,
    /// Ticks and row labels.
    pub small: f32,
    /// Margin of an area.
    pub margin: f32,
}

impl Style {
    /// Sizes for a window of `size` points, seen from the player's seat.
    pub fn new(theme: Theme, size: Vec2) -> Self {
        Self::grown(theme, size, GROWTH)
    }

    /// Sizes for a window of `size` points, read close up.
    pub fn to_read(theme: Theme, size: Vec2) -> Self {
        Self::grown(theme, size, GROWTH_TO_READ)
    }

    fn grown(theme: Theme, size: Vec2, growth: f32) -> Self {
        let part = (size.x / DRAWN_FOR.x).min(size.y / DRAWN_FOR.y).clamp(0.4, 8.0);
        let scale = part.powf(if part < 1.0 { SHRINKAGE } else { growth });
        let text = |points: f32, least: f32| (points * scale).max(least);
        Self {
            theme,
            scale,
            huge: text(72.0, 40.0),
            large: text(17.0, 15.0),
            body: text(14.0, 12.0),
            caption: text(12.5, 11.0),
            small: text(11.5, SMALLEST_TEXT),
            margin: 16.0 * scale,
        }
    }

    /// Scales a length given for the default window.
    pub fn len(&self, points: f32) -> f32 {
        points * self.scale
    }
}
