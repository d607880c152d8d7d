//! Output files: each appears whole or not at all, and never overwrites another.
//!
//! Bytes are written to a temporary file in the same folder, which is renamed once it is on the disk. A run
//! that is killed half way leaves no file with the final name; the temporary one is called `.overbar-…`.

use crate::load::name;
use overbar_core::output::export::file_name;
use std::collections::BTreeSet;
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Most numbered files of one name.
const MAX_ALIKE: u32 = 9_999;

/// Writes output files, and knows which files may be overwritten.
#[derive(Debug, Default)]
pub struct Output {
    /// Input files, which are never overwritten.
    sources: Vec<PathBuf>,
    /// Whether other files may be replaced.
    force: bool,
}

impl Output {
    /// Output of a run that reads `sources`. With `force`, other existing files may be replaced.
    #[must_use]
    pub fn new(sources: Vec<PathBuf>, force: bool) -> Self {
        Self { sources, force }
    }

    /// Writes a file.
    ///
    /// # Errors
    /// A line that names the file and the reason; nothing has changed then.
    pub fn write(&self, path: &Path, bytes: impl AsRef<[u8]>) -> Result<(), String> {
        self.write_all(&[(path, bytes)])
    }

    /// Writes several files: all of them, or none if one cannot be written.
    ///
    /// # Errors
    /// A line that names the first such file and the reason.
    pub fn write_all<P: AsRef<Path>, B: AsRef<[u8]>>(
        &self,
        files: &[(P, B)],
    ) -> Result<(), String> {
        self.check(files.iter().map(|(path, _)| path.as_ref()))?;
        let stage = |(path, bytes): &(P, B)| {
            let path = path.as_ref();
            Ok((path.to_owned(), staged(path, bytes.as_ref()).map_err(|why| named(path, &why))?))
        };
        let staged = files.iter().map(stage).collect::<Result<Vec<_>, String>>()?;
        let mut written: Vec<PathBuf> = Vec::new();
        for (path, file) in staged {
            let is_new = !path.exists();
            if let Err((error, _)) = place(file, &path, self.force) {
                for path in written {
                    // A file that cannot be removed is at least complete.
                    drop(std::fs::remove_file(path));
                }
                return Err(named(&path, &error));
            }
            if is_new {
                written.push(path);
            }
        }
        Ok(())
    }

    /// Checks that these files may be written, before long work or before the first of many.
    ///
    /// # Errors
    /// A line that names the first one that may not, and the reason.
    pub fn check<'a>(&self, paths: impl IntoIterator<Item = &'a Path>) -> Result<(), String> {
        let mut seen = BTreeSet::new();
        for path in paths {
            // Some systems ignore case in names.
            if !seen.insert(path.to_string_lossy().to_lowercase()) {
                return Err(format!("{}: two outputs have this name", path.display()));
            }
            self.check_one(path)?;
        }
        Ok(())
    }

    fn check_one(&self, path: &Path) -> Result<(), String> {
        let name = path.display();
        let found = match std::fs::symlink_metadata(path) {
            Ok(found) => found,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
            Err(error) => return Err(named(path, &error)),
        };
        if found.is_symlink() {
            return Err(format!("{name}: this is a link; name the file itself"));
        }
        if found.is_dir() {
            return Err(format!("{name}: this is a folder; name a file"));
        }
        if !found.is_file() {
            return Err(format!("{name}: this is not a plain file"));
        }
        let is_same = |source: &PathBuf| same_file::is_same_file(source, path).unwrap_or(false);
        if self.sources.iter().any(is_same) {
            return Err(format!("{name}: refusing to overwrite an input file"));
        }
        if !self.force {
            return Err(format!("{name}: the file exists; --force replaces it"));
        }
        Ok(())
    }
}

/// A unique file name for the output of each file, also on systems that ignore case.
#[must_use]
pub fn names<P: AsRef<Path>>(files: &[P]) -> Vec<(&Path, String)> {
    let mut taken = BTreeSet::from(["index".to_owned()]);
    let mut name_of = |path: &'_ P| {
        let stem = file_name(&name(path.as_ref()));
        let mut unique = stem.clone();
        let mut number = 2;
        while !taken.insert(unique.to_lowercase()) {
            unique = format!("{stem} ({number})");
            number += 1;
        }
        unique
    };
    files.iter().map(|path| (path.as_ref(), name_of(path))).collect()
}

/// Writes a new file, with a number after its name if that exists.
///
/// # Errors
/// The path and the reason.
pub fn write_numbered(
    folder: &Path,
    stem: &str,
    extension: &str,
    bytes: &[u8],
) -> Result<PathBuf, (PathBuf, std::io::Error)> {
    let path_of = |number: u32| {
        folder.join(match number {
            1 => format!("{stem}.{extension}"),
            number => format!("{stem} ({number}).{extension}"),
        })
    };
    let mut file = staged(&path_of(1), bytes).map_err(|error| (path_of(1), error))?;
    for number in 1..=MAX_ALIKE {
        let path = path_of(number);
        match place(file, &path, false) {
            Ok(()) => return Ok(path),
            Err((error, Some(back))) if error.kind() == ErrorKind::AlreadyExists => file = back,
            Err((error, _)) => return Err((path, error)),
        }
    }
    Err((path_of(1), ErrorKind::AlreadyExists.into()))
}

fn named(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}

/// Writes the bytes to a temporary file beside `path`, and syncs it to the disk.
fn staged(path: &Path, bytes: &[u8]) -> std::io::Result<NamedTempFile> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut builder = tempfile::Builder::new();
    builder.prefix(".overbar-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        // As for any new file, subject to the user's mask.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder
        .tempfile_in(folder.unwrap_or(Path::new(".")))
        .map_err(|error| std::io::Error::new(error.kind(), system_text(&error)))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// The system's error text: the library adds the name of the temporary file, which means nothing to a user.
fn system_text(error: &std::io::Error) -> String {
    let source = error.get_ref().and_then(std::error::Error::source);
    source.map_or_else(|| error.to_string(), ToString::to_string)
}

type Unplaced = (std::io::Error, Option<NamedTempFile>);

/// Renames a temporary file to `path`, replacing a file there only with `force`.
fn place(file: NamedTempFile, path: &Path, force: bool) -> Result<(), Unplaced> {
    if force {
        return file.persist(path).map(drop).map_err(|failed| (failed.error, Some(failed.file)));
    }
    match file.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(failed) if failed.error.kind() == ErrorKind::AlreadyExists => {
            Err((failed.error, Some(failed.file)))
        }
        // On file systems without links, such as those of memory sticks, an empty file reserves the name.
        Err(failed) => {
            let claimed = std::fs::OpenOptions::new().write(true).create_new(true).open(path);
            match claimed {
                Ok(_) => failed.file.persist(path).map(drop).map_err(|again| {
                    drop(std::fs::remove_file(path));
                    (again.error, None)
                }),
                Err(error) => Err((error, Some(failed.file))),
            }
        }
    }
}
