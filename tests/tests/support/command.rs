//! Runs the built commands as a user does.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;

/// What a command wrote and how it ended.
#[derive(Debug)]
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// Runs `xtask`, `xtask-analysis` or `overbar` with these arguments.
pub fn call<A: AsRef<OsStr>>(program: &'static str, arguments: &[A]) -> Ran {
    static EXECUTABLES: Mutex<BTreeMap<&str, PathBuf>> = Mutex::new(BTreeMap::new());
    let path = {
        let mut executables = EXECUTABLES.lock().unwrap();
        executables.entry(program).or_insert_with(|| executable(program)).clone()
    };
    let output = Command::new(path).args(arguments).output().unwrap();
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The executable belongs to another package, so that cargo has to be asked to build it and to
/// tell where it is: that holds for any target folder and profile. Of the whole workspace, so that it has the
/// features that tests have, and little is built anew.
fn executable(name: &str) -> PathBuf {
    let output = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
        .args(["build", "--quiet", "--workspace", "--bin", name, "--message-format", "json"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stderr(Stdio::inherit())
        .output()
        .unwrap();
    assert!(output.status.success(), "{name} does not build");
    String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .find(|message| message["target"]["name"] == name && message["executable"].is_string())
        .map(|message| PathBuf::from(message["executable"].as_str().unwrap()))
        .expect("cargo names the executable")
}

/// An empty folder of a test's own.
pub fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    if path.exists() {
        std::fs::remove_dir_all(&path).unwrap();
    }
    std::fs::create_dir_all(&path).unwrap();
    path
}
