//! `package`: an archive for this system with the plugin in both formats and as a program of its own,
//! the licences of all that is in it, scripts to install it without being root and to remove it again,
//! and checksums.
//!
//! The build knows no path of this machine, and the archive no time and no owner, so that two builds
//! of one source are the same bit for bit; `--twice` holds that.

mod archive;
mod licences;
#[cfg(test)]
mod tests;

use crate::outcome::{Outcome, say};
use crate::steps::{cargo, root, step, target};
use archive::{digest, files_of, pack};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder of the stand-alone program.
const PROGRAM: &str = "program";

/// Runs the command.
pub fn run(arguments: &[String]) -> Outcome {
    let twice = match arguments {
        [] => false,
        [twice] if twice == "--twice" => true,
        _ => return Outcome::Wrong("package knows --twice only".into()),
    };
    match made(twice) {
        Ok(()) => Outcome::Done,
        Err(what) => Outcome::Failed(what),
    }
}

fn made(twice: bool) -> Result<(), String> {
    let folder = target().join("package");
    let archive = package(&folder)?;
    if twice {
        let again = package(&target().join("package-again"))?;
        if read(&archive)? != read(&again)? {
            let what = "the same source gives two different packages";
            return Err(format!("{what}: {} and {}", archive.display(), again.display()));
        }
        say("package: two builds are the same bit for bit");
    }
    if cfg!(unix) {
        try_out(&archive, &folder.join("tried-out"))?;
    }
    say(&format!("{}\n{}  SHA-256", archive.display(), digest(&read(&archive)?)));
    Ok(())
}

/// Builds the plugin and packs it, all inside `folder`.
fn package(folder: &Path) -> Result<PathBuf, String> {
    built(folder)?;
    let name = name();
    let content = folder.join("content").join(&name);
    gather(&folder.join("bundled"), &content)?;
    let archive = folder.join(format!("{name}.tar.gz"));
    write(&archive, &pack(&content, &name)?)?;
    let line = format!("{}  {name}.tar.gz\n", digest(&read(&archive)?));
    write(&folder.join(format!("{name}.tar.gz.sha256")), line.as_bytes())?;
    Ok(archive)
}

/// Name and version, and the system it is for.
fn name() -> String {
    let (version, system) = (env!("CARGO_PKG_VERSION"), std::env::consts::OS);
    format!("overbar-{version}-{system}-{}", std::env::consts::ARCH)
}

/// Builds the bundles without a path of this machine in them.
fn built(folder: &Path) -> Result<(), String> {
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::home_dir().map(|home| home.join(".cargo")));
    let home = home.ok_or("there is no home of cargo's")?;
    let shown = |path: &Path, name: &str| (path.display().to_string(), name.to_owned());
    let places =
        [shown(root(), "/overbar"), shown(&home, "/cargo"), shown(folder, "/overbar/target")];
    let flags = |option: &str| {
        let all = places.iter().map(|(path, name)| format!("{option}{path}={name}"));
        all.collect::<Vec<_>>()
    };
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let mut build = Command::new(program);
    build.arg("bundle").env("CARGO_TARGET_DIR", folder);
    // Flags are parted by this character, so that paths may have spaces.
    build.env("CARGO_ENCODED_RUSTFLAGS", flags("--remap-path-prefix=").join("\u{1f}"));
    build.env("CFLAGS", flags("-ffile-prefix-map=").join(" "));
    done(step("package: build", &mut build))?;
    // One of an earlier time is not of this source.
    let programs = folder.join("bundled").join(PROGRAM);
    if programs.exists() {
        std::fs::remove_dir_all(&programs).map_err(|error| told(&programs, &error))?;
    }
    if let Some(why) = no_program() {
        say(&format!("package: WITHOUT THE STAND-ALONE PROGRAM: {why}"));
        return Ok(());
    }
    let mut build = cargo(&["build", "--release", "--package", "overbar", "--bin", "overbar"]);
    build.args(["--features", "standalone"]).env("CARGO_TARGET_DIR", folder);
    build.env("CARGO_ENCODED_RUSTFLAGS", flags("--remap-path-prefix=").join("\u{1f}"));
    build.env("CFLAGS", flags("-ffile-prefix-map=").join(" "));
    done(step("package: build the stand-alone program", &mut build))?;
    let program = format!("overbar{}", std::env::consts::EXE_SUFFIX);
    write(&programs.join(&program), &read(&folder.join("release").join(&program))?)
}

