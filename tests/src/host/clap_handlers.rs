//! The requests a plugin may make to the CLAP host. They are recorded; the rig handles them when a real host
//! would.

use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_extensions::params::{
    HostParams, HostParamsImplMainThread, HostParamsImplShared, ParamClearFlags, ParamRescanFlags,
};
use clack_extensions::state::{HostState, HostStateImpl};
use clack_host::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};

/// Pending requests.
#[derive(Default)]
pub struct Requests {
    pub callback: AtomicBool,
}

impl SharedHandler<'_> for Requests {
    // A restart is up to the host, and the rigs process whenever the test says so.
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

    fn request_resize(&self, _size: GuiSize) -> Result<(), HostError> {
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
pub struct MainSide;

impl MainThreadHandler<'_> for MainSide {}

impl HostStateImpl for MainSide {
    fn mark_dirty(&self) {}
}

impl HostParamsImplMainThread for MainSide {
    // The rig has no cached parameters that could become stale.
    fn rescan(&self, _flags: ParamRescanFlags) {}
    fn clear(&self, _id: ClapId, _flags: ParamClearFlags) {}
}

/// The host as a plugin sees it.
pub struct Handlers;

impl HostHandlers for Handlers {
    type Shared<'a> = Requests;
    type MainThread<'a> = MainSide;
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _shared: &Requests) {
        builder.register::<HostState>().register::<HostParams>().register::<HostGui>();
    }
}
