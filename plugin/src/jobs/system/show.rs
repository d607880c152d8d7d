//! Shows a file in its folder, selected if the system's file manager supports it.

use std::path::Path;
use std::process::{Command, Stdio};

/// Shows the file, or only opens its folder if the file manager cannot be called.
///
/// # Errors
/// Why not, without a full stop.
pub fn in_folder(file: &Path) -> Result<(), String> {
    std::fs::metadata(file).map_err(|error| error.to_string())?;
    let mut command = selecting(file);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    // Windows' file manager exits with 1 either way.
    if command.status().is_ok_and(|ended| ended.success() || cfg!(windows)) {
        return Ok(());
    }
    let folder = file.parent().ok_or("it is in no folder")?;
    open::that_detached(folder).map_err(|error| error.to_string())
}

#[cfg(target_os = "macos")]
fn selecting(file: &Path) -> Command {
    let mut command = Command::new("open");
    command.arg("-R").arg(file);
    command
}

#[cfg(windows)]
fn selecting(file: &Path) -> Command {
    use std::os::windows::process::CommandExt as _;
    let mut command = Command::new("explorer");
    // The quotes must come after the comma.
    command.raw_arg(format!("/select,\"{}\"", file.display()));
    command
}

/// Calls the desktop's file manager; see the freedesktop.org File Manager Interface.
#[cfg(not(any(target_os = "macos", windows)))]
fn selecting(file: &Path) -> Command {
    let mut command = Command::new("dbus-send");
    command
        .args(["--session", "--print-reply", "--reply-timeout=3000", "--type=method_call"])
        .args(["--dest=org.freedesktop.FileManager1", "/org/freedesktop/FileManager1"])
        .arg("org.freedesktop.FileManager1.ShowItems")
        .args([format!("array:string:{}", address(file)), "string:".to_owned()]);
    command
}

/// The file's URL, with its commas escaped: they would end it.
#[cfg(not(any(target_os = "macos", windows)))]
fn address(file: &Path) -> String {
    use std::fmt::Write as _;
    use std::os::unix::ffi::OsStrExt as _;
    let mut address = "file://".to_owned();
    for byte in file.as_os_str().as_bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'_' | b'.' | b'~' => {
                address.push(char::from(*byte));
            }
            _ => drop(write!(address, "%{byte:02X}")),
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_file_is_reported() {
        let gone = std::env::temp_dir().join("overbar_never_was.html");
        assert!(in_folder(&gone).is_err());
    }

    #[cfg(not(any(target_os = "macos", windows)))]
    #[test]
    fn the_address_has_no_commas_and_no_spaces() {
        let file = Path::new("/solos/Comp of Take 1, Täke 2.html");
        assert_eq!(address(file), "file:///solos/Comp%20of%20Take%201%2C%20T%C3%A4ke%202.html");
    }
}
