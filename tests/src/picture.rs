//! Pictures of the panel, drawn without a window.

use egui::{UiBuilder, Vec2};
use egui_kittest::Harness;
use overbar::command::action::Action;
use overbar::panel;
use overbar::panel::state::PanelState;
use overbar::panel::view::View;
use overbar_raster::Raster;
use std::path::Path;

/// The panel over the whole window: a test's window has a margin, a plugin's has none.
pub fn fill(ui: &mut egui::Ui, view: &View<'_>, state: &mut PanelState) -> Vec<Action> {
    let window = ui.ctx().content_rect();
    let mut whole = ui.new_child(UiBuilder::new().max_rect(window));
    whole.set_clip_rect(window);
    panel::show(&mut whole, view, state)
}

/// Saves a picture of the panel, `size` points large, at `scale` pixels per point.
///
/// # Errors
/// Why it could not be drawn or written.
pub fn save(view: &View<'_>, size: Vec2, scale: f32, path: &Path) -> Result<(), String> {
    let mut state = PanelState::default();
    let mut harness = Harness::builder()
        .renderer(Raster::default())
        .with_size(size)
        .with_pixels_per_point(scale)
        .build_ui(|ui| {
            fill(ui, view, &mut state);
        });
    harness.run();
    let picture = harness.render()?;
    picture.save(path).map_err(|error| format!("{}: {error}", path.display()))
}
