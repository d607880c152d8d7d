//! What a plugin may ask of the CLAP host. Requests are noted; the rig looks at them when a
//! real host would.

use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_extensions::params::{
    HostParams, HostParamsImplMainThread, HostParamsImplShared, ParamClearFlags, ParamRescanFlags,
};
use clack_extensions::state::{HostState, HostStateImpl};
use clack_host::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Requests that stand open.
#[derive(Default)]
pub struct Requests {
    pub callback: AtomicBool,
    pub dirty: AtomicBool,
    /// The wanted size of the window, packed; 0 is none.
    pub size: AtomicU64,
}

impl SharedHandler<'_> for Requests {
    // A restart is the host's own affair, and the rigs process whenever the test says so.
    fn request_restart(&self) {}
    fn request_process(&self) {}

    fn request_callback(&self) {
        self.callback.store(true, Ordering::Release);
    }
}

impl HostParamsImplShared for Requests {
    // Between blocks there is nothing to flush: the rig flushes what it sets.
    fn request_flush(&self) {}
}

impl HostGuiImpl for Requests {
    fn resize_hints_changed(&self) {}

    fn request_resize(&self, size: GuiSize) -> Result<(), HostError> {
        self.size.store(size.pack_to_u64(), Ordering::Release);
        Ok(())
    }

    fn request_show(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn request_hide(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn closed(&self, _was_destroyed: bool) {}
}

/// The main thread's side.
pub struct MainSide<'a>(pub &'a Requests);

impl<'a> MainThreadHandler<'a> for MainSide<'a> {}

impl HostStateImpl for MainSide<'_> {
    fn mark_dirty(&self) {
        self.0.dirty.store(true, Ordering::Release);
    }
}

impl HostParamsImplMainThread for MainSide<'_> {
    // The rig keeps no copy of the parameters that could go stale.
    fn rescan(&self, _flags: ParamRescanFlags) {}
    fn clear(&self, _id: ClapId, _flags: ParamClearFlags) {}
}

/// The host as a plugin sees it.
pub struct Handlers;

impl HostHandlers for Handlers {
    type Shared<'a> = Requests;
    type MainThread<'a> = MainSide<'a>;
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _shared: &Requests) {
        builder.register::<HostState>().register::<HostParams>().register::<HostGui>();
    }
}
