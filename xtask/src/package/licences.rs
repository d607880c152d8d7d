//! The licence texts of all libraries in the plugin and the programs, read from the libraries themselves.

use crate::steps::{cargo, root};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The text for libraries under this licence that do not include it.
const ISC: &str = "Permission to use, copy, modify, and/or distribute this software for any purpose \
with or without fee is hereby granted, provided that the above copyright notice and this permission \
notice appear in all copies.\n\nTHE SOFTWARE IS PROVIDED \"AS IS\" AND THE AUTHOR DISCLAIMS ALL \
WARRANTIES WITH REGARD TO THIS SOFTWARE INCLUDING ALL IMPLIED WARRANTIES OF MERCHANTABILITY AND \
FITNESS. IN NO EVENT SHALL THE AUTHOR BE LIABLE FOR ANY SPECIAL, DIRECT, INDIRECT, OR CONSEQUENTIAL \
DAMAGES OR ANY DAMAGES WHATSOEVER RESULTING FROM LOSS OF USE, DATA OR PROFITS, WHETHER IN AN ACTION \
OF CONTRACT, NEGLIGENCE OR OTHER TORTIOUS ACTION, ARISING OUT OF OR IN CONNECTION WITH THE USE OR \
PERFORMANCE OF THIS SOFTWARE.\n";

/// The text for a library in the public domain.
const UNLICENSE: &str = "This is free and unencumbered software released into the public domain.\n";

/// All licence texts, by name of library.
///
/// # Errors
/// If cargo fails, or a library has no licence text and none is known here.
pub fn all() -> Result<String, String> {
    let mut text = "Licences of the libraries that are in Overbar.\n".to_owned();
    for package in in_the_plugin()? {
        let field = |name: &str| package[name].as_str().unwrap_or_default().to_owned();
        let (name, licence) = (field("name"), field("license"));
        text.push_str(&format!("\n{}\n{name} {}\n{licence}\n", "=".repeat(78), field("version")));
        for author in package["authors"].as_array().into_iter().flatten() {
            text.push_str(&format!("By {}\n", author.as_str().unwrap_or_default()));
        }
        let manifest = field("manifest_path");
        let folder = Path::new(&manifest).parent().unwrap_or(root());
        let mut texts = BTreeMap::new();
        find(folder, 0, &mut texts).map_err(|error| format!("{name}: {error}"))?;
        if texts.is_empty() {
            texts.insert(
                String::new(),
                standard(&licence)
                    .ok_or_else(|| format!("{name}: no text for its licence, {licence}"))?,
            );
        }
        for (file, licence) in texts {
            text.push_str(&format!("{}\n{file}\n\n{}\n", "-".repeat(78), licence.trim()));
        }
    }
    text.push_str(&format!(
        "\n{}\n{}",
        "=".repeat(78),
        include_str!("../../../core/src/output/engraving/OFL.txt")
    ));
    Ok(text)
}

/// The libraries in the plugin, the stand-alone panel and the program for the command line on this
/// system, without build dependencies.
fn in_the_plugin() -> Result<Vec<Value>, String> {
    let output = cargo(&["metadata", "--format-version", "1", "--locked"])
        .args(["--filter-platform", env!("OVERBAR_TARGET"), "--features", "overbar/standalone"])
        .output()
        .map_err(|error| format!("cargo metadata: {error}"))?;
    let all: Value = serde_json::from_slice(&output.stdout)
        .map_err(|error| format!("cargo metadata: {error}"))?;
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let packages: BTreeMap<String, Value> = list(&all["packages"])
        .into_iter()
        .map(|package| (package["id"].as_str().unwrap_or_default().to_owned(), package))
        .collect();
    let mut open: Vec<String> = packages
        .iter()
        .filter(|(_, package)| package["name"] == "overbar" || package["name"] == "overbar-cli")
        .map(|(id, _)| id.clone())
        .collect();
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !seen.insert(id.clone()) {
            continue;
        }
        let nodes = list(&all["resolve"]["nodes"]);
        let node = nodes.into_iter().find(|node| node["id"] == id.as_str()).unwrap_or_default();
        // A normal dependency has no kind.
        let ordinary =
            |dep: &Value| list(&dep["dep_kinds"]).iter().any(|kind| kind["kind"].is_null());
        open.extend(
            list(&node["deps"])
                .iter()
                .filter(|dep| ordinary(dep))
                .filter_map(|dep| Some(dep["pkg"].as_str()?.to_owned())),
        );
    }
    let ours = |package: &Value| package["source"].is_null();
    let mut found: Vec<Value> =
        seen.iter().filter_map(|id| packages.get(id)).filter(|p| !ours(p)).cloned().collect();
    found.sort_by_key(|package| (package["name"].to_string(), package["version"].to_string()));
    if found.is_empty() { Err("cargo metadata names no library".to_owned()) } else { Ok(found) }
}

/// Finds licence texts in a folder and its subfolders.
fn find(folder: &Path, deep: u8, texts: &mut BTreeMap<String, String>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.file_type()?.is_dir() {
            if deep < 2 && !matches!(name.as_str(), "src" | "tests" | "examples" | "target") {
                find(&entry.path(), deep + 1, texts)?;
            }
            continue;
        }
        let begins = ["LICEN", "COPYING", "UNLICEN", "NOTICE", "OFL", "UFL"];
        if begins.iter().any(|begin| name.to_uppercase().starts_with(begin)) {
            let text = String::from_utf8_lossy(&std::fs::read(entry.path())?).into_owned();
            texts.insert(name, text);
        }
    }
    Ok(())
}

/// The standard text of a licence in `expression`.
fn standard(expression: &str) -> Option<String> {
    let read = |name: &str| std::fs::read_to_string(root().join(name)).ok();
    if expression.contains("Apache-2.0") {
        read("LICENSE-APACHE")
    } else if expression.contains("ISC") {
        Some(ISC.to_owned())
    } else if expression.contains("Unlicense") {
        Some(UNLICENSE.to_owned())
    } else {
        None
    }
}
