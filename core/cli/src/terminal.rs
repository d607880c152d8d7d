//! Output to the terminal: coloured on a terminal, plain in a pipe or under `NO_COLOR`.

use crate::outcome::PIPE_CLOSED;
use anstyle::{AnsiColor, Style};
use std::io::Write;

/// The heading of a file or a table.
pub(crate) const HEADING: Style = Style::new().bold();
/// The style of errors.
const ERROR: Style = AnsiColor::Red.on_default().bold();

/// Prints a line to standard output.
pub fn say(line: &str) {
    write(anstream::stdout().lock(), line);
}

/// Prints bytes to standard output, as they are.
pub(crate) fn say_bytes(bytes: &[u8]) {
    if std::io::stdout().lock().write_all(bytes).is_err() {
        std::process::exit(i32::from(PIPE_CLOSED));
    }
}

/// Prints an error to standard error.
pub fn warn(line: &str) {
    write(anstream::stderr().lock(), &format!("{} {line}", styled(ERROR, "error:")));
}

/// Prints a remark to standard error.
pub(crate) fn remark(line: &str) {
    write(anstream::stderr().lock(), line);
}

/// `text` in a style.
pub(crate) fn styled(style: Style, text: &str) -> String {
    format!("{style}{text}{style:#}")
}

fn write(mut to: impl Write, line: &str) {
    if writeln!(to, "{line}").and_then(|()| to.flush()).is_err() {
        std::process::exit(i32::from(PIPE_CLOSED));
    }
}

/// Lines in columns: text to the left, figures to the right. The first line is the heading.
pub(crate) fn columns(rows: &[Vec<String>]) -> Vec<String> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max()
    };
    let widths: Vec<usize> = (0..count).map(|column| width(column).unwrap_or(0)).collect();
    let line = |(number, row): (usize, &Vec<String>)| {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
            let space = " ".repeat(width - cell.chars().count());
            if column == 0 { format!("{cell}{space}") } else { format!("{space}{cell}") }
        });
        let text = cells.collect::<Vec<_>>().join("  ");
        let text = text.trim_end();
        if number == 0 { styled(HEADING, text) } else { text.to_owned() }
    };
    rows.iter().enumerate().map(line).collect()
}
