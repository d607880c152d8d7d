//! A plain X11 window for embedding a plugin's editor.

use overbar_testkit::skipped;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    AtomEnum, ConnectionExt, CreateWindowAux, EventMask, ImageFormat, PropMode, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// Starts a display for this process only, and points the process at it; returns whether there is one. To be
/// called before the process has a second thread that reads the environment.
///
/// It ends by itself with its last client. Ending it from here would be too early: graphics drivers keep a
/// connection until the process exits, and kill the process if it breaks.
#[must_use]
pub fn own_display(what_for: &str) -> bool {
    let number = format!(":{}", 90 + std::process::id() % 400);
    let server = Command::new("Xvfb")
        .args([&number, "-screen", "0", "1280x1024x24", "-terminate"])
        .stderr(Stdio::null())
        .spawn();
    if let Err(why) = server {
        skipped(&format!("{what_for}: Xvfb does not start ({why})"));
        return false;
    }
    std::thread::sleep(Duration::from_millis(1_500));
    // SAFETY: by the contract above no other thread reads the environment meanwhile.
    unsafe { std::env::set_var("DISPLAY", number) };
    true
}

/// A window on the display; it is closed with its connection.
pub struct HostWindow {
    connection: RustConnection,
    id: u32,
    delete: u32,
}

type Failed = Box<dyn std::error::Error>;

impl HostWindow {
    /// Opens one with this title and size in pixels.
    ///
    /// # Errors
    /// If there is no display, or it refuses.
    pub fn open(title: &str, (width, height): (u16, u16)) -> Result<Self, Failed> {
        let (connection, screen) = x11rb::connect(None)?;
        let id = connection.generate_id()?;
        let delete = connection.intern_atom(false, b"WM_DELETE_WINDOW")?.reply()?.atom;
        let protocols = connection.intern_atom(false, b"WM_PROTOCOLS")?.reply()?.atom;
        let root = &connection.setup().roots[screen];
        let look = CreateWindowAux::new()
            .background_pixel(root.black_pixel)
            .event_mask(EventMask::STRUCTURE_NOTIFY);
        let class = WindowClass::INPUT_OUTPUT;
        connection.create_window(
            x11rb::COPY_DEPTH_FROM_PARENT,
            id,
            root.root,
            0,
            0,
            width,
            height,
            0,
            class,
            0,
            &look,
        )?;
        let text = AtomEnum::STRING;
        connection.change_property8(
            PropMode::REPLACE,
            id,
            AtomEnum::WM_NAME,
            text,
            title.as_bytes(),
        )?;
        connection.change_property32(
            PropMode::REPLACE,
            id,
            protocols,
            AtomEnum::ATOM,
            &[delete],
        )?;
        connection.map_window(id)?;
        connection.flush()?;
        Ok(Self { connection, id, delete })
    }

    /// Its X11 id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.id
    }

    /// Events since the last call: its new size, if that changed, and whether the user closed it.
    ///
    /// # Errors
    /// If the display went away.
    pub fn poll(&self) -> Result<(Option<(u16, u16)>, bool), Failed> {
        let mut size = None;
        while let Some(event) = self.connection.poll_for_event()? {
            match event {
                Event::ConfigureNotify(now) if now.window == self.id => {
                    size = Some((now.width, now.height));
                }
                Event::ClientMessage(message) if message.data.as_data32()[0] == self.delete => {
                    return Ok((size, true));
                }
                _ => {}
            }
        }
        Ok((size, false))
    }

    /// The pixels of its top left corner: red, green and blue, row by row.
    ///
    /// # Errors
    /// If the display went away, or its format is not 8 bits per channel.
    pub fn picture(&self, width: u16, height: u16) -> Result<Vec<u8>, Failed> {
        let format = ImageFormat::Z_PIXMAP;
        let seen = self.connection.get_image(format, self.id, 0, 0, width, height, !0)?.reply()?;
        if seen.data.len() != usize::from(width) * usize::from(height) * 4 {
            return Err("the display shows colours in another way".into());
        }
        Ok(seen.data.chunks_exact(4).flat_map(|pixel| [pixel[2], pixel[1], pixel[0]]).collect())
    }

    /// Gives the display some time to draw.
    ///
    /// # Errors
    /// If the display went away.
    pub fn settle(&self, time: Duration) -> Result<(), Failed> {
        let until = Instant::now() + time;
        while Instant::now() < until {
            self.poll()?;
            std::thread::sleep(Duration::from_millis(10));
        }
        Ok(())
    }
}
