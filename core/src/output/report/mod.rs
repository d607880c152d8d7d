//! Reports: one self-contained HTML page for a take, for a comparison or for a comp, and an index
//! over many of them. Nothing is loaded from anywhere, and nothing runs in the page.
//!
//! All text from outside goes through [`escape()`]. Pictures are inline SVG with a title and a
//! description; whatever they show stands in a table as well.

mod beside;
mod comp;
mod compare;
mod escape;
mod figures;
mod hung;
mod index;
mod page;
mod roll;
mod style;
mod take;

pub use beside::OwnSolos;
pub use comp::comp_report;
pub use compare::{CompareReport, compare_report};
pub use escape::escape;
pub use index::{Entry, index};
pub use take::{TakeReport, take_report};

#[cfg(test)]
mod tests;
