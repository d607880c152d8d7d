//! Reports: one self-contained HTML page for a take, a comparison, a comp or a teacher's students,
//! and an index over many takes. Nothing is loaded from anywhere, and nothing runs in the page.
//!
//! The template crate escapes all text. Pictures are inline SVG with a title and a description;
//! whatever they show stands in a table as well.

mod aligned;
mod comp;
mod compare;
mod figures;
mod index;
mod page;
mod progress;
mod progress_style;
mod reference;
mod roll;
mod style;
mod take;
mod week_chart;

pub use comp::comp_report;
pub use compare::{CompareReport, compare_report};
pub use index::{Entry, index};
pub use progress::{Student, progress_report};
pub use reference::OwnSolos;
pub use take::{TakeReport, take_report};

#[cfg(test)]
mod progress_tests;
#[cfg(test)]
mod tests;
