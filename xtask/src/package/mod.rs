//! `package`: an archive for this system with the plugin in both formats, `overbar` with its man pages and
//! completions, the stand-alone panel where it can be built, the manual, all licences, scripts to install
//! and uninstall without root, and checksums.
//!
//! Build paths are remapped, and the archive has no time or owner, so that two builds of one source
//! are identical; `--twice` checks that.

mod archive;
mod licences;
mod manual;
#[cfg(test)]
mod tests;

use crate::outcome::{Outcome, say};
use crate::steps::{cargo, root, step, target};
use archive::{digest, files_of, pack};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder for `overbar`, the stand-alone panel, completions and man pages.
const PROGRAM: &str = "program";

/// The standard path of system programs.
const SYSTEM_PATH: &str = "/usr/local/bin:/usr/bin:/bin";

/// The folders of shell completions in it.
const COMPLETIONS: [(&str, &str); 3] =
    [("bash", "overbar.bash"), ("zsh", "_overbar"), ("fish", "overbar.fish")];

/// Runs the command.
pub fn run(arguments: &[String]) -> Outcome {
    let twice = match arguments {
        [] => false,
        [twice] if twice == "--twice" => true,
        _ => return Outcome::Wrong("package knows --twice only".into()),
    };
    match try_to_run(twice) {
        Ok(()) => Outcome::Done,
        Err(what) => Outcome::Failed(what),
    }
}

fn try_to_run(twice: bool) -> Result<(), String> {
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
        test_install(&archive, &folder.join("tried-out"))?;
    }
    say(&format!("{}\n{}  SHA-256", archive.display(), digest(&read(&archive)?)));
    Ok(())
}

/// Builds the plugin and packs it in `folder`.
fn package(folder: &Path) -> Result<PathBuf, String> {
    build(folder)?;
    let name = name();
    let content = folder.join("content").join(&name);
    gather(&folder.join("bundled"), &content)?;
    let archive = folder.join(format!("{name}.tar.gz"));
    write(&archive, &pack(&content, &name)?)?;
    let line = format!("{}  {name}.tar.gz\n", digest(&read(&archive)?));
    write(&folder.join(format!("{name}.tar.gz.sha256")), line.as_bytes())?;
    Ok(archive)
}

/// Name, version and system.
fn name() -> String {
    let (version, system) = (env!("CARGO_PKG_VERSION"), std::env::consts::OS);
    format!("overbar-{version}-{system}-{}", std::env::consts::ARCH)
}

/// Builds the bundles and the program with remapped paths.
fn build(folder: &Path) -> Result<(), String> {
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::home_dir().map(|home| home.join(".cargo")));
    let home = home.ok_or("cargo has no home folder")?;
    let shown = |path: &Path, name: &str| (path.display().to_string(), name.to_owned());
    let places =
        [shown(root(), "/overbar"), shown(&home, "/cargo"), shown(folder, "/overbar/target")];
    let flags = |option: &str| {
        let all = places.iter().map(|(path, name)| format!("{option}{path}={name}"));
        all.collect::<Vec<_>>()
    };
    let remapped = |mut command: Command| {
        // This character separates the flags, so that paths may contain spaces.
        command.env("CARGO_ENCODED_RUSTFLAGS", flags("--remap-path-prefix=").join("\u{1f}"));
        command.env("CFLAGS", flags("-ffile-prefix-map=").join(" "));
        command.env("CARGO_TARGET_DIR", folder);
        command
    };
    let xtask = std::env::current_exe().map_err(|error| error.to_string())?;
    done(step("package: build", remapped(Command::new(xtask)).arg("bundle")))?;
    // A program from an earlier build may be outdated.
    let programs = folder.join("bundled").join(PROGRAM);
    if programs.exists() {
        std::fs::remove_dir_all(&programs).map_err(|error| named(&programs, &error))?;
    }
    let build = |name: &str, arguments: &[&str]| {
        let mut build = remapped(cargo(&["build", "--release"]));
        done(step(&format!("package: build {name}"), build.args(arguments)))?;
        let program = format!("{name}{}", std::env::consts::EXE_SUFFIX);
        write(&programs.join(&program), &read(&folder.join("release").join(&program))?)
    };
    build("overbar", &["--package", "overbar-cli"])?;
    for_shells(&programs)?;
    if let Some(why) = no_panel() {
        say(&format!("package: WITHOUT THE STAND-ALONE PANEL: {why}"));
        return Ok(());
    }
    build(
        "overbar-panel",
        &["--package", "overbar", "--bin", "overbar-panel", "--features", "standalone"],
    )
}

