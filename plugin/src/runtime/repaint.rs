//! Waking the panel, and leaving it asleep while its window is hidden.

use nice_plug::editor::dpi::NativeSize;
use nice_plug::editor::{EditorHandle, Modifiers, ParentWindowHandle, VirtualKeyCode};
use nice_plug_egui::{EguiEditorHandle, RepaintNotifier};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

/// Asks the panel to draw, from any thread. Does nothing while the window is hidden.
#[derive(Clone)]
pub struct Repaint {
    notifier: RepaintNotifier,
    hidden: Arc<AtomicBool>,
}

impl Default for Repaint {
    fn default() -> Self {
        Self { notifier: RepaintNotifier::new(), hidden: Arc::default() }
    }
}

impl Repaint {
    /// Asks for a frame.
    pub fn request(&self) {
        self.notifier.request_repaint_with(!self.is_hidden());
    }

    /// Whether the host hides the window.
    pub fn is_hidden(&self) -> bool {
        self.hidden.load(Relaxed)
    }

    /// Sets whether the window is hidden.
    pub fn set_hidden(&self, hidden: bool) {
        self.hidden.store(hidden, Relaxed);
    }

    /// The notifier that the framework polls.
    pub fn notifier(&self) -> RepaintNotifier {
        self.notifier.clone()
    }
}

/// Wraps the framework's window handle so that nothing is drawn while the window is hidden.
pub struct PanelHandle {
    window: EguiEditorHandle,
    repaint: Repaint,
}

impl PanelHandle {
    /// Wraps the handle of a visible window.
    pub fn new(window: EguiEditorHandle, repaint: Repaint) -> Self {
        repaint.set_hidden(false);
        Self { window, repaint }
    }
}

type Window = <EguiEditorHandle as EditorHandle>::Window;
type Fault = <EguiEditorHandle as EditorHandle>::Error;

impl EditorHandle for PanelHandle {
    type Window = Window;
    type Error = Fault;

    fn run_until_closed(window: Window) -> Result<(), Fault> {
        EguiEditorHandle::run_until_closed(window)
    }

    fn set_parent(&self, parent: ParentWindowHandle, window: &Window) -> Result<(), Fault> {
        self.window.set_parent(parent, window)
    }

    fn show(&self, window: &Window) -> Result<(), Fault> {
        self.repaint.set_hidden(false);
        self.window.show(window)
    }

    fn hide(&self, window: &Window) -> Result<(), Fault> {
        self.repaint.set_hidden(true);
        self.window.hide(window)
    }

    fn set_size(&self, new_size: NativeSize<u32>, window: &Window) -> Result<(), Fault> {
        self.window.set_size(new_size, window)
    }

    fn host_main_thread_callback(&self, window: &Window) {
        self.window.host_main_thread_callback(window);
    }

    fn adjust_size(&self, new_size: NativeSize<u32>, window: &Window) -> Option<NativeSize<u32>> {
        self.window.adjust_size(new_size, window)
    }

    fn set_fallback_scale_factor(&self, scale_factor: f64, window: &Window) -> Result<(), Fault> {
        self.window.set_fallback_scale_factor(scale_factor, window)
    }

    fn on_virtual_key_from_host(&self, key: VirtualKeyCode, down: bool, with: Modifiers) -> bool {
        self.window.on_virtual_key_from_host(key, down, with)
    }

    fn state_changed(&self) {
        self.repaint.request();
    }

    fn param_value_changed(&self, _: &str, _: f32) {
        self.repaint.request();
    }

    fn param_modulation_changed(&self, _: &str, _: f32) {
        self.repaint.request();
    }
}
