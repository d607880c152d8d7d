//! The plugin's editor inside a window of the host.

use super::{ClapRig, HostError};
use clack_extensions::gui::{GuiApiType, GuiConfiguration, GuiSize, PluginGui, Window};

/// A host that can show a plugin's editor in an X11 window made by the test. The window must outlive the
/// editor.
pub trait GuiHost {
    /// Opens the editor inside `window` at a scale factor and returns its size in pixels.
    ///
    /// If there is no editor or display, or the plugin refuses. Nothing is open then.
    /// If there is no editor, no display, or the plugin refuses. Nothing is open then.
    fn open_gui(&mut self, window: u32, scale: f64) -> Result<(u32, u32), HostError>;

    /// The size of the open editor, in pixels.
    fn gui_size(&mut self) -> Option<(u32, u32)>;

    /// Whether the open editor can be resized.
    fn gui_can_resize(&mut self) -> bool;

    /// Resizes the open editor as close to `size` as it allows, and returns the actual size.
    ///
    /// # Errors
    /// If the plugin refuses.
    fn resize_gui(&mut self, size: (u32, u32)) -> Result<(u32, u32), HostError>;

    /// Closes the editor, if it is open.
    fn close_gui(&mut self);
}

const EMBEDDED: GuiConfiguration<'static> =
    GuiConfiguration { api_type: GuiApiType::X11, is_floating: false };

impl ClapRig {
    /// Hides the open editor, or shows it again.
    ///
    /// # Errors
    /// If the plugin refuses.
    pub fn show_gui(&mut self, shown: bool) -> Result<(), HostError> {
        let gui = self.gui()?;
        let handle = self.main.instance.plugin_handle();
        let done = if shown { gui.show(&handle) } else { gui.hide(&handle) };
        done.map_err(|error| HostError::new("editor", error))
    }

    fn gui(&self) -> Result<PluginGui, HostError> {
        let gui = self.main.instance.plugin_shared_handle().get_extension::<PluginGui>();
        gui.ok_or_else(|| HostError::new("editor", "the plugin has none"))
    }
}

impl GuiHost for ClapRig {
    fn open_gui(&mut self, window: u32, scale: f64) -> Result<(u32, u32), HostError> {
        self.close_gui();
        let gui = self.gui()?;
        let handle = self.main.instance.plugin_handle();
        if !gui.is_api_supported(&handle, EMBEDDED) {
            return Err(HostError::new("editor", "it cannot be embedded in an X11 window"));
        }
        gui.create(&handle, EMBEDDED).map_err(|error| HostError::new("editor", error))?;
        self.main.gui_open = true;
        let handle = self.main.instance.plugin_handle();
        // A plugin may decline a scale and use its own.
        let _declined = gui.set_scale(&handle, scale).is_err();
        let parent = Window::from_x11_handle(window.into());
        // SAFETY: by the trait's contract the window outlives the editor.
        let shown = unsafe { gui.set_parent(&handle, parent) }.and_then(|()| gui.show(&handle));
        let size = gui.get_size(&handle);
        if let Err(error) = shown {
            self.close_gui();
            return Err(HostError::new("editor", error));
        }
        size.map(pair).ok_or_else(|| HostError::new("editor", "it has no size"))
    }

    fn gui_size(&mut self) -> Option<(u32, u32)> {
        let gui = self.gui().ok().filter(|_| self.main.gui_open)?;
        gui.get_size(&self.main.instance.plugin_handle()).map(pair)
    }

    fn gui_can_resize(&mut self) -> bool {
        let open = self.main.gui_open;
        let gui = self.gui().ok().filter(|_| open);
        gui.is_some_and(|gui| gui.can_resize(&self.main.instance.plugin_handle()))
    }

    fn resize_gui(&mut self, (width, height): (u32, u32)) -> Result<(u32, u32), HostError> {
        let gui = self.gui()?;
        let handle = self.main.instance.plugin_handle();
        let wanted = GuiSize { width, height };
        let size = gui.adjust_size(&handle, wanted).unwrap_or(wanted);
        gui.set_size(&handle, size).map_err(|error| HostError::new("editor", error))?;
        Ok(pair(size))
    }

    fn close_gui(&mut self) {
        if std::mem::take(&mut self.main.gui_open)
            && let Ok(gui) = self.gui()
        {
            gui.destroy(&self.main.instance.plugin_handle());
        }
    }
}

fn pair(size: GuiSize) -> (u32, u32) {
    (size.width, size.height)
}
