//! Tables as comma-separated values (RFC 4180), safe to open in a spreadsheet.
//!
//! Lines end in CR LF. Text that a spreadsheet would take for a formula, because it begins with `=`, `+`,
//! `-`, `@`, a tab or a line break, gets a leading apostrophe; numbers don't.

use csv::{Terminator, WriterBuilder};

/// A table of these columns.
pub(super) fn table(
    columns: impl IntoIterator<Item = impl AsRef<[u8]>>,
    rows: impl IntoIterator<Item = Vec<String>>,
) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        // Rows of any length, so that a forgotten column loses nothing.
        .flexible(true)
        .from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(columns);
    for row in rows {
        let _ = writer.write_record(row);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// A user's text as a cell that no spreadsheet takes for a formula.
#[must_use]
pub fn text(text: &str) -> String {
    let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    if is_formula { format!("'{text}") } else { text.to_owned() }
}

/// A number with at most six decimals; empty if missing or not finite.
pub(super) fn number(number: Option<f64>) -> String {
    number.filter(|number| number.is_finite()).map_or_else(String::new, |number| {
        // Adding 0 turns −0 into 0.
        ((number * 1e6).round() / 1e6 + 0.0).to_string()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_quoted_and_never_a_formula() {
        for (name, written) in [
            ("take 1", "take 1"),
            ("a, b", "\"a, b\""),
            ("the \"and\"", "\"the \"\"and\"\"\""),
            ("two\nlines", "\"two\nlines\""),
            ("=1+1", "'=1+1"),
            ("=1+1,2", "\"'=1+1,2\""),
            ("+1", "'+1"),
            ("-1", "'-1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "'\tx"),
            ("\rx", "\"'\rx\""),
            ("a=b", "a=b"),
            (" a ", " a "),
            ("", ""),
        ] {
            let written = format!("name,number\r\n{written},1\r\n");
            assert_eq!(table(["name", "number"], [vec![text(name), "1".to_owned()]]), written);
        }
    }

    #[test]
    fn numbers_are_unchanged() {
        let numbers = [Some(-0.25), None, Some(f64::NAN), Some(1.0 / 3.0), Some(-1e-9), Some(4.0)];
        assert_eq!(numbers.map(number), ["-0.25", "", "", "0.333333", "0", "4"]);
    }
}
