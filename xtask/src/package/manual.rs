//! The documents of the archive: README and the manual, with their pictures.

use super::{read, write};
use crate::steps::root;
use std::path::Path;

/// The pages of the manual.
const PAGES: &str = "plugin/manual";

/// README has the parts for builders only between these marks.
const BUILDERS: (&str, &str) = ("<!-- not in packages -->\n", "<!-- in packages again -->\n");

/// Writes README and manual into the archive's content, with links adapted to the archive.
///
/// # Errors
/// A file that cannot be read or written.
pub fn write_all(content: &Path) -> Result<(), String> {
    let folder = root().join(PAGES);
    let entries =
        std::fs::read_dir(&folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    let mut pages: Vec<_> =
        entries.filter_map(|entry| entry.ok().map(|entry| entry.path())).collect();
    pages.sort();
    for page in pages.iter().filter(|path| path.extension().is_some_and(|ending| ending == "md")) {
        let text = with_pictures(page, &content.join("manual"), "pictures/")?;
        write(&content.join("manual").join(page.file_name().unwrap_or_default()), text.as_bytes())?;
    }
    let readme =
        with_pictures(&root().join("README.md"), &content.join("manual"), "manual/pictures/")?;
    let readme = for_users(&readme)
        .replace("](plugin/manual/", "](manual/")
        .replace("](plugin/CHANGELOG.md)", "](CHANGELOG.md)");
    write(&content.join("README.md"), readme.as_bytes())
}

/// A text without the parts for builders only.
fn for_users(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(BUILDERS.0) {
        out += before;
        out.push('\n');
        rest = after.split_once(BUILDERS.1).map_or("", |(_, rest)| rest);
    }
    out + rest
}

/// The text of a page whose pictures are copied into `manual/pictures` and linked as `shown`.
fn with_pictures(page: &Path, manual: &Path, shown: &str) -> Result<String, String> {
    let text = String::from_utf8_lossy(&read(page)?).into_owned();
    let mut out = String::new();
    let mut rest = text.as_str();
    while let Some((before, after)) = rest.split_once("](") {
        let (link, after) = after.split_once(')').unwrap_or((after, ""));
        out += before;
        rest = after;
        if !link.ends_with(".png") {
            out += &format!("]({link})");
            continue;
        }
        let picture = page.parent().unwrap_or(page).join(link);
        let name = picture.file_name().unwrap_or_default().to_string_lossy().into_owned();
        write(&manual.join("pictures").join(&name), &read(&picture)?)?;
        out += &format!("]({shown}{name})");
    }
    Ok(out + rest)
}
