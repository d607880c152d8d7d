//! Text into HTML.

/// `text` as it may stand in an element or between the quotes of an attribute. Characters that a
/// page may not hold become U+FFFD, and what turns text round is set apart by its own element
/// where names stand.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' => out.push(c),
            c if c.is_control() || is_noncharacter(c) => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// Code points that no text is made of (Unicode, section 23.7).
fn is_noncharacter(c: char) -> bool {
    let code = u32::from(c);
    (0xFDD0..=0xFDEF).contains(&code) || code & 0xFFFE == 0xFFFE
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn nothing_of_a_name_is_markup() {
        assert_eq!(
            escape("<script>\"a\" & 'b'</script>\u{1}\u{ffff}"),
            "&lt;script&gt;&quot;a&quot; &amp; &#39;b&#39;&lt;/script&gt;\u{fffd}\u{fffd}"
        );
    }
}
