//! Tables as comma-separated values (RFC 4180), safe to open in a spreadsheet.
//!
//! Lines end in CR LF. Text is quoted where it has to be. Text that a spreadsheet would take for
//! a formula, because it begins with `=`, `+`, `-`, `@`, a tab or a line break, is led by an
//! apostrophe; numbers are written by this program and are left as they are.

use core::fmt::Write;

/// A line under way.
#[derive(Debug, Clone, Default)]
pub struct Row {
    line: String,
    cells: usize,
}

impl Row {
    /// A line of column names.
    #[must_use]
    pub fn head(names: &[&str]) -> String {
        let mut row = Self::default();
        for name in names {
            row.text(name);
        }
        row.end()
    }

    /// Adds text that a user may have written.
    pub fn text(&mut self, text: &str) -> &mut Self {
        self.next();
        let guard = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
        let quote = guard || text.contains([',', '"', '\r', '\n']) || text != text.trim();
        if quote {
            self.line.push('"');
        }
        if guard {
            self.line.push('\'');
        }
        self.line.push_str(&text.replace('"', "\"\""));
        if quote {
            self.line.push('"');
        }
        self
    }

    /// Adds a whole number.
    pub fn whole(&mut self, number: impl Into<i128>) -> &mut Self {
        self.next();
        // Writing to a string does not fail.
        let _ = write!(self.line, "{}", number.into());
        self
    }

    /// Adds a number to six decimals at most; an empty cell for none or one that is not finite.
    pub fn number(&mut self, number: Option<f64>) -> &mut Self {
        self.next();
        if let Some(number) = number.filter(|number| number.is_finite()) {
            // Adding nought leaves no minus before it.
            let rounded = (number * 1e6).round() / 1e6 + 0.0;
            let _ = write!(self.line, "{rounded}");
        }
        self
    }

    /// The line with its end.
    #[must_use]
    pub fn end(mut self) -> String {
        self.line.push_str("\r\n");
        self.line
    }

    fn next(&mut self) {
        if self.cells > 0 {
            self.line.push(',');
        }
        self.cells += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::Row;

    fn cell(text: &str) -> String {
        let mut row = Row::default();
        row.text(text);
        row.end().trim_end().to_owned()
    }

    #[test]
    fn text_is_quoted_and_no_formula() {
        for (text, written) in [
            ("take 1", "take 1"),
            ("a, b", "\"a, b\""),
            ("the \"and\"", "\"the \"\"and\"\"\""),
            ("two\nlines", "\"two\nlines\""),
            ("=1+1", "\"'=1+1\""),
            ("+1", "\"'+1\""),
            ("-1", "\"'-1\""),
            ("@SUM(A1)", "\"'@SUM(A1)\""),
            ("\tx", "\"'\tx\""),
            ("\rx", "\"'\rx\""),
            ("a=b", "a=b"),
            ("", ""),
        ] {
            assert_eq!(cell(text), written, "{text:?}");
        }
    }

    #[test]
    fn numbers_are_left_as_they_are() {
        let mut row = Row::default();
        row.whole(-3)
            .number(Some(-0.25))
            .number(None)
            .number(Some(f64::NAN))
            .number(Some(1.0 / 3.0));
        assert_eq!(row.end(), "-3,-0.25,,,0.333333\r\n");
    }
}