/// Why the stand-alone program cannot be built here.
fn no_program() -> Option<String> {
    if !cfg!(target_os = "linux") {
        return None;
    }
    let found = Command::new("pkg-config").args(["--exists", "alsa", "jack"]).status();
    match found {
        Ok(status) if status.success() => None,
        _ => Some(
            "the headers of ALSA and JACK are not here (Debian: pkg-config, libasound2-dev, \
             libjack-jackd2-dev)"
                .to_owned(),
        ),
    }
}

fn done(outcome: Outcome) -> Result<(), String> {
    match outcome {
        Outcome::Done => Ok(()),
        Outcome::Failed(why) | Outcome::Wrong(why) => Err(why),
        _ => Err("it was said above".to_owned()),
    }
}

/// Puts together what goes into the archive.
fn gather(bundled: &Path, content: &Path) -> Result<(), String> {
    if content.exists() {
        std::fs::remove_dir_all(content).map_err(|error| told(content, &error))?;
    }
    for (path, bytes) in files_of(bundled)? {
        let folder = match &path {
            path if path.starts_with(PROGRAM) => None,
            path if path.starts_with("overbar.vst3") => Some("VST3"),
            path if path.starts_with("overbar.clap") => Some("CLAP"),
            // The builder of bundles takes along a program that an earlier build has left.
            _ => continue,
        };
        write(
            &folder.map_or(content.to_owned(), |folder| content.join(folder)).join(path),
            &bytes,
        )?;
    }
    for file in ["LICENSE-MIT", "LICENSE-APACHE", "README.md"] {
        write(&content.join(file), &read(&root().join(file))?)?;
    }
    write(&content.join("CHANGELOG.md"), &read(&root().join("plugin/CHANGELOG.md"))?)?;
    write(&content.join("LICENCES.txt"), licences::all()?.as_bytes())?;
    if cfg!(windows) {
        write(&content.join("install.ps1"), include_bytes!("install.ps1"))?;
        write(&content.join("uninstall.ps1"), include_bytes!("uninstall.ps1"))?;
    } else {
        write(&content.join("install.sh"), include_bytes!("install.sh"))?;
        write(&content.join("uninstall.sh"), include_bytes!("uninstall.sh"))?;
    }
    let sums: Vec<String> = files_of(content)?
        .iter()
        .map(|(path, bytes)| format!("{}  {path}\n", digest(bytes)))
        .collect();
    write(&content.join("SHA256SUMS"), sums.concat().as_bytes())
}

/// Unpacks the archive, installs it into an empty home and removes it from there.
fn try_out(archive: &Path, scratch: &Path) -> Result<(), String> {
    if scratch.exists() {
        std::fs::remove_dir_all(scratch).map_err(|error| told(scratch, &error))?;
    }
    let home = scratch.join("home");
    std::fs::create_dir_all(&home).map_err(|error| told(&home, &error))?;
    let call = |program: &str, arguments: &[&Path]| {
        let mut command = Command::new(program);
        command.current_dir(scratch).args(arguments).env("HOME", &home);
        done(step(&format!("package: {program}"), &mut command))
    };
    call("tar", &[Path::new("-xzf"), archive])?;
    let unpacked = scratch.join(name());
    call("sh", &[&unpacked.join("install.sh")])?;
    let installed = files_of(&home)?;
    let mut wanted = vec!["overbar.clap", "overbar.vst3"];
    if unpacked.join(PROGRAM).exists() {
        wanted.push(".local/bin/overbar");
        call(&home.join(".local/bin/overbar").display().to_string(), &[Path::new("help")])?;
    }
    for one in wanted {
        if !installed.iter().any(|(path, _)| path.contains(one)) {
            return Err(format!("the package installs no {one}"));
        }
    }
    call("sh", &[&unpacked.join("uninstall.sh")])?;
    match files_of(&home)?.first() {
        Some((left, _)) => Err(format!("the package leaves {left} behind")),
        None => Ok(()),
    }
}

fn told(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    std::fs::read(path).map_err(|error| told(path, &error))
}

/// Writes a file, and the folders above it.
fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let folder = path.parent().unwrap_or(path);
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(path, bytes))
        .map_err(|error| told(path, &error))
}
