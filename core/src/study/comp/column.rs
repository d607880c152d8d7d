//! The columns of a sheet.

use super::error::CompError;
use crate::theory::form::Form;

/// Most columns of a sheet: 32 choruses of four sections.
const MAX_COLUMNS: i64 = 128;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// A chorus.
    Chorus,
    /// A section of a chorus, or the chorus if the form has no sections.
    Section,
    /// This many bars, at least 1; fewer at the end of a chorus if they don't divide it.
    Bars(u32),
}

/// A column: some bars of the song.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its name: "chorus 2", "chorus 2, B", "bars 9–12".
    pub label: String,
    /// Its first bar.
    pub first_bar: i64,
    /// How many bars it has.
    pub bars: u32,
    /// Its chorus, from 1.
    pub chorus: i64,
}

impl Column {
    /// The bar after its last.
    pub fn end_bar(&self) -> i64 {
        self.first_bar.saturating_add(i64::from(self.bars))
    }
}

/// The columns from the form's first bar to the end of the chorus with bar `last`.
pub fn lay_out(form: &Form, by: By, last: i64) -> Result<Vec<Column>, CompError> {
    let choruses = form.position(last).ok_or(CompError::NothingToCut)?.chorus;
    let parts = parts(form, by);
    let columns = choruses.saturating_mul(i64::try_from(parts.len()).unwrap_or(i64::MAX));
    if columns > MAX_COLUMNS {
        return Err(CompError::Columns { columns, max: MAX_COLUMNS });
    }
    let mut laid = Vec::new();
    for chorus in 1..=choruses {
        let mut first_bar = form.chorus_start(chorus);
        for (name, bars) in &parts {
            let last = first_bar.saturating_add(i64::from(*bars) - 1);
            let label = match (by, name.is_empty()) {
                (By::Bars(_), _) if *bars == 1 => format!("bar {first_bar}"),
                (By::Bars(_), _) => format!("bars {first_bar}\u{2013}{last}"),
                (_, true) => format!("chorus {chorus}"),
                (_, false) => format!("chorus {chorus}, {name}"),
            };
            laid.push(Column { label, first_bar, bars: *bars, chorus });
            first_bar = last.saturating_add(1);
        }
    }
    Ok(laid)
}

/// The parts of a chorus, by name and bars.
fn parts(form: &Form, by: By) -> Vec<(String, u32)> {
    let whole = form.chorus_bars();
    match by {
        By::Section if !form.sections().is_empty() => {
            let sections = form.sections().iter().enumerate();
            sections.map(|(index, s)| (form.section_label(index), s.bars)).collect()
        }
        By::Chorus | By::Section => vec![(String::new(), whole)],
        By::Bars(bars) => {
            let bars = bars.clamp(1, whole);
            let starts = (0..whole).step_by(usize::try_from(bars).unwrap_or(1));
            starts.map(|start| (String::new(), bars.min(whole - start))).collect()
        }
    }
}
