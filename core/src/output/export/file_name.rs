//! File names made of what a user wrote.

/// No name is longer, in characters, its ending left out: file systems hold 255 bytes.
const MOST: usize = 60;

/// Names that Windows keeps for devices, whatever their ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A name for a file, without its ending, from any text: what could lead out of the folder, what
/// some system does not take in a name, and what turns text round or hides in it become `_`.
/// Never empty.
#[must_use]
pub fn file_name(text: &str) -> String {
    let tame = |c: char| {
        let is_wild = c.is_control()
            || matches!(c, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' | '%' | '#')
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
        if is_wild { '_' } else { c }
    };
    let name: String = text.chars().map(tame).take(MOST).collect();
    // A dot or a dash in front hides a file or reads as an option; Windows drops dots behind.
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
