//! Reproducible archives: files sorted by name, without time or owner.

use flate2::Compression;
use flate2::write::GzEncoder;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::path::Path;

/// All files under a folder with their paths relative to it, separated by `/`, sorted.
///
/// # Errors
/// The first file that cannot be read.
pub fn files_of(folder: &Path) -> Result<Vec<(String, Vec<u8>)>, String> {
    let mut files = Vec::new();
    add(folder, "", &mut files).map_err(|error| format!("{}: {error}", folder.display()))?;
    files.sort();
    Ok(files)
}

fn add(folder: &Path, before: &str, files: &mut Vec<(String, Vec<u8>)>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let path = format!("{before}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            add(&entry.path(), &format!("{path}/"), files)?;
        } else {
            files.push((path, std::fs::read(entry.path())?));
        }
    }
    Ok(())
}

/// A folder as a gzipped tar, with everything below `name`.
///
/// # Errors
/// A file that cannot be read or archived.
pub fn pack(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    let mut tar = tar::Builder::new(GzEncoder::new(Vec::new(), Compression::best()));
    for (path, bytes) in files_of(folder)? {
        let mut header = tar::Header::new_gnu();
        header.set_size(bytes.len() as u64);
        header.set_mtime(0);
        let is_script = path.ends_with(".sh");
        let is_plugin = path.starts_with("CLAP/") || path.starts_with("VST3/");
        // Man pages and completions are in folders of their own.
        let is_program = path.strip_prefix("program/").is_some_and(|path| !path.contains('/'));
        let is_executable = is_script || is_plugin || is_program;
        header.set_mode(if is_executable { 0o755 } else { 0o644 });
        let added = tar.append_data(&mut header, format!("{name}/{path}"), bytes.as_slice());
        added.map_err(|error| format!("{path}: {error}"))?;
    }
    let packed = tar.into_inner().and_then(GzEncoder::finish);
    packed.map_err(|error| error.to_string())
}

/// SHA-256 in hexadecimal.
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let written = write!(text, "{byte:02x}");
        debug_assert!(written.is_ok(), "a string takes what is written to it");
        text
    })
}
