//! File names from a user's text.

/// The longest name in characters, without the extension: file systems allow 255 bytes.
const MAX_CHARS: usize = 60;

/// Names that Windows reserves for devices, with any extension.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A file name without its extension, from any text. Characters that could lead out of the folder, that
/// some system forbids, or that are invisible or reverse the text become `_`. Never empty.
#[must_use]
pub fn file_name(text: &str) -> String {
    let safe = |c: char| {
        let is_unsafe = c.is_control()
            || matches!(c, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' | '%' | '#')
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
        if is_unsafe { '_' } else { c }
    };
    let name: String = text.chars().map(safe).take(MAX_CHARS).collect();
    // A leading dot hides a file, a leading dash looks like an option, and Windows drops trailing dots.
    let name = name.trim_start_matches(['.', '-', ' ']).trim_end_matches(['.', ' ']);
    let stem = name.split('.').next().unwrap_or_default().trim_end().to_ascii_lowercase();
    let numbered = ["com", "lpt"].iter().any(|device| {
        stem.strip_prefix(device).is_some_and(|n| n.chars().count() == 1 && n != "0")
    });
    if name.is_empty() {
        "take".to_owned()
    } else if numbered || DEVICES.contains(&stem.as_str()) {
        format!("_{name}")
    } else {
        name.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::file_name;

    #[test]
    fn no_name_leads_out_of_the_folder() {
        for (text, name) in [
            ("take 4", "take 4"),
            ("../../etc/passwd", "_.._etc_passwd"),
            ("C:\\x", "C__x"),
            ("a\u{202e}dim.exe", "a_dim.exe"),
            ("..", "take"),
            ("", "take"),
            ("-rf", "rf"),
            ("NUL", "_NUL"),
            ("com1.mid", "_com1.mid"),
            ("company", "company"),
            ("tune. ", "tune"),
            ("a\nb\0c", "a_b_c"),
            ("Übung 3", "Übung 3"),
        ] {
            assert_eq!(file_name(text), name, "{text:?}");
        }
        assert_eq!(file_name(&"é".repeat(500)).chars().count(), 60);
    }
}
