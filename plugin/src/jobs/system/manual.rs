//! Finds the manual and opens its first page.

use crate::jobs::system::desktop::Desktop;

/// The start of its first page, which tells it from another program's manual.
const BEGINS: &str = "# The manual of Overbar";

/// Opens the manual.
///
/// # Errors
/// A sentence for the user: where it would be, or why it cannot be opened.
pub fn open(desktop: &dyn Desktop) -> Result<(), String> {
    let folders = desktop.manuals();
    let page = folders
        .iter()
        .map(|folder| folder.join("README.md"))
        .find(|page| std::fs::read_to_string(page).is_ok_and(|text| text.starts_with(BEGINS)));
    match (page, folders.last()) {
        (Some(page), _) => desktop
            .open(&page)
            .map_err(|why| format!("Couldn't open the manual, {}: {why}.", page.display())),
        (None, Some(folder)) => Err(format!(
            "The manual isn't installed. Its folder would be {}, or “manual” beside the plugin.",
            folder.display()
        )),
        (None, None) => Err("The manual isn't installed.".to_owned()),
    }
}
