//! A Chromium without a window that measures pages.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Names of its executable.
const NAMES: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/// Which colours the user prefers.
#[derive(Clone, Copy)]
pub enum Look {
    Light,
    Dark,
}

pub struct Browser {
    executable: PathBuf,
}

impl Browser {
    /// The browser of this machine; `None`, and a skipped check, where it has none.
    pub fn found(check: &str) -> Option<Self> {
        let folders = std::env::var_os("PATH").unwrap_or_default();
        let executable = std::env::split_paths(&folders)
            .flat_map(|folder| NAMES.map(|name| folder.join(name)))
            .find(|path| path.is_file());
        if executable.is_none() {
            overbar_testkit::skipped(check);
        }
        Some(Self { executable: executable? })
    }

    /// Lays out pages `width` pixels wide, each in a frame of its own, and gives what
    /// `measure.js` finds in each.
    pub fn measure(&self, pages: &[(&str, String)], width: u32, look: Look) -> Value {
        let (name, scheme) = match look {
            Look::Light => ("light", 1),
            Look::Dark => ("dark", 0),
        };
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("pages-{name}"));
        std::fs::create_dir_all(&folder).unwrap();
        let frames: String = pages
            .iter()
            .map(|(name, page)| {
                let page = page.replace('&', "&amp;").replace('"', "&quot;");
                let style = format!("border:0;width:{width}px;height:800px");
                format!("<iframe name=\"{name}\" style=\"{style}\" srcdoc=\"{page}\"></iframe>\n")
            })
            .collect();
        let all = format!(
            "<!DOCTYPE html><meta charset=utf-8>{frames}<pre id=found></pre><script>{}</script>",
            include_str!("measure.js")
        );
        let path = folder.join("measured.html");
        std::fs::write(&path, all).unwrap();
        let profile = tempfile::tempdir().unwrap();
        let output = Command::new(&self.executable)
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"])
            .args(["--no-first-run", "--disable-background-networking", "--disable-sync"])
            .args(["--disable-component-update", "--disable-quic", "--dump-dom"])
            .arg(format!("--blink-settings=preferredColorScheme={scheme}"))
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg(format!("file://{}", path.display()))
            .output()
            .unwrap();
        let dumped = String::from_utf8(output.stdout).unwrap();
        let found =
            dumped.split_once("<pre id=\"found\">").and_then(|(_, rest)| rest.split_once("</pre>"));
        let output = String::from_utf8_lossy(&output.stderr);
        let (found, _) = found.unwrap_or_else(|| panic!("nothing was measured: {output}"));
        serde_json::from_str(found).unwrap_or_else(|error| panic!("{error}: {found}"))
    }
}
