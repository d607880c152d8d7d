//! The plugin's editor inside a window of a VST3 host.

use super::gui::GuiHost;
use super::{HostError, Vst3Rig};
use vst3_host::WindowHandle;

impl GuiHost for Vst3Rig {
    fn open_gui(&mut self, window: u32, scale: f64) -> Result<(u32, u32), HostError> {
        let failed = |error| HostError::new("editor", error);
        self.close_gui();
        // The crate stores the scale and offers it to the editor before attaching it.
        self.plugin.set_editor_scale_factor(scale as f32).map_err(failed)?;
        self.plugin.open_editor(WindowHandle::from_x11(window)).map_err(failed)?;
        self.gui_size().ok_or_else(|| HostError::new("editor", "it has no size"))
    }

    fn gui_size(&mut self) -> Option<(u32, u32)> {
        self.plugin.attached_editor_size().ok().flatten().and_then(unsigned)
    }

    fn gui_can_resize(&mut self) -> bool {
        self.plugin.attached_editor_can_resize().unwrap_or(false)
    }

    fn resize_gui(&mut self, (width, height): (u32, u32)) -> Result<(u32, u32), HostError> {
        let failed = |error| HostError::new("editor", error);
        let size = self.plugin.resize_editor(width as i32, height as i32).map_err(failed)?;
        unsigned(size).ok_or_else(|| HostError::new("editor", "it took a negative size"))
    }

    fn close_gui(&mut self) {
        // An error means that none was open.
        drop(self.plugin.close_editor());
    }
}

fn unsigned((width, height): (i32, i32)) -> Option<(u32, u32)> {
    Some((u32::try_from(width).ok()?, u32::try_from(height).ok()?))
}
