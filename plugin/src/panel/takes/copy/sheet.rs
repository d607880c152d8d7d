//! A table as text: one line per row, with tabs between cells.

use crate::panel::words;
use overbar_core::output::export::cell_text;
use overbar_core::stats::Share;

/// The text so far.
#[derive(Debug, Default)]
pub struct Sheet(String);

impl Sheet {
    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        let cells = cells.into_iter().map(|cell| cell.replace(['\t', '\r', '\n'], " "));
        self.0.push_str(&cells.collect::<Vec<_>>().join("\t"));
        self.0.push('\n');
    }

    /// Adds a line of text.
    pub fn line(&mut self, text: &str) {
        self.row([own(text)]);
    }

    /// Adds an empty line.
    pub fn gap(&mut self) {
        self.0.push('\n');
    }

    /// The text.
    pub fn text(self) -> String {
        self.0
    }
}

/// Text typed by a user, made safe for a cell.
pub fn own(text: &str) -> String {
    cell_text(text)
}

/// A share as a whole percentage, without the sign.
pub fn percent(share: f64) -> String {
    format!("{:.0}", share * 100.0)
}

/// A range of percentages. The dash keeps spreadsheets from reading it as a date.
pub fn range((low, high): (f64, f64)) -> String {
    format!("{}–{}", percent(low), percent(high))
}

/// The column heads of a share.
pub fn share_heads(name: &str) -> [String; 3] {
    [format!("{name} (%)"), format!("{name} (count)"), format!("{name}, likely range (%)")]
}

/// A share, its count and its likely range; empty if the count is 0.
pub fn share(share: Share) -> [String; 3] {
    let count = match share.of {
        0 => String::new(),
        of => format!("{} of {of}", share.count),
    };
    let value = share.share().map_or_else(String::new, percent);
    [value, count, share.interval().map_or_else(String::new, range)]
}

/// A length in bars.
pub fn bars(bars: Option<f64>) -> String {
    bars.map_or_else(String::new, words::bars)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_stays_one_cell_and_never_a_formula() {
        let mut sheet = Sheet::default();
        sheet.row([own("=1+1"), own("two\tparts\nof it")]);
        sheet.gap();
        sheet.row(share(Share { count: 3, of: 12 }));
        sheet.row(share(Share { count: 0, of: 0 }));
        let text = sheet.text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[..3], ["'=1+1\ttwo parts of it", "", "25\t3 of 12\t9–53"]);
        assert_eq!(lines[3], "\t\t");
    }
}
