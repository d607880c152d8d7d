//! Reports: one self-contained HTML page for a take, for a comparison or for a comp, and an index
//! over many of them. Nothing is loaded from anywhere, and nothing runs in the page.
//!
//! The template crate escapes all text. Pictures are inline SVG with a title and a description;
//! whatever they show stands in a table as well.

mod aligned;
mod comp;
mod compare;
mod figures;
mod index;
mod page;
mod reference;
mod roll;
mod style;
mod take;

pub use comp::comp_report;
pub use compare::{CompareReport, compare_report};
pub use index::{Entry, index};
pub use reference::OwnSolos;
pub use take::{TakeReport, take_report};

#[cfg(test)]
mod tests;