/// Man pages and completions, generated by the program itself.
fn for_shells(programs: &Path) -> Result<(), String> {
    let overbar = programs.join(format!("overbar{}", std::env::consts::EXE_SUFFIX));
    // The copy is not executable everywhere yet.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = std::fs::Permissions::from_mode(0o755);
        std::fs::set_permissions(&overbar, mode).map_err(|error| named(&overbar, &error))?;
    }
    let mut man = Command::new(&overbar);
    done(step("package: man pages", man.arg("man").arg(programs.join("man"))))?;
    for (shell, file) in COMPLETIONS {
        let ran = Command::new(&overbar).args(["completions", shell]).output();
        let ran = ran.map_err(|error| named(&overbar, &error))?;
        write(&programs.join("completions").join(file), &ran.stdout)?;
    }
    Ok(())
}

/// Why the stand-alone panel cannot be built here, if so.
fn no_panel() -> Option<String> {
    if !cfg!(target_os = "linux") {
        return None;
    }
    let found = Command::new("pkg-config").args(["--exists", "alsa", "jack"]).status();
    match found {
        Ok(status) if status.success() => None,
        _ => Some(
            "the headers of ALSA and JACK are missing (Debian: pkg-config, libasound2-dev, \
             libjack-jackd2-dev)"
                .to_owned(),
        ),
    }
}

fn done(outcome: Outcome) -> Result<(), String> {
    match outcome {
        Outcome::Done => Ok(()),
        Outcome::Failed(why) | Outcome::Wrong(why) => Err(why),
        _ => Err("see above".to_owned()),
    }
}

/// Collects the content of the archive.
fn gather(bundled: &Path, content: &Path) -> Result<(), String> {
    if content.exists() {
        std::fs::remove_dir_all(content).map_err(|error| named(content, &error))?;
    }
    for (path, bytes) in files_of(bundled)? {
        let folder = match &path {
            path if path.starts_with(PROGRAM) => None,
            path if path.starts_with("overbar.vst3") => Some("VST3"),
            path if path.starts_with("overbar.clap") => Some("CLAP"),
            // The bundler also copies programs left by earlier builds.
            _ => continue,
        };
        write(
            &folder.map_or(content.to_owned(), |folder| content.join(folder)).join(path),
            &bytes,
        )?;
    }
    for file in ["LICENSE-MIT", "LICENSE-APACHE"] {
        write(&content.join(file), &read(&root().join(file))?)?;
    }
    manual::write_all(content)?;
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

/// Unpacks the archive, installs it into an empty home and uninstalls it.
fn test_install(archive: &Path, scratch: &Path) -> Result<(), String> {
    if scratch.exists() {
        std::fs::remove_dir_all(scratch).map_err(|error| named(scratch, &error))?;
    }
    let home = scratch.join("home");
    std::fs::create_dir_all(&home).map_err(|error| named(&home, &error))?;
    let call = |program: &str, arguments: &[&Path]| {
        let mut command = Command::new(program);
        // As a new user without a compiler.
        command.current_dir(scratch).args(arguments).env("HOME", &home).env("PATH", SYSTEM_PATH);
        command.env_remove("XDG_DATA_HOME").env_remove("XDG_CONFIG_HOME");
        done(step(&format!("package: {program}"), &mut command))
    };
    call("tar", &[Path::new("-xzf"), archive])?;
    let unpacked = scratch.join(name());
    call("sh", &[&unpacked.join("install.sh")])?;
    let installed = files_of(&home)?;
    let programs = home.join(".local/bin");
    let overbar = programs.join("overbar").display().to_string();
    let solo = scratch.join("solo.mid");
    let notes = (0..8).fold(Track::default(), |track, note| {
        track.note(0, 60, note * QUARTER, (note + 1) * QUARTER)
    });
    write(&solo, &midi_file(0, &[notes]))?;
    call(&overbar, &[Path::new("--version")])?;
    call(&overbar, &[Path::new("review"), &solo])?;
    let mut wanted = vec!["overbar.clap", "overbar.vst3", ".local/bin/overbar", "manual/README.md"];
    if unpacked.join(PROGRAM).join("overbar-panel").exists() {
        wanted.push(".local/bin/overbar-panel");
        call(&programs.join("overbar-panel").display().to_string(), &[Path::new("--help")])?;
    }
    for file in wanted {
        if !installed.iter().any(|(path, _)| path.contains(file)) {
            return Err(format!("the package installs no {file}"));
        }
    }
    call("sh", &[&unpacked.join("uninstall.sh")])?;
    match files_of(&home)?.first() {
        Some((left, _)) => Err(format!("the package leaves {left} behind")),
        None => Ok(()),
    }
}

fn named(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    std::fs::read(path).map_err(|error| named(path, &error))
}

/// Writes a file, creating its folders.
fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let folder = path.parent().unwrap_or(path);
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(path, bytes))
        .map_err(|error| named(path, &error))
}
